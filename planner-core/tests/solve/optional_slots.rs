//! Slots that may stay empty: sections 7 and 9 of the model page.

use crate::support::{deck, module, scene_of, slot_on};
use clamber_core::{Control, ModuleId, Problem, SolveOptions, Status, check_plan, solve};

/// A floor, modules at some places, and the goal.
fn scene(crew: &[[f64; 2]], goal: &str) -> Problem {
    let floor = deck("floor", [-1.0, -1.0], [1.0, 1.0], 0.0) + "ferrous = true\nsealable = true\n";
    let modules = crew.iter().enumerate().map(|(k, at)| module(&format!("m{}", k + 1), "floor", *at, ""));
    scene_of(&(floor + &modules.collect::<String>() + goal), "").1
}

/// The places of two slots, of which the second may stay empty.
fn slots(more: &str) -> String {
    slot_on("base", "floor", [0.3, 0.0], "")
        + &slot_on("spare", "floor", [-0.3, 0.0], &format!("optional = true\n{more}"))
}

/// The module in each slot at the end of a plan.
fn filled(problem: &Problem) -> Vec<Option<ModuleId>> {
    let found = solve(problem, &SolveOptions::default(), &Control::unlimited()).expect("it makes sense");
    assert_eq!(found.status, Status::Solved, "{:?}", found.report);
    let report = check_plan(problem, &found.plan).expect("its values make sense");
    assert!(report.is_sound(), "{:?}", report.findings);
    let mut end = problem.start.clone();
    let mut steps = found.plan.steps;
    steps.sort_by(|a, b| a.end_s().total_cmp(&b.end_s()));
    steps.iter().for_each(|step| *end.get_mut(step.module) = step.end);
    problem.fillers(&end)
}

#[test]
fn a_crew_of_one_leaves_it_empty() {
    assert_eq!(filled(&scene(&[[0.0, 0.5]], &slots(""))), [Some(ModuleId(0)), None]);
}

/// The one module stands where it may stay; the slot that must be filled has it.
#[test]
fn what_must_be_filled_comes_first() {
    assert_eq!(filled(&scene(&[[-0.3, 0.0]], &slots(""))), [Some(ModuleId(0)), None]);
}

/// A slot that may stay empty and asks for a payload that nothing could carry does no harm while it is empty.
#[test]
fn an_empty_slot_carries_nothing() {
    let heavy = slots("payload_kg = 1000.0");
    assert_eq!(filled(&scene(&[[0.0, 0.5]], &heavy)), [Some(ModuleId(0)), None]);
}

/// The slot on one that may stay empty may stay empty too.
#[test]
fn what_stands_on_it_may_stay_empty() {
    let upper = "[[goal.slot]]\nname = \"upper\"\non = \"spare\"\ntoward = [0, 0, 1]\noptional = true\n";
    let problem = scene(&[[0.0, 0.5]], &(slots("") + upper));
    assert_eq!(filled(&problem), [Some(ModuleId(0)), None, None]);
}
