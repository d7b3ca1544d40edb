//! Whoever asks a search or a timing to stop is heard soon, and gets something sound. No clock: asks are counted.

use crate::planned::outcome;
use crate::support::fixture;
use clamber_core::check::check_plan;
use clamber_core::model::Problem;
use clamber_core::motion::{PlannerNote, Status};
use clamber_core::scene::read_scenario;
use clamber_core::schedule::{
    Objective, ScheduleError, moves_of_trips, one_by_one, one_by_one_within, side_by_side, trade_offs,
};
use clamber_core::search::{Budget, NoObserver, Options, PlannerName, Stop, improve};
use std::sync::atomic::{AtomicU64, Ordering};

/// Says stop from the k-th ask on, and counts.
struct Asks {
    from: u64,
    stop: Stop,
    count: AtomicU64,
}

impl Asks {
    fn new(from: u64, stop: Stop) -> Self {
        Self { from, stop, count: AtomicU64::new(0) }
    }

    fn answer(&self) -> Option<Stop> {
        (self.count.fetch_add(1, Ordering::Relaxed) + 1 >= self.from).then_some(self.stop)
    }

    fn count(&self) -> u64 {
        self.count.load(Ordering::Relaxed)
    }
}

/// Runs with an interrupt from the k-th ask on; also gives the asks that came after it, if there were so many.
fn interrupted<T>(from: u64, stop: Stop, run: impl FnOnce(&Budget<'_>) -> T) -> (T, Option<u64>) {
    let asks = Asks::new(from, stop);
    let interrupt = || asks.answer();
    let found = run(&Budget { interrupt: &interrupt, ..Budget::unlimited() });
    (found, asks.count().checked_sub(from))
}

fn scenes() -> Vec<Problem> {
    let headwall = read_scenario("headwall", include_str!("../../../fixtures/headwall.toml"));
    vec![fixture("column").1, fixture("stand").1, headwall.expect("fixtures are sound").1]
}

fn assert_leads_part_of_the_way(
    problem: &Problem,
    trips: &[clamber_core::travel::Trip],
    status: Status,
    whose: &str,
) {
    let plan =
        one_by_one(problem, trips, PlannerNote::new("test", 1), status, 0.0).expect("trips can be timed");
    let mut findings = check_plan(problem, &plan).findings;
    findings.retain(|finding| status == Status::Solved || finding.rule != "goal");
    assert!(findings.is_empty(), "{whose}: {findings:?}");
}

#[test]
fn every_planner_hears_a_cancel_at_once() {
    for problem in scenes() {
        for (planner, name) in PlannerName::ALL {
            for from in [1, 2, 17, 170, 1700] {
                let run = |budget: &Budget<'_>| {
                    planner.planner().plan(&problem, &Options::default(), budget, &NoObserver)
                };
                let (found, more) = interrupted(from, Stop::Cancelled, run);
                let found = found.expect("it makes sense");
                let whose = format!("{name} on {}, ask {from}", problem.name);
                // Each module of each configuration under way in each planner asks at most once more, and each loop round them.
                let under_way = 4 * 5 * problem.modules.len() as u64 + 40;
                assert!(more.is_none_or(|more| more <= under_way), "{whose}: {more:?} more asks");
                if more.is_some() && found.status != Status::Solved {
                    assert_eq!(found.status, Status::Cancelled, "{whose}");
                    assert_eq!(found.stop, Some(Stop::Cancelled), "{whose}");
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
            let asks = Asks::new(u64::MAX, Stop::Cancelled);
            let interrupt = || asks.answer();
            let budget = Budget { expansions: 12, interrupt: &interrupt, ..Budget::unlimited() };
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
        let run = |budget: &Budget<'_>| improve(problem, &found.trips, u64::MAX, budget);
        let (trips, more) = interrupted(from, Stop::Cancelled, run);
        let under_way = 4 * problem.modules.len() as u64 + 10;
        assert!(more.is_some_and(|more| more <= under_way), "ask {from}: {more:?} more asks");
        assert_leads_part_of_the_way(problem, &trips, Status::Solved, "improve");
    }
}

#[test]
fn timing_that_is_stopped_is_sound() {
    let (problem, found) = outcome("stand");
    let moves = moves_of_trips(problem, &found.trips).expect("trips can be made");
    let note = || PlannerNote::new("test", 1);
    for objective in [Objective::Time, Objective::Margin] {
        for from in (1..3000).step_by(293) {
            let run = |budget: &Budget<'_>| {
                side_by_side(problem, &moves, note(), Status::Solved, 0.0, objective, budget)
            };
            // With the time up there is always a plan.
            let (timed, _) = interrupted(from, Stop::Spent, run);
            assert!(check_plan(problem, &timed.expect("there is a plan").plan).is_sound(), "ask {from}");
            // Cancelled, there is one or it says that there is none.
            let (timed, more) = interrupted(from, Stop::Cancelled, run);
            // Once over all drives in each loop that ends, with nothing judged any more.
            let under_way = 4 * moves.len() as u64 + 100;
            assert!(more.is_none_or(|more| more < under_way), "ask {from}: {more:?} more asks");
            match timed {
                Ok(timed) => assert!(check_plan(problem, &timed.plan).is_sound(), "ask {from}"),
                Err(error) => assert_eq!(error, ScheduleError::Stopped, "ask {from}"),
            }
        }
    }
    for from in [1, 1000, 5000] {
        let run = |budget: &Budget<'_>| trade_offs(problem, &moves, note(), Status::Solved, 0.0, budget);
        let table = interrupted(from, Stop::Spent, run).0.expect("there is a plan");
        assert!(!table.is_empty() && table.iter().all(|t| check_plan(problem, &t.plan).is_sound()));
        match interrupted(from, Stop::Cancelled, run).0 {
            Ok(table) => assert!(table.iter().all(|t| check_plan(problem, &t.plan).is_sound())),
            Err(error) => assert_eq!(error, ScheduleError::Stopped),
        }
    }
}

/// With no time for a search for the fewest braces there are more, and the plan is as sound.
#[test]
fn without_time_there_are_more_braces() {
    let mut more = 0;
    for name in ["pair", "row", "column", "regroup", "stand"] {
        let (problem, found) = outcome(name);
        let run = |budget: &Budget<'_>| {
            one_by_one_within(problem, &found.trips, PlannerNote::new("test", 1), Status::Solved, 0.0, budget)
        };
        let hasty = interrupted(1, Stop::Spent, run).0.expect("there is a plan");
        let careful = run(&Budget::unlimited()).expect("there is a plan");
        assert!(check_plan(problem, &hasty).is_sound(), "{name}");
        assert!(hasty.steps.len() >= careful.steps.len(), "{name}: fewer than the fewest");
        more += hasty.steps.len() - careful.steps.len();
    }
    assert!(more > 0, "the fewest were looked for all the same");
}
