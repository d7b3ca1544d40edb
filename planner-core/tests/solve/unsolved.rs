//! Answers without a solution: each says why, and a proof can be verified.
//!
//! [`Unsolved::FailedCheck`] is a fault of the library and cannot be made; [`Unsolved::NotCheckedInTime`] is made in `anytime.rs`.

use crate::support::{IMPOSSIBLE, bare_ground, block, cobble, empty, fixture, on_deck};
use clamber_core::{
    Control, DeckId, Gather, Goal, Impossible, PlannerName, Problem, Signal, Solution, SolveOptions, Status,
    Strategy, Unsolved, solve,
};

fn answer(problem: &Problem, options: &SolveOptions, signal: Signal) -> Solution {
    let signal = || signal;
    let solution = solve(problem, options, &Control::new(&signal)).expect("it makes sense");
    assert!(solution.plan.steps.is_empty() && solution.proof.is_none());
    solution
}

#[test]
fn out_of_time_and_cancelled() {
    let (_, problem) = fixture("stand");
    for (signal, status, why) in [
        (Signal::Finish, Status::BudgetSpent, Unsolved::OutOfTime),
        (Signal::StopNow, Status::Cancelled, Unsolved::Cancelled),
    ] {
        let found = answer(&problem, &SolveOptions::default(), signal);
        assert_eq!((found.status, found.report.unsolved, found.report.complete), (status, Some(why), false));
    }
}

#[test]
fn out_of_memory() {
    let (_, problem) = fixture("stand");
    for (strategy, name) in Strategy::all() {
        if strategy == Strategy::Single(PlannerName::Bridging) {
            continue; // for goals that ask modules to gather
        }
        let options = SolveOptions { strategy, memory_bytes: 1, ..SolveOptions::default() };
        let found = answer(&problem, &options, Signal::GoOn);
        let expected = (Status::BudgetSpent, Some(Unsolved::OutOfMemory));
        assert_eq!((found.status, found.report.unsolved), expected, "{name}");
    }
}

/// Two modules before a gap that takes three and more: no structure is left to try.
#[test]
fn nothing_left_to_try() {
    let near = block("near", [-2.0, -1.0], [0.0, 1.0], f64::NEG_INFINITY, 0.0, 0.7);
    let far = block("far", [0.159, -1.0], [2.0, 1.0], f64::NEG_INFINITY, 0.0, 0.7);
    let mut problem = empty(vec![cobble()], vec![near, far]);
    for index in 0..3 {
        on_deck(&mut problem, [-0.2 - 0.3 * f64::from(index), 0.0]);
    }
    problem.goal = Goal { slots: Vec::new(), gather: Some(Gather { deck: DeckId(1), count: 1 }) };
    let strategy = Strategy::Single(PlannerName::Bridging);
    let found = answer(&problem, &SolveOptions { strategy, ..SolveOptions::default() }, Signal::GoOn);
    assert_eq!(found.status, Status::BudgetSpent);
    let Some(Unsolved::Exhausted(note)) = &found.report.unsolved else { panic!("{:?}", found.report) };
    assert!(note.contains("no structure"), "{note}");
}

#[test]
fn proofs_of_the_fixtures_can_be_verified() {
    for name in IMPOSSIBLE {
        let (_, problem) = fixture(name);
        let found = solve(&problem, &SolveOptions::default(), &Control::unlimited()).expect("it makes sense");
        assert_eq!((found.status, &found.report.unsolved), (Status::ProvedImpossible, &None), "{name}");
        let proof = found.proof.expect("what is proved has a proof");
        assert!(proof.verify(&problem), "{name}: {}", proof.describe(&problem));
        assert!(
            found.plan.steps.is_empty() && found.report.complete && found.report.lower_bound_s.is_infinite()
        );
        assert!(!proof.verify(&fixture("row").1), "{name}: no proof of another scene");
        match name {
            "boxed-in" => assert!(matches!(proof, Impossible::CutOff { .. })),
            _ => assert!(matches!(proof, Impossible::Overloaded { .. })),
        }
    }
}
