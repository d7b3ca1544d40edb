//! Modules that drive one behind the other follow at a distance, and do not wait until the one ahead has arrived.

use crate::support::{deck, module, scene_of, slot_on};
use clamber_core::{Control, SolveOptions, Status, check_plan, solve};

/// A file of modules in a lane one module wide. One after the other they would take as many times as long as one alone; in a convoy the last one
/// begins after the others have each made room, about a shell's width further on.
#[test]
fn a_file_in_a_lane_drives_as_a_convoy() {
    const FAR_M: f64 = 1.2;
    const APART_M: f64 = 0.14;
    const SPEED_MPS: f64 = 0.05;
    for crew in [3, 5] {
        let end = FAR_M + APART_M * f64::from(crew);
        let mut text = deck("lane", [-0.1, -0.08], [end + 0.1, 0.08], 0.0)
            + &deck("north", [-0.2, 0.08], [end + 0.2, 0.3], 0.5)
            + &deck("south", [-0.2, -0.3], [end + 0.2, -0.08], 0.5);
        for n in 0..crew {
            let x = APART_M * f64::from(n);
            text += &module(&format!("m{n}"), "lane", [x, 0.0], "");
            text += &slot_on(&format!("s{n}"), "lane", [x + FAR_M, 0.0], "");
        }
        let problem = scene_of(&text, "").1;
        let solution =
            solve(&problem, &SolveOptions::default(), &Control::unlimited()).expect("it makes sense");
        assert_eq!(solution.status, Status::Solved);
        assert!(check_plan(&problem, &solution.plan).expect("its values make sense").is_sound());
        let makespan_s = solution.plan.summary.makespan_s;
        // One alone drives for 24 s and a little; half as long for each that follows is generous.
        let one_s = FAR_M / SPEED_MPS;
        assert!(makespan_s < one_s * (1.2 + 0.25 * f64::from(crew - 1)), "{crew}: {makespan_s} s");
    }
}
