//! The fixtures, planned once for all tests.

use crate::support::{FIXTURES, fixture, timed_one_by_one};
use clamber_core::Problem;
use clamber_core::unstable::control::Budget;
use clamber_core::unstable::schedule::Heading;
use clamber_core::unstable::search::{NoObserver, Options, Outcome, Planner};
use clamber_core::unstable::solve::Portfolio;
use clamber_core::{Plan, PlannerNote, Status};
use std::sync::OnceLock;

/// The scene and what the portfolio finds with default options.
pub(crate) fn outcome(name: &str) -> &'static (Problem, Outcome) {
    static FOUND: [OnceLock<(Problem, Outcome)>; FIXTURES.len()] =
        [const { OnceLock::new() }; FIXTURES.len()];
    let index = FIXTURES.iter().position(|(known, _)| *known == name).expect("a fixture");
    FOUND[index].get_or_init(|| {
        let (_, problem) = fixture(name);
        let found = outcome_by(&Portfolio, &problem, &Options::default());
        (problem, found)
    })
}

/// The scene and its plan by the portfolio with default options, one move after the other.
pub(crate) fn planned(name: &str) -> &'static (Problem, Plan) {
    static PLANS: [OnceLock<(Problem, Plan)>; FIXTURES.len()] = [const { OnceLock::new() }; FIXTURES.len()];
    let index = FIXTURES.iter().position(|(known, _)| *known == name).expect("a fixture");
    PLANS[index].get_or_init(|| {
        let (problem, found) = outcome(name);
        (problem.clone(), timed(&Portfolio, problem, found, &Options::default()))
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
