//! Other trips that end sooner: against the trips they began with, the checker, both lower bounds, and other numbers of threads.

use crate::support::{heading, interrupted, outcome, with_figures};
use clamber_core::Interrupt;
use clamber_core::Move;
use clamber_core::Objective;
use clamber_core::check_plan;
use clamber_core::read_scenario;
use clamber_core::unstable::control::{Budget, Stopped};
use clamber_core::unstable::generate::{Family, GenerateOptions, generate};
use clamber_core::unstable::motion::is_sound_at_rest;
use clamber_core::unstable::schedule::{moves_of_trips, side_by_side};
use clamber_core::unstable::search::{
    NoObserver, Options, Planner, TakingApart, makespan_lower_bound_s, uncarried_makespan_lower_bound_s,
};
use clamber_core::unstable::solve::rearrange;
use clamber_core::unstable::travel::{Interest, Trip, quickest_to, reachable};
use clamber_core::{Hold, ModuleId, Problem};
use clamber_core::{Plan, Status};
use rayon::ThreadPoolBuilder;

/// Changes in a row without gain, for ten trips; for those of these scenes some ten times as many.
const PATIENCE: u64 = 4;

fn scene(family: Family, modules: usize, seed: u64) -> Problem {
    let options = GenerateOptions { modules, seed, ..GenerateOptions::default() };
    let generated = generate(family, options).expect("the family can be drawn");
    read_scenario("scene.toml", &generated.text).expect("generated scenes can be read").1
}

fn taken_apart(problem: &Problem) -> Vec<Trip> {
    let budget = Budget { expansions: 200, ..Budget::unlimited() };
    let outcome =
        TakingApart.plan(problem, &Options::default(), &budget, &NoObserver).expect("scenes make sense");
    assert_eq!(outcome.status, Status::Solved);
    outcome.trips
}

/// The plan of moves in the order in which they are given.
fn as_given(problem: &Problem, moves: &[(ModuleId, Move)]) -> Plan {
    let budget = Budget { expansions: 0, ..Budget::unlimited() };
    let timed = side_by_side(problem, moves, &heading(Status::Solved, 0.0), Objective::Time, &budget);
    with_figures(problem, timed.expect("the moves can be timed").plan)
}

#[test]
fn rearranged_plans_are_sound_and_end_sooner() {
    let (mut before_s, mut after_s) = (0.0, 0.0);
    for (modules, seed) in [(4, 901), (5, 902), (6, 903)] {
        let problem = scene(Family::ScatteredToShape, modules, seed);
        let trips = taken_apart(&problem);
        let plan = as_given(&problem, &moves_of_trips(&problem, &trips).expect("trips can be made"));
        let found = rearrange(&problem, &[trips], 1, PATIENCE, 0.0, &Budget::unlimited(), &mut |_| {});
        let rearranged = as_given(&problem, &found.moves.expect("the trips given can be timed"));
        let findings = check_plan(&problem, &rearranged).expect("its values make sense").findings;
        assert!(findings.is_empty(), "{modules} modules, seed {seed}: {findings:?}");
        let (old_s, new_s) = (plan.summary.makespan_s, rearranged.summary.makespan_s);
        // Loads that were proven for states a fraction of a micrometre off may differ by a hair.
        assert!(new_s <= old_s + 0.01, "{modules} modules, seed {seed}: {new_s} s after {old_s} s");
        let (any_s, uncarried_s) =
            (makespan_lower_bound_s(&problem), uncarried_makespan_lower_bound_s(&problem));
        assert!(any_s <= new_s && (rearranged.carries_anybody(&problem) || uncarried_s <= new_s));
        before_s += old_s;
        after_s += new_s;
    }
    assert!(after_s < 0.95 * before_s, "{after_s} s after {before_s} s");
}

#[test]
fn rearranging_is_the_same_on_any_number_of_threads() {
    let problem = scene(Family::ScatteredToShape, 5, 904);
    let trips = taken_apart(&problem);
    let on = |threads| {
        let pool = ThreadPoolBuilder::new().num_threads(threads).build().expect("a pool");
        let look = || {
            rearrange(&problem, std::slice::from_ref(&trips), 7, 1, 0.0, &Budget::unlimited(), &mut |_| {})
        };
        pool.install(look)
    };
    let alone = on(1);
    assert!(alone.moves.is_some());
    for threads in [2, 4] {
        assert_eq!(on(threads), alone, "{threads} threads");
    }
}

#[test]
fn rearranging_stops_when_told_to() {
    let problem = scene(Family::ScatteredToShape, 4, 905);
    let trips = taken_apart(&problem);
    let budget = Budget { interrupt: Interrupt::new(&|| Some(Stopped::Cancelled)), ..Budget::unlimited() };
    assert_eq!(rearrange(&problem, &[trips], 1, u64::MAX, 0.0, &budget, &mut |_| {}).moves, None);
}

/// A search that ends at one place finds what the search for all places finds.
#[test]
fn the_quickest_trip_to_one_place_is_that_among_all() {
    let mut compared = 0;
    for seed in 906..909 {
        let problem = scene(Family::ShapeToShape, 5, seed);
        let start = problem.start.with_holds(|_| Hold::Braced);
        assert!(is_sound_at_rest(&problem, &start));
        let limit = problem.limits.utilisation() - 1e-6;
        for mover in problem.module_ids().filter(|m| !start.is_stood_on(*m)) {
            for end in reachable(&problem, &start, mover, &Interest::default(), limit, Interrupt::NEVER)
                .expect("it is never stopped")
                .ends
            {
                let place = (end.place.host, end.place.position);
                let found = quickest_to(&problem, &start, mover, place, limit, Interrupt::NEVER)
                    .expect("it is never stopped");
                let one = found.expect("it can be reached");
                // The place itself is one more place to pass at, so the way may only be shorter.
                assert!(one.time_s <= end.time_s + 1e-9, "{} s, {} s", one.time_s, end.time_s);
                compared += 1;
            }
        }
    }
    assert!(compared > 50, "{compared}");
}

/// With endless patience it would go on for ever, long after everything it could try is known.
#[test]
fn rearranging_hears_a_cancel() {
    for name in ["pair", "stand"] {
        let (problem, found) = outcome(name);
        let trips = std::slice::from_ref(&found.trips);
        for from in [1, 500, 20_000] {
            let run = |budget: &Budget<'_>| rearrange(problem, trips, 1, u64::MAX, 0.0, budget, &mut |_| {});
            let (_, more) = interrupted(from, Stopped::Cancelled, run);
            // Each of eight changes that are looked at side by side asks at most a few times more.
            assert!(more.is_some_and(|more| more <= 64), "{name}, ask {from}: {more:?} more asks");
        }
    }
}
