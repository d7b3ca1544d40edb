//! `clamber plan`.

use super::scenes;
use super::support::{Folder, json};

#[test]
fn a_solved_scene_makes_a_plan_that_passes_the_check() {
    let folder = Folder::with("culvert.toml", &scenes::drive(&["m1", "m2"]));
    let run = folder.run(&["plan", "culvert.toml", "-o", "plan.json"]);
    assert_eq!(run.code, 0, "{}{}", run.stdout, run.stderr);
    assert!(run.stdout.contains("solved: "), "{}", run.stdout);
    assert!(run.stdout.contains("slide 20.0 cm"), "{}", run.stdout);
    assert!(run.stdout.lines().last().is_some_and(|line| line.starts_with("Caution: ")), "{}", run.stdout);
    assert_eq!(run.stderr, "", "no progress without a terminal");
    assert_eq!(json(&folder.read("plan.json"))["status"], "solved");
    assert_eq!(folder.run(&["check", "plan.json"]).code, 0);
    assert_eq!(folder.names("."), ["culvert.toml", "plan.json"], "no temporary file is left");
}

#[test]
fn json_is_the_plan_file_whatever_the_number_of_threads() {
    let folder = Folder::with("culvert.toml", &scenes::drive(&["m1", "m2"]));
    let one = folder.run(&["plan", "culvert.toml", "--json", "--threads", "1", "-o", "plan.json"]);
    let four = folder.run(&["plan", "culvert.toml", "--json", "--threads", "4"]);
    assert_eq!(json(&one.stdout)["format"], "clamber-plan/2");
    assert_eq!(one.stdout, four.stdout);
    assert_eq!(one.stdout, folder.read("plan.json"));
}

#[test]
fn both_planners_answer() {
    let folder = Folder::with("culvert.toml", &scenes::drive(&["m1"]));
    for name in ["astar", "taking-apart"] {
        let run = folder.run(&["plan", "culvert.toml", "--planner", name, "--json"]);
        assert_eq!(json(&run.stdout)["planner"]["name"], name);
        assert_eq!(run.code, 0, "{}", run.stderr);
    }
}

#[test]
fn an_earlier_plan_stays_whole_when_a_run_fails() {
    let folder = Folder::with_plan(&["m1"]);
    let earlier = folder.read("plan.json");
    folder.write("broken.toml", &scenes::broken());
    folder.write("unsound.toml", &scenes::unsound());
    folder.write("impossible.toml", &scenes::impossible());
    folder.write("hard.toml", &scenes::hard());
    folder.write("goalless.toml", &scenes::crew(&["m1"]));
    for (scene, code) in
        [("broken", 2), ("unsound", 1), ("impossible", 1), ("hard", 1), ("goalless", 2), ("none", 2)]
    {
        let run = folder.run(&["plan", &format!("{scene}.toml"), "-o", "plan.json", "--time", "0.5"]);
        assert_eq!(run.code, code, "{scene}: {}{}", run.stdout, run.stderr);
        assert_eq!(folder.read("plan.json"), earlier, "{scene}");
    }
    assert!(folder.names(".").iter().all(|name| !name.starts_with('.')));
}

#[test]
fn an_impossible_scene_says_why_and_still_gives_json() {
    let folder = Folder::with("impossible.toml", &scenes::impossible());
    let run = folder.run(&["plan", "impossible.toml"]);
    assert_eq!(run.code, 1);
    assert!(run.stdout.contains("impossible: "), "{}", run.stdout);
    let run = folder.run(&["plan", "impossible.toml", "--json"]);
    assert_eq!(json(&run.stdout)["status"], "proved_impossible");
    assert!(run.stderr.contains("impossible: "), "{}", run.stderr);
}

