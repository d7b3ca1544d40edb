//! Searches that stop when they are told to, and say why.

use crate::support::{Asks, FIXTURES, IMPOSSIBLE, fixture, heading, timed_one_by_one};
use clamber_core::unstable::control::{Budget, Stopped};
use clamber_core::unstable::search::{AStar, NoObserver, Options, Outcome, Planner, TakingApart};
use clamber_core::{Interrupt, Plan, Problem, Rule, Status, check_plan};

fn timed(problem: &Problem, outcome: &Outcome) -> Plan {
    let heading = heading(outcome.status, outcome.lower_bound_s);
    timed_one_by_one(problem, &outcome.trips, &heading, &Budget::unlimited())
}

/// A cancelled search says so, and what it has is a sound part of the way.
#[test]
fn cancelled_searches_leave_a_sound_part() {
    for name in FIXTURES.into_iter().filter(|name| !IMPOSSIBLE.contains(name)) {
        let (_, problem) = fixture(name);
        for calls in [1, 41] {
            let asks = Asks::new(calls, Stopped::Cancelled);
            let interrupt = || asks.answer();
            let budget = Budget { interrupt: Interrupt::new(&interrupt), ..Budget::unlimited() };
            let outcome =
                AStar.plan(&problem, &Options::default(), &budget, &NoObserver).expect("fixtures make sense");
            if outcome.status == Status::Solved {
                assert!(calls > 1, "{name} was not stopped");
                continue;
            }
            assert_eq!(outcome.status, Status::Cancelled, "{name} after {calls}");
            let plan = timed(&problem, &outcome);
            let report = check_plan(&problem, &plan).expect("its values make sense");
            // Nothing is wrong with it but that it does not get there.
            assert!(
                report.replayed && report.findings.iter().all(|f| f.rule == Rule::Goal),
                "{name}: {:?}",
                report.findings
            );
            assert!(!report.is_sound(), "{name}: a cancelled plan is no whole one");
        }
    }
}

/// Spent budgets are told from cancelled ones, by both planners.
#[test]
fn budgets_are_kept() {
    let (_, problem) = fixture("column");
    let planners: [&dyn Planner; 2] = [&AStar, &TakingApart];
    for planner in planners {
        for budget in
            [Budget { expansions: 4, ..Budget::unlimited() }, Budget { bytes: 1, ..Budget::unlimited() }]
        {
            let outcome =
                planner.plan(&problem, &Options::default(), &budget, &NoObserver).expect("it makes sense");
            assert_eq!(outcome.status, Status::BudgetSpent, "{}", planner.name());
            assert!(outcome.statistics.expanded <= 16, "{:?}", outcome.statistics);
        }
    }
}
