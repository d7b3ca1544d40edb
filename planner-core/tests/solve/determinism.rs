//! The same bytes on any number of threads.

use crate::support::{fixture, heading, timed_one_by_one};
use clamber_core::Plan;
use clamber_core::Problem;
use clamber_core::unstable::control::Budget;
use clamber_core::unstable::search::{NoObserver, Options, Outcome, Planner};
use clamber_core::write_plan;
use clamber_core::{PlannerName, Strategy};
use rayon::ThreadPoolBuilder;

fn timed(problem: &Problem, outcome: &Outcome) -> Plan {
    let heading = heading(outcome.status, outcome.lower_bound_s);
    timed_one_by_one(problem, &outcome.trips, &heading, &Budget::unlimited())
}

fn plan_file(name: &str, planner: &dyn Planner, seed: u64, threads: usize, expansions: u64) -> String {
    let (scenario, problem) = fixture(name);
    let pool = ThreadPoolBuilder::new().num_threads(threads).build().expect("a pool");
    pool.install(|| {
        let options = Options { seed, ..Options::default() };
        let budget = Budget { expansions, ..Budget::unlimited() };
        let outcome = planner.plan(&problem, &options, &budget, &NoObserver).expect("fixtures make sense");
        let statistics = format!("{:?}", outcome.statistics);
        let plan = timed(&problem, &outcome);
        statistics + &write_plan(&scenario, &problem, &plan).expect("a plan can be written")
    })
}

fn same_on_all_pools(planner: Strategy, names: &[&str], expansions: u64) {
    let planner = planner.planner();
    for name in names {
        let alone = plan_file(name, &*planner, 1, 1, expansions);
        for threads in [2, 4] {
            let other = plan_file(name, &*planner, 1, threads, expansions);
            assert!(alone == other, "{name} by {} differs on {threads} threads", planner.name());
        }
    }
}

#[test]
fn astar_on_one_two_and_four_threads() {
    same_on_all_pools(Strategy::Single(PlannerName::AStar), &["pair", "row", "column", "stand"], u64::MAX);
    same_on_all_pools(Strategy::Single(PlannerName::AStar), &["regroup"], 64);
}

#[test]
fn the_portfolio_on_one_two_and_four_threads() {
    same_on_all_pools(Strategy::Auto, &["pair", "column"], u64::MAX);
}

#[test]
fn novelty_and_beam_on_one_two_and_four_threads() {
    same_on_all_pools(Strategy::Single(PlannerName::Novelty), &["pair", "regroup"], 40);
    same_on_all_pools(Strategy::Single(PlannerName::Beam), &["pair", "regroup"], 40);
}

/// On column and stand the search is cut short to save time: that too must be the same.
#[test]
fn taking_apart_on_one_two_and_four_threads() {
    same_on_all_pools(Strategy::Single(PlannerName::TakingApart), &["pair", "row"], u64::MAX);
    same_on_all_pools(Strategy::Single(PlannerName::TakingApart), &["column", "regroup", "stand"], 24);
}
