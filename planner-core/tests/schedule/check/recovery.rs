//! Recovery: section 5 of the model page.

use crate::support::{deck, heading, module, scene_of, slot_on, with_figures};
use clamber_core::unstable::control::Budget;
use clamber_core::unstable::schedule::one_by_one;
use clamber_core::{
    ModuleId, Move, Plan, PlannerNote, Problem, Rule, Status, Summary, UtilisationIs, assess_start,
    check_plan,
};

/// A module that hangs sideways on another on steel; the hold factor is such that the bond in between is used 1.1 times as far as it allows.
fn overused(recover: Option<f64>) -> Problem {
    let text = deck("floor", [-1.0, -1.0], [1.0, 1.0], 0.0)
        + "ferrous = true\nsealable = true\n"
        + &module("base", "floor", [0.0, 0.0], "hold = \"braced\"")
        + "[[module]]\nname = \"arm\"\nkind = \"cobble\"\non = \"base\"\ntoward = [1, 0, 0.2]\n"
        + &slot_on("s1", "floor", [0.0, 0.0], "");
    let mut problem = scene_of(&text, "").1;
    let used = assess_start(&problem).expect("its values make sense").utilisation.expect("it is balanced");
    problem.limits.hold_factor = 1.1 / used;
    problem.limits.recover_factor = recover.map(|share| share / used);
    problem
}

fn rules(problem: &Problem, moves: &[(ModuleId, Move)]) -> Vec<Rule> {
    let budget = Budget::unlimited();
    let plan = one_by_one(problem, moves, &heading(Status::Solved, 0.0), budget.interrupt)
        .expect("moves can be made");
    check_plan(problem, &with_figures(problem, plan))
        .expect("its values make sense")
        .findings
        .iter()
        .map(|finding| finding.rule)
        .collect()
}

/// The arm's cup brings the bond back within the limit.
#[test]
fn a_brace_is_a_way_back() {
    let brace = [(ModuleId(1), Move::Brace)];
    assert_eq!(rules(&overused(Some(0.99)), &brace), []);
    assert!(
        rules(&overused(None), &brace).contains(&Rule::Load),
        "without recovery the start breaks the rule"
    );
    assert!(rules(&overused(Some(1.05)), &brace).contains(&Rule::Load), "used more than recovery allows");
}

/// At the end the usual limit holds.
#[test]
fn to_do_nothing_is_none() {
    let planner = PlannerNote::new("by hand", 0);
    let (utilisation_is, summary) = (UtilisationIs::Exact, Summary::default());
    let plan =
        Plan { planner, status: Status::Solved, reason: None, utilisation_is, steps: Vec::new(), summary };
    let findings = check_plan(&overused(Some(0.99)), &plan).expect("its values make sense").findings;
    assert_eq!(findings.iter().map(|finding| finding.rule).collect::<Vec<_>>(), [Rule::Load]);
}