#[test]
fn when_the_time_is_up_the_best_so_far_is_no_solution() {
    let folder = Folder::with("hard.toml", &scenes::hard());
    let run = folder.run(&["plan", "hard.toml", "--time", "0.3", "--json", "-o", "part.json"]);
    assert_eq!(run.code, 1, "{}", run.stderr);
    let plan = json(&run.stdout);
    assert_eq!(plan["status"], "budget_spent");
    let some = plan["steps"].as_array().is_some_and(|steps| !steps.is_empty());
    assert_eq!(folder.path("part.json").exists(), some, "a plan without steps is not written");
    if some {
        assert_eq!(folder.read("part.json"), run.stdout);
        assert_eq!(folder.run(&["script", "part.json"]).code, 1, "half a plan makes no scripts");
    }
    assert!(run.stderr.contains("not solved: the time is up"), "{}", run.stderr);
    assert!(run.stderr.contains("searched "), "{}", run.stderr);
}

#[test]
fn the_scene_is_never_overwritten() {
    let scene = scenes::drive(&["m1"]);
    let folder = Folder::with("culvert.toml", &scene);
    let run = folder.run(&["plan", "culvert.toml", "-o", "./culvert.toml"]);
    assert_eq!(run.code, 2);
    assert_eq!(folder.read("culvert.toml"), scene);
    let run = folder.run(&["plan", "culvert.toml", "-o", "no such folder/plan.json"]);
    assert_eq!(run.code, 2);
    assert!(run.stderr.contains("its folder does not exist"), "{}", run.stderr);
}

#[test]
fn a_crew_that_stands_as_asked_has_nothing_to_do() {
    let folder =
        Folder::with("culvert.toml", &scenes::drive(&["m1"]).replace("[-1.3, 0.05]", "[-1.5, 0.05]"));
    let run = folder.run(&["plan", "culvert.toml", "-o", "plan.json"]);
    assert_eq!(run.code, 0, "{}{}", run.stdout, run.stderr);
    assert!(run.stdout.contains("nothing to do"), "{}", run.stdout);
    assert_eq!(folder.run(&["check", "plan.json"]).code, 0);
    assert_eq!(folder.run(&["script", "plan.json"]).code, 0);
}

#[test]
fn arguments_out_of_range_exit_with_2() {
    let folder = Folder::with("culvert.toml", &scenes::drive(&["m1"]));
    for wrong in [
        ["--time", "0"],
        ["--time", "-1"],
        ["--time", "inf"],
        ["--greed", "0.9"],
        ["--greed", "nan"],
        ["--threads", "0"],
        ["--planner", "best"],
        ["--memory", "0"],
    ] {
        let run = folder.run(&["plan", "culvert.toml", wrong[0], wrong[1]]);
        assert_eq!((run.code, run.stdout.as_str()), (2, ""), "{wrong:?}: {}", run.stderr);
    }
}

/// Side by side is the default, and sooner; both are sound.
#[test]
fn moves_go_side_by_side_unless_asked_otherwise() {
    let folder = Folder::with("pair.toml", include_str!("../../../fixtures/pair.toml"));
    let run = folder.run(&["plan", "pair.toml", "-o", "side.json", "--trade-offs"]);
    assert_eq!(run.code, 0, "{}", run.stderr);
    assert!(run.stdout.contains("one move after the other would take "), "{}", run.stdout);
    assert!(run.stdout.contains("none is better in everything"), "{}", run.stdout);
    assert_eq!(folder.run(&["plan", "pair.toml", "-o", "one.json", "--one-by-one"]).code, 0);
    let makespan = |name: &str| {
        assert_eq!(folder.run(&["check", name]).code, 0, "{name}");
        super::support::json(&folder.read(name))["summary"]["makespan_s"].as_f64().expect("a number")
    };
    assert!(makespan("side.json") < 0.6 * makespan("one.json"));
    for objective in ["energy", "moves", "margin"] {
        let run = folder.run(&["plan", "pair.toml", "-o", "other.json", "--goal-of", objective]);
        assert_eq!(run.code, 0, "{}", run.stderr);
    }
    assert_eq!(folder.run(&["plan", "pair.toml", "--goal-of", "beauty"]).code, 2);
    assert_eq!(folder.run(&["plan", "pair.toml", "--goal-of", "time", "--one-by-one"]).code, 2);
}

