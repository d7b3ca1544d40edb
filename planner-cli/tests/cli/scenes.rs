//! Small scenes: a survey crew in a storm-drain culvert.

/// Head of every scene.
const HEAD: &str = r#"format = "clamber-scenario/1"
name = "survey crew in a storm-drain culvert"

[[deck]]
name = "apron"
outline_m = [[-2, -1], [0, -1], [0, 1], [-2, 1]]
top_m = 0.0
bottom_m = -1.0
friction = 0.7

[[deck]]
name = "invert"
outline_m = [[0, -1], [1, -1], [1, 1], [0, 1]]
top_m = -0.4
friction = 0.7

[kind.cobble]
shell_radius_m = 0.060
ride_height_m = 0.060
foot_radius_m = 0.040
mass_kg = 0.50
com_height_m = -0.010
shell_reach_deg = 130.0
hop_limit_deg = 100.0
magnet_force_n = 30.0
cup_area_m2 = 1.2e-3
cup_vacuum_pa = 45000.0
bond_friction = 0.6
shell_friction = 0.25
hop_hold = 0.6
drive_force_n = 14.0
yaw_torque_rolling_nm = 0.5
yaw_torque_braced_nm = 1.6
slide_speed_mps = 0.05
yaw_rate_rolling_radps = 0.8
yaw_rate_braced_radps = 0.3
hop_time_s = 4.0
brace_time_s = 2.0
release_time_s = 1.0
drive_power_w = 6.0
yaw_power_w = 4.0
hop_power_w = 6.0
brace_energy_j = 15.0
idle_power_w = 0.8
"#;

/// A scene with these modules on the apron, the first of which is to drive 20 cm.
pub(crate) fn drive(names: &[&str]) -> String {
    let first = serde_json::to_string(names[0]).expect("a name is text");
    format!(
        "{}\n[[goal.slot]]\nname = \"there\"\non = \"apron\"\nat_m = [-1.3, 0.05]\nmodule = {first}\n",
        crew(names)
    )
}

/// The crew alone, 13 cm apart, without a goal.
pub(crate) fn crew(names: &[&str]) -> String {
    let mut scene = HEAD.to_owned();
    for (index, name) in names.iter().enumerate() {
        let name = serde_json::to_string(name).expect("a name is text");
        let y = 0.05 - 0.13 * index as f64;
        scene +=
            &format!("\n[[module]]\nname = {name}\nkind = \"cobble\"\non = \"apron\"\nat_m = [-1.5, {y}]\n");
    }
    scene
}

/// A leaning tower of eight on ground that holds it, and that takes much longer than a test may.
pub(crate) fn tower() -> String {
    let crew = crew(&["m1", "m2", "m3", "m4", "m5", "m6", "m7", "m8"]);
    let holding = "bottom_m = -1.0\nfriction = 0.7\nferrous = true\nsealable = true";
    let mut scene = crew.replace("bottom_m = -1.0\nfriction = 0.7", holding);
    scene += "\n[[goal.slot]]\nname = \"s1\"\non = \"apron\"\nat_m = [-0.5, 0.0]\n";
    for slot in 2..=8 {
        scene += &format!(
            "\n[[goal.slot]]\nname = \"s{slot}\"\non = \"s{}\"\ntoward = [0.1, 0.0, 1.0]\n",
            slot - 1
        );
    }
    scene
}

/// More modules are to gather than there are.
pub(crate) fn impossible() -> String {
    drive(&["m1"]).replace("name = \"there\"", "name = \"there\"\nkind = \"cobble\"")
        + "\n[[goal.slot]]\nname = \"too many\"\non = \"apron\"\nat_m = [-1.0, 0.5]\n"
}

/// Two shells overlap.
pub(crate) fn unsound() -> String {
    crew(&["m1", "m2"]).replace("at_m = [-1.5, -0.08]", "at_m = [-1.5, 0.0]")
        + "\n[goal.gather]\ndeck = \"invert\"\ncount = 1\n"
}

/// A word where a number belongs, and a host that is not there.
pub(crate) fn broken() -> String {
    drive(&["m1"]).replace("mass_kg = 0.50", "mass_kg = \"half\"").replace("at_m = [-1.5", "att_m = [-1.5")
}

/// Four modules and a wall of 9 cm: it can be solved, as a sequence made by hand shows, but no planner finds a way soon.
pub(crate) fn hard() -> String {
    include_str!("../../../fixtures/weir.toml").to_owned()
}
