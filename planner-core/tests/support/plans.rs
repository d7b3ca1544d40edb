//! The fixtures planned, once for all tests of a binary.

use super::{FIXTURES, fixture, number};
use clamber_core::Interrupt;
use clamber_core::Problem;
use clamber_core::unstable::check::check_and_fill_in;
use clamber_core::unstable::control::Budget;
use clamber_core::unstable::schedule::{Heading, moves_of_trips, one_by_one};
use clamber_core::unstable::search::{NoObserver, Options, Outcome, Planner};
use clamber_core::unstable::solve::Portfolio;
use clamber_core::unstable::travel::Trip;
use clamber_core::{Control, Scenario, Solution, SolveOptions, solve};
use clamber_core::{Plan, PlannerNote, Status};
use std::sync::OnceLock;

/// What a test's plan says besides its steps.
pub(crate) fn heading(status: Status, lower_bound_s: f64) -> Heading {
    Heading { planner: PlannerNote::new("test", 1), status, lower_bound_s }
}

/// Trips one move after the other, with the figures of the check; the plan need not be sound.
pub(crate) fn timed_one_by_one(
    problem: &Problem,
    trips: &[Trip],
    heading: &Heading,
    budget: &Budget<'_>,
) -> Plan {
    let moves = moves_of_trips(problem, trips).expect("trips can be made");
    with_figures(problem, one_by_one(problem, &moves, heading, budget.interrupt).expect("trips can be timed"))
}

/// A timed plan with the figures of the check.
pub(crate) fn with_figures(problem: &Problem, mut plan: Plan) -> Plan {
    check_and_fill_in(problem, &mut plan, Interrupt::NEVER).expect("it is not given up");
    plan
}

/// The scene and what the portfolio finds with default options.
pub(crate) fn outcome(name: &str) -> &'static (Problem, Outcome) {
    static FOUND: [OnceLock<(Problem, Outcome)>; FIXTURES.len()] =
        [const { OnceLock::new() }; FIXTURES.len()];
    FOUND[number(name)].get_or_init(|| {
        let (_, problem) = fixture(name);
        let found = outcome_by(&Portfolio, &problem, &Options::default());
        (problem, found)
    })
}

/// The scene and its plan by the portfolio with default options, one move after the other.
pub(crate) fn planned(name: &str) -> &'static (Problem, Plan) {
    static PLANS: [OnceLock<(Problem, Plan)>; FIXTURES.len()] = [const { OnceLock::new() }; FIXTURES.len()];
    PLANS[number(name)].get_or_init(|| {
        let (problem, found) = outcome(name);
        (problem.clone(), timed(&Portfolio, problem, found, &Options::default()))
    })
}

/// The scene and what `solve` makes of it with default options when it may go on to the end. Where a crew gathers, other trips are not looked for: that
/// has tests of its own, and takes minutes.
pub(crate) fn solved(name: &str) -> &'static (Scenario, Problem, Solution) {
    static SOLVED: [OnceLock<(Scenario, Problem, Solution)>; FIXTURES.len()] =
        [const { OnceLock::new() }; FIXTURES.len()];
    SOLVED[number(name)].get_or_init(|| {
        let (scenario, problem) = fixture(name);
        let usual = SolveOptions::default();
        let patience = if problem.goal.gather.is_some() { 0 } else { usual.patience };
        let solution = solve(&problem, &SolveOptions { patience, ..usual }, &Control::unlimited());
        (scenario, problem, solution.expect("fixtures make sense"))
    })
}

/// A plan that must be found.
pub(crate) fn plan_by(planner: &dyn Planner, problem: &Problem, options: &Options) -> Plan {
    timed(planner, problem, &outcome_by(planner, problem, options), options)
}

fn outcome_by(planner: &dyn Planner, problem: &Problem, options: &Options) -> Outcome {
    let outcome =
        planner.plan(problem, options, &Budget::unlimited(), &NoObserver).expect("the scene makes sense");
    assert_eq!(outcome.status, Status::Solved, "{} on {}", planner.name(), problem.name);
    outcome
}

fn timed(planner: &dyn Planner, problem: &Problem, outcome: &Outcome, options: &Options) -> Plan {
    let planner = PlannerNote::new(planner.name(), options.seed);
    let heading = Heading { planner, status: outcome.status, lower_bound_s: outcome.lower_bound_s };
    timed_one_by_one(problem, &outcome.trips, &heading, &Budget::unlimited())
}
