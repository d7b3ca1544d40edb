//! Clearance of drives: section 4 of the model page, rule 5.

use crate::support::{deck, module, scene_of, slot_on};
use clamber_core::{Control, Problem, Rule, SolveOptions, Status, check_plan, solve};

/// A drive past a module that stands `aside` metres off its line, with 10 mm of clearance asked for.
fn passing(aside: f64) -> Problem {
    let text = deck("floor", [-1.0, -1.0], [1.0, 1.0], 0.0)
        + "[limits]\nclearance_m = 0.01\n"
        + &module("m1", "floor", [-0.5, 0.0], "")
        + &module("m2", "floor", [0.0, aside], "stuck = true")
        + &slot_on("s1", "floor", [0.5, 0.0], "module = \"m1\"");
    scene_of(&text, "").1
}

/// The plan for a scene, judged by another.
fn judged(planned: &Problem, judge: &Problem) -> Vec<Rule> {
    let found = solve(planned, &SolveOptions::default(), &Control::unlimited()).expect("it makes sense");
    assert_eq!(found.status, Status::Solved);
    check_plan(judge, &found.plan)
        .expect("its values make sense")
        .findings
        .iter()
        .map(|finding| finding.rule)
        .collect()
}

/// 131 mm between the centres leave 11 mm: a straight drive. With 129 mm it is 1 mm short of the clearance.
#[test]
fn a_drive_is_judged_by_its_least_gap() {
    let far = passing(0.131);
    assert_eq!(judged(&far, &far), []);
    let mut near = far.clone();
    near.start.get_mut(clamber_core::ModuleId(1)).position.y = 0.129;
    assert_eq!(judged(&far, &near).first(), Some(&Rule::Clearance));
}

/// Where there is no room straight on, a plan goes round, and keeps what is asked for.
#[test]
fn plans_keep_it() {
    let problem = passing(0.05);
    let found = solve(&problem, &SolveOptions::default(), &Control::unlimited()).expect("it makes sense");
    assert!(found.plan.summary.gap_m.is_some_and(|gap| gap >= 0.01 - 1e-6), "{:?}", found.plan.summary);
    assert_eq!(judged(&problem, &problem), []);
}

/// A module that begins nearer than the clearance may leave, no nearer than it stands.
#[test]
fn the_start_counts() {
    let mut problem = passing(0.0);
    problem.start.get_mut(clamber_core::ModuleId(1)).position.x = -0.5;
    problem.start.get_mut(clamber_core::ModuleId(1)).position.y = 0.124;
    assert_eq!(judged(&problem, &problem), []);
}
