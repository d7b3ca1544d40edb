//! The fixtures, planned once for all tests.

use crate::support::{FIXTURES, fixture};
use clamber_core::model::Problem;
use clamber_core::motion::{Plan, PlannerNote, Status};
use clamber_core::schedule::one_by_one;
use clamber_core::search::{AStar, Budget, NoObserver, Options, Planner};
use std::sync::OnceLock;

/// The scene and its plan by A* with default options.
pub(crate) fn planned(name: &str) -> &'static (Problem, Plan) {
    static PLANS: [OnceLock<(Problem, Plan)>; FIXTURES.len()] = [const { OnceLock::new() }; FIXTURES.len()];
    let index = FIXTURES.iter().position(|(known, _)| *known == name).expect("a fixture");
    PLANS[index].get_or_init(|| {
        let (_, problem) = fixture(name);
        let plan = plan_by(&AStar, &problem, &Options::default());
        (problem, plan)
    })
}

/// A plan that must be found.
pub(crate) fn plan_by(planner: &dyn Planner, problem: &Problem, options: &Options) -> Plan {
    let outcome =
        planner.plan(problem, options, &Budget::unlimited(), &NoObserver).expect("the scene makes sense");
    assert_eq!(outcome.status, Status::Solved, "{} on {}", planner.name(), problem.name);
    let note = PlannerNote::new(planner.name(), options.seed);
    one_by_one(problem, &outcome.trips, note, outcome.status, outcome.lower_bound_s)
        .expect("trips can be timed")
}
