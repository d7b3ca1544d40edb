//! Whoever asks a timing to stop is heard soon, and gets something sound. No clock: asks are counted.

use crate::support::{heading, interrupted, outcome, soon_planned, timed_one_by_one, with_figures};
use clamber_core::unstable::control::{Budget, Stopped};
use clamber_core::unstable::schedule::{ScheduleError, at_several_limits, moves_of_trips, side_by_side};
use clamber_core::{Objective, Plan, Status, check_plan};

#[test]
fn timing_that_is_stopped_is_sound() {
    let (problem, found) = outcome("stand");
    let moves = moves_of_trips(problem, &found.trips).expect("trips can be made");
    let heading = heading(Status::Solved, 0.0);
    let is_sound = |plan: &Plan| {
        check_plan(problem, &with_figures(problem, plan.clone())).expect("its values make sense").is_sound()
    };
    for objective in [Objective::Time, Objective::Margin] {
        for from in (1..3000).step_by(293) {
            let run = |budget: &Budget<'_>| side_by_side(problem, &moves, &heading, objective, budget);
            // With the time up there is always a plan.
            let (timed, _) = interrupted(from, Stopped::Spent, run);
            assert!(is_sound(&timed.expect("there is a plan").plan), "ask {from}");
            // Cancelled, there is one or it says that there is none.
            let (timed, more) = interrupted(from, Stopped::Cancelled, run);
            // Once over all drives in each loop that ends, with nothing judged any more.
            let under_way = 4 * moves.len() as u64 + 100;
            assert!(more.is_none_or(|more| more < under_way), "ask {from}: {more:?} more asks");
            match timed {
                Ok(timed) => assert!(is_sound(&timed.plan), "ask {from}"),
                Err(error) => assert_eq!(error, ScheduleError::Stopped, "ask {from}"),
            }
        }
    }
    for from in [1, 1000, 5000] {
        let run = |budget: &Budget<'_>| at_several_limits(problem, &moves, &heading, 5, budget);
        let table = interrupted(from, Stopped::Spent, run).0.expect("there is a plan");
        assert!(!table.is_empty() && table.iter().all(|t| is_sound(&t.plan)));
        match interrupted(from, Stopped::Cancelled, run).0 {
            Ok(table) => assert!(table.iter().all(|t| is_sound(&t.plan))),
            Err(error) => assert_eq!(error, ScheduleError::Stopped),
        }
    }
}

/// With no time for a search for the fewest braces there are more, and the plan is as sound.
#[test]
fn without_time_there_are_more_braces() {
    let mut more = 0;
    for name in soon_planned() {
        let (problem, found) = outcome(name);
        let run = |budget: &Budget<'_>| {
            timed_one_by_one(problem, &found.trips, &heading(Status::Solved, 0.0), budget)
        };
        let hasty = interrupted(1, Stopped::Spent, run).0;
        let careful = run(&Budget::unlimited());
        assert!(check_plan(problem, &hasty).expect("its values make sense").is_sound(), "{name}");
        assert!(hasty.steps.len() >= careful.steps.len(), "{name}: fewer than the fewest");
        more += hasty.steps.len() - careful.steps.len();
    }
    assert!(more > 0, "the fewest were looked for all the same");
}
