//! Answers without a solution: each says why, and a proof can be verified.
//!
//! [`Unsolved::FailedCheck`] is a fault of the library and cannot be made; [`Unsolved::NotCheckedInTime`] is made in `anytime.rs`.

use crate::support::{IMPOSSIBLE, bare_ground, cobble, empty, fixture, on_deck, slot};
use clamber_core::{
    Control, DVec2, DVec3, Goal, GroundId, Impossible, PlannerName, Problem, Signal, SlotId, SlotPlace,
    Solution, SolveOptions, Status, Strategy, Unsolved, solve,
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
        if matches!(strategy, Strategy::Single(PlannerName::Bridging | PlannerName::Walking)) {
            continue; // for goals that ask modules to gather, and for formed machines
        }
        let options = SolveOptions { strategy, memory_bytes: 1, ..SolveOptions::default() };
        let found = answer(&problem, &options, Signal::GoOn);
        let expected = (Status::BudgetSpent, Some(Unsolved::OutOfMemory));
        assert_eq!((found.status, found.report.unsolved), expected, "{name}");
    }
}

/// On ground that holds nothing, whoever would climb onto the stuck one tips it; when it has stood everywhere beside it, nothing is left.
#[test]
fn nothing_left_to_try() {
    let mut problem = empty(vec![cobble()], vec![bare_ground(0.7)]);
    on_deck(&mut problem, [0.0, 0.0]);
    on_deck(&mut problem, [0.4, 0.0]);
    problem.modules[0].stuck = true;
    let base = slot("base", SlotPlace::OnGround(GroundId(0), DVec2::ZERO));
    let top = slot("top", SlotPlace::OnSlot(SlotId(0), DVec3::Z));
    problem.goal = Goal { slots: vec![base, top], gather: None };
    problem.assign_classes();
    let strategy = Strategy::Single(PlannerName::AStar);
    let options = SolveOptions { strategy, ..SolveOptions::default() };
    let found = solve(&problem, &options, &Control::unlimited()).expect("it makes sense");
    assert_eq!((found.status, found.proof), (Status::BudgetSpent, None));
    let Some(Unsolved::Exhausted(note)) = &found.report.unsolved else { panic!("{:?}", found.report) };
    assert!(note.contains("proves nothing about other places"), "{note}");
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
