//! Whoever asks a search to stop is heard soon, and gets something sound. No clock: asks are counted.

use crate::support::{Asks, fixture, heading, interrupted, outcome, timed_one_by_one};
use clamber_core::unstable::control::{Budget, Stopped};
use clamber_core::unstable::search::{NoObserver, Options, shorten};
use clamber_core::unstable::travel::Trip;
use clamber_core::{Interrupt, PlannerName, Problem, Rule, Status, Strategy, check_plan};

fn scenes() -> Vec<Problem> {
    ["column", "stand", "headwall"].map(|name| fixture(name).1).to_vec()
}

fn assert_leads_part_of_the_way(problem: &Problem, trips: &[Trip], status: Status, whose: &str) {
    let plan = timed_one_by_one(problem, trips, &heading(status, 0.0), &Budget::unlimited());
    let mut findings = check_plan(problem, &plan).expect("its values make sense").findings;
    findings.retain(|finding| status == Status::Solved || finding.rule != Rule::Goal);
    assert!(findings.is_empty(), "{whose}: {findings:?}");
}

#[test]
fn every_planner_hears_a_cancel_at_once() {
    for problem in scenes() {
        for (planner, name) in Strategy::all() {
            for from in [1, 2, 17, 170, 1700] {
                let run = |budget: &Budget<'_>| {
                    planner.planner().plan(&problem, &Options::default(), budget, &NoObserver)
                };
                let (found, more) = interrupted(from, Stopped::Cancelled, run);
                let found = found.expect("it makes sense");
                let whose = format!("{name} on {}, ask {from}", problem.name);
                // Each module of each configuration under way in each planner asks at most once more, and each loop round them.
                let under_way = 4 * 5 * problem.modules.len() as u64 + 40;
                assert!(more.is_none_or(|more| more <= under_way), "{whose}: {more:?} more asks");
                if more.is_some() && found.status != Status::Solved {
                    assert_eq!(found.status, Status::Cancelled, "{whose}");
                    assert_eq!(found.stop, Some(Stopped::Cancelled), "{whose}");
                }
                assert_leads_part_of_the_way(&problem, &found.trips, found.status, &whose);
            }
        }
    }
}

/// However long a search goes on: it asks before every configuration that it looks at and for every way that it tests.
#[test]
fn asks_keep_up_with_the_work() {
    for problem in scenes() {
        for planner in [PlannerName::AStar, PlannerName::Novelty, PlannerName::Beam] {
            let asks = Asks::new(u64::MAX, Stopped::Cancelled);
            let interrupt = || asks.answer();
            let budget =
                Budget { expansions: 12, interrupt: Interrupt::new(&interrupt), ..Budget::unlimited() };
            let found = planner.planner().plan(&problem, &Options::default(), &budget, &NoObserver);
            let statistics = found.expect("it makes sense").statistics;
            let work = statistics.expanded + statistics.generated + statistics.refused_by_load;
            assert!(
                statistics.generated > 0 && asks.count() >= work,
                "{} asks, {statistics:?}",
                asks.count()
            );
        }
    }
}

#[test]
fn shortening_that_is_cancelled_keeps_what_it_has() {
    let (problem, found) = outcome("stand");
    for from in [1, 30, 300] {
        let run = |budget: &Budget<'_>| shorten(problem, &found.trips, u64::MAX, budget);
        let (trips, more) = interrupted(from, Stopped::Cancelled, run);
        let under_way = 4 * problem.modules.len() as u64 + 10;
        assert!(more.is_some_and(|more| more <= under_way), "ask {from}: {more:?} more asks");
        assert_leads_part_of_the_way(problem, &trips, Status::Solved, "improve");
    }
}
