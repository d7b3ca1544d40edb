//! Goals of slots and a gathering at once, and gatherings on a part of one ground.

use crate::support::{deck, module, scene_of, slot_on};
use clamber_core::{Control, Problem, Solution, SolveOptions, Status, check_plan, solve};

fn solved(problem: &Problem) -> Solution {
    let options = SolveOptions { patience: 0, ..SolveOptions::default() };
    let solution = solve(problem, &options, &Control::unlimited()).expect("it makes sense");
    assert_eq!(solution.status, Status::Solved, "{:?}", solution.reason(problem));
    let findings = check_plan(problem, &solution.plan).expect("its values make sense").findings;
    assert!(findings.is_empty(), "{findings:?}");
    solution
}

/// One floor of two decks, and a crew on the western one.
fn hall(crew: usize, more: &str, goal: &str) -> Problem {
    let mut text =
        deck("west", [-1.0, -0.8], [0.0, 0.8], 0.0) + &deck("east", [0.0, -0.8], [1.0, 0.8], 0.0) + more;
    for n in 0..crew {
        text += &module(&format!("m{n}"), "west", [-0.7 + 0.2 * n as f64, 0.3 - 0.15 * n as f64], "");
    }
    scene_of(&(text + goal), "").1
}

#[test]
fn slots_are_filled_where_enough_have_gathered() {
    let gather = "[goal.gather]\ndeck = \"east\"\ncount = 4\n";
    let slots = [slot_on("a", "east", [0.5, 0.1], ""), slot_on("b", "east", [0.3, -0.45], "")];
    for slots in [&slots[..1], &slots] {
        solved(&hall(4, "", &(slots.concat() + gather)));
    }
}

/// Over a step of one radius, with a pair to be formed above: two stand in slots, and the third gathers.
#[test]
fn a_crew_climbs_and_then_forms_a_shape() {
    let text = deck("floor", [-1.2, -0.8], [0.0, 0.8], 0.0) + &deck("terrace", [0.0, -0.8], [1.2, 0.8], 0.06);
    let crew: String =
        (0..5).map(|n| module(&format!("m{n}"), "floor", [-0.9 + 0.18 * f64::from(n), 0.1], "")).collect();
    let goal = slot_on("base", "terrace", [0.4, 0.2], "")
        + "[[goal.slot]]\nname = \"top\"\non = \"base\"\ntoward = [0, 0, 1]\n[goal.gather]\ndeck = \"terrace\"\ncount = 2\n";
    solved(&scene_of(&(text + &crew + &goal), "").1);
}

/// A wall with a roof between the two decks, and an opening narrower than a module.
#[test]
fn a_gathering_behind_too_narrow_a_door_is_proved_impossible() {
    let walls = |width: f64| {
        let half = 0.5 * width;
        deck("south", [-0.05, -0.9], [0.05, -half], 1.0)
            + &deck("north", [-0.05, half], [0.05, 0.9], 1.0)
            + &deck("left", [-1.1, -0.9], [-1.0, 0.9], 1.0)
            + &deck("right", [1.0, -0.9], [1.1, 0.9], 1.0)
            + &deck("below", [-1.1, -0.9], [1.1, -0.8], 1.0)
            + &deck("above", [-1.1, 0.8], [1.1, 0.9], 1.0)
            + &deck("roof", [-1.1, -0.9], [1.1, 0.9], 1.2)
                .replace("bottom_m = 0.19999999999999996", "bottom_m = 1.0")
    };
    let gather = "[goal.gather]\ndeck = \"east\"\ncount = 1\n";
    let narrow = hall(3, &walls(0.11), gather);
    let solution = solve(&narrow, &SolveOptions::default(), &Control::unlimited()).expect("it makes sense");
    let proof = solution.proof.expect("no module gets through");
    assert!(proof.verify(&narrow) && solution.status == Status::ProvedImpossible);
    // One that is wide enough is no obstacle, and nothing is proved.
    solved(&hall(3, &walls(0.14), gather));
}