/// The search fills what little memory it has, and says so and what stopped it.
#[test]
fn memory_has_a_limit_and_what_stopped_the_crew_is_told() {
    let folder = Folder::with("hard.toml", &scenes::hard());
    let run =
        folder.run(&["plan", "hard.toml", "--planner", "astar", "--memory", "40M", "--time", "600", "-v"]);
    assert_eq!(run.code, 1, "{}", run.stderr);
    assert!(run.stdout.contains("not solved: the memory is used up; --memory gives more"), "{}", run.stdout);
    assert!(run.stdout.contains("what stopped it most often: modules tip on "), "{}", run.stdout);
    assert!(run.stdout.contains("a counterweight on the far side"), "{}", run.stdout);
    assert!(run.stdout.contains("mirrored or turned"), "{}", run.stdout);
    assert!(run.stdout.contains("what is kept weighs at most 1.0 MiB"), "{}", run.stdout);
    for wrong in ["40", "1M", "lots"] {
        let run = folder.run(&["plan", "hard.toml", "--memory", wrong]);
        assert_eq!(run.code, 2, "{wrong}");
        assert!(run.stderr.contains("such as 500M or 2G"), "{}", run.stderr);
    }
}

/// With its magnets alone a foot of this kind holds 30 N: a ferry is held so, and the arm of `boom` needs 43.7 N at its root.
#[test]
fn a_plan_survives_any_lost_cup_or_says_which_bond_does_not() {
    let folder = Folder::with("ferry.toml", include_str!("../../../fixtures/ferry.toml"));
    folder.write("boom.toml", include_str!("../../../fixtures/boom.toml"));
    let quick = ["--survive", "cup", "--polish", "0", "--rearrange", "0"];
    let run = folder.run(&[&["plan", "ferry.toml", "-o", "plan.json"], &quick[..]].concat());
    assert_eq!(run.code, 0, "{}{}", run.stdout, run.stderr);
    assert!(run.stdout.contains("any one cup may fail at any instant"), "{}", run.stdout);
    assert_eq!(folder.run(&["check", "plan.json"]).code, 0);
    let lost = json(&folder.run(&["whatif", "plan.json", "--of", "cup", "--json"]).stdout);
    assert!(["stands", "uses_margin"].contains(&lost["verdict"].as_str().unwrap_or_default()), "{lost}");
    let run = folder.run(&[&["plan", "boom.toml"], &quick[..]].concat());
    assert_eq!(run.code, 1);
    assert!(run.stdout.contains("needs at least 43.7 N and, braced, holds 30.0 N"), "{}", run.stdout);
}

/// Of timings with several margins, the one that is taken is as likely to hold as `risk` says, and no less than the quickest.
#[test]
fn a_plan_for_the_least_chance_of_failure_is_no_likelier_to_fail() {
    let folder = Folder::with("boom.toml", include_str!("../../../fixtures/boom.toml"));
    let chance = |goal_of: &str| {
        let run =
            folder.run(&["plan", "boom.toml", "--goal-of", goal_of, "--rearrange", "0", "-o", "plan.json"]);
        assert_eq!(run.code, 0, "{}{}", run.stdout, run.stderr);
        let still = ["--mass-cv", "0", "--place-mm", "0", "--place-deg", "0", "--json"];
        let risk = folder.run(&[&["risk", "plan.json", "--hold-cv", "0.1"], &still[..]].concat());
        let chance = json(&risk.stdout)["chance"]["high"].as_f64().expect("there is a chance");
        (chance, run.stdout)
    };
    let (quick, _) = chance("time");
    let (least, told) = chance("chance");
    assert!(least <= quick, "{least} {quick}");
    assert!(told.contains(&format!("{least:.2e}")), "{told}");
}
