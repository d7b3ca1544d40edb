//! Large crews timed in pieces: what is offered is sound, the same on any number of threads, and sooner than the sequence as it was found.

use super::in_pieces::{MANY, time_in_pieces};
use crate::control::{Budget, Interrupt, Stopped};
use crate::model::Problem;
use crate::plan::{PlannerNote, Status};
use crate::schedule::{Heading, moves_of_trips, quickly_side_by_side};
use crate::search::{NoObserver, Options, Planner, TakingApart};
use crate::unstable::generate::{Family, GenerateOptions, Kinds, generate};
use crate::{Scenario, check_plan, read_scenario, write_plan};
use rayon::ThreadPoolBuilder;
use std::sync::atomic::{AtomicU64, Ordering};

fn scene(family: Family, modules: usize, seed: u64, kinds: Kinds) -> (Scenario, Problem) {
    let options = GenerateOptions { modules, seed, kinds, ..GenerateOptions::default() };
    let scene = generate(family, options).expect("it can be drawn");
    read_scenario("scene.toml", &scene.text).expect("it makes sense")
}

fn heading() -> Heading {
    Heading { planner: PlannerNote::new("test", 1), status: Status::Solved, lower_bound_s: 0.0 }
}

/// All plans that are offered, as files.
fn offered(scenario: &Scenario, problem: &Problem, threads: usize) -> Vec<String> {
    let heading = heading();
    let budget = Budget { expansions: 400, ..Budget::unlimited() };
    let found = TakingApart.plan(problem, &Options::default(), &budget, &NoObserver).expect("it makes sense");
    assert_eq!(found.status, Status::Solved);
    let moves = moves_of_trips(problem, &found.trips).expect("trips can be made");
    let first = quickly_side_by_side(problem, &moves, &heading, Interrupt::NEVER).expect("it can be timed");
    let mut plans = Vec::new();
    let pool = ThreadPoolBuilder::new().num_threads(threads).build().expect("a pool");
    pool.install(|| {
        time_in_pieces(problem, &moves, &heading, &Budget::unlimited(), |checked| plans.push(checked.plan));
    });
    let ends_s = plans.iter().map(|plan| plan.summary.makespan_s);
    let (first_s, best_s) = (first.summary.makespan_s, ends_s.fold(f64::INFINITY, f64::min));
    assert!(best_s <= first_s, "in pieces {best_s} s, as found {first_s} s");
    for plan in &plans {
        let report = check_plan(problem, plan).expect("its values make sense");
        assert!(report.is_sound(), "{:?}", report.findings);
    }
    plans.iter().map(|plan| write_plan(scenario, problem, plan).expect("it can be written")).collect()
}

#[track_caller]
fn same_on_two_threads(family: Family, modules: usize, seed: u64, kinds: Kinds) {
    assert!(modules > MANY);
    let (scenario, problem) = scene(family, modules, seed, kinds);
    assert!(offered(&scenario, &problem, 1) == offered(&scenario, &problem, 2));
}

#[test]
fn walls() {
    same_on_two_threads(Family::Wall, 24, 2, Kinds::Cobble);
}

#[test]
fn rafts() {
    same_on_two_threads(Family::Raft, 24, 3, Kinds::Random);
}

/// It ends soon after it is told to, wherever it is.
#[test]
fn it_can_be_stopped() {
    let (_, problem) = scene(Family::Raft, 20, 1, Kinds::Cobble);
    let heading = heading();
    let budget = Budget { expansions: 400, ..Budget::unlimited() };
    let found =
        TakingApart.plan(&problem, &Options::default(), &budget, &NoObserver).expect("it makes sense");
    let moves = moves_of_trips(&problem, &found.trips).expect("trips can be made");
    for asks in [0, 1, 10, 100, 1000] {
        let asked = AtomicU64::new(0);
        let stopped = || (asked.fetch_add(1, Ordering::Relaxed) >= asks).then_some(Stopped::Spent);
        let budget = Budget { interrupt: Interrupt::new(&stopped), ..Budget::unlimited() };
        time_in_pieces(&problem, &moves, &heading, &budget, |_| {});
        let asked = asked.into_inner();
        assert!(asked <= asks + 50, "{asked} asks, told to stop after {asks}");
    }
}
