//! From measured states on, goals are reached as from exact ones.

use super::stops::{measured, stopped_at};
use crate::support::{Dice, fixture, planned};
use clamber_core::follow::{Scatter, settle};
use clamber_core::{
    Control, DVec3, ModuleId, Problem, SlotPlace, Solution, SolveOptions, Status, check_plan, solve,
};

/// Quick answers.
fn solution(problem: &Problem) -> Solution {
    let options = SolveOptions { shortening: 0, patience: 0, ..SolveOptions::default() };
    solve(problem, &options, &Control::unlimited())
        .unwrap_or_else(|error| panic!("{}: {error}", problem.name))
}

fn reaches_goal(problem: &Problem) -> bool {
    let found = solution(problem);
    let report = check_plan(problem, &found.plan).expect("its values make sense");
    assert_eq!(found.status == Status::Solved, report.is_sound(), "{}: {:?}", problem.name, report.findings);
    found.status == Status::Solved
}

/// The root stands 0.3 mm beside its slot, and 1 mm is allowed.
#[test]
fn a_root_beside_its_slot() {
    let (_, mut problem) = fixture("row");
    let SlotPlace::OnGround(_, at) = problem.goal.slots[0].place else { panic!("the root is on the ground") };
    let root = problem.start.get_mut(ModuleId(0));
    root.position = (at + clamber_core::DVec2::new(0.2e-3, -0.22e-3)).extend(root.position.z);
    let found = solution(&problem);
    assert_eq!(found.status, Status::Solved);
    assert!(found.plan.steps.iter().all(|step| step.module != ModuleId(0) || !moves_it(&step.action)));
    let report = check_plan(&problem, &found.plan).expect("its values make sense");
    assert!(report.is_sound(), "{:?}", report.findings);
    let off = report.last.get(ModuleId(0)).position.distance(problem.start.get(ModuleId(0)).position);
    assert!(off < 1e-9, "the root stays: {off}");
}

fn moves_it(action: &clamber_core::Move) -> bool {
    !matches!(action, clamber_core::Move::Brace | clamber_core::Move::Release)
}

/// A crew a little beside all its slots is at its goal; one beyond the tolerance has to move.
#[test]
fn as_far_off_as_is_allowed() {
    let shifted = |by_mm: f64| {
        let (_, plan_problem) = fixture("row");
        let (_, plan) = planned("row");
        let mut problem = plan_problem;
        problem.start = check_plan(&problem, plan).expect("it makes sense").last;
        for module in problem.module_ids() {
            problem.start.get_mut(module).position += DVec3::new(0.0, by_mm * 1e-3, 0.0);
        }
        problem
    };
    assert!(solution(&shifted(0.9)).plan.steps.is_empty());
    let far = shifted(1.5);
    assert!(reaches_goal(&far));
    assert!(!solution(&far).plan.steps.is_empty());
}

/// Replans from settled states solve.
#[test]
fn stops_are_planned_on_from() {
    let cases = std::env::var("CLAMBER_CASES").ok().and_then(|text| text.parse().ok()).unwrap_or(2_usize);
    for (number, name) in ["stand", "row", "column", "boom"].into_iter().enumerate() {
        let (problem, plan) = planned(name);
        let mut dice = Dice::new(100 + number as u64);
        let (mut exact, mut settled, mut tried) = (0, 0, 0);
        while tried < cases {
            let at_s = dice.between(0.0, plan.summary.makespan_s);
            let stop = stopped_at(problem, plan, at_s);
            if !stop.hopping.is_empty() {
                continue;
            }
            tried += 1;
            let poses = measured(&stop, &mut dice, Scatter::default());
            let state = settle(problem, &poses, Some(&stop.truth)).expect("it is near");
            exact += usize::from(reaches_goal(&Problem { start: stop.truth, ..problem.clone() }));
            settled += usize::from(reaches_goal(&Problem { start: state.configuration, ..problem.clone() }));
        }
        println!(
            "{name}: of {tried} stops {exact} solved from the exact and {settled} from the settled state"
        );
        assert!(settled >= exact, "{name}: {settled} of {tried}, exact {exact}");
    }
}
