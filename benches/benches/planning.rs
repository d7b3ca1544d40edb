//! Trips of one module, whole plans, and the check of a whole plan.

use clamber_benches::{Fixture, last_free, search, timed};
use clamber_core::check::check_plan;
use clamber_core::math::DVec3;
use clamber_core::model::{Hold, Problem, SlotPlace};
use clamber_core::travel::{Interest, reachable, spots};
use divan::{Bencher, black_box};

fn main() {
    divan::main();
}

/// Nominal places of the slots of a scene with one kind.
fn places(problem: &Problem) -> Vec<DVec3> {
    let mut places: Vec<DVec3> = Vec::new();
    for slot in &problem.goal.slots {
        let module = clamber_core::model::ModuleId(0);
        let host = match slot.place {
            SlotPlace::OnDeck(..) => None,
            SlotPlace::OnSlot(below, _) => Some((module, places[below.index()])),
        };
        places.push(problem.slot_place(slot, module, host).expect("hosts come first"));
    }
    places
}

/// The spots of one of seven.
#[divan::bench]
fn spots_of_one_of_seven(bencher: Bencher<'_, '_>) {
    let problem = Fixture::Stand.problem();
    let interest = Interest { places: places(&problem), beacons: places(&problem) };
    let mover = last_free(&problem.start);
    assert!(spots(&problem, &problem.start, mover, &interest).len() > 100);
    bencher.bench_local(|| spots(black_box(&problem), &problem.start, mover, &interest));
}

/// All trips of one of seven from the start.
#[divan::bench(sample_count = 20)]
fn trips_of_one_of_seven(bencher: Bencher<'_, '_>) {
    let problem = Fixture::Stand.problem();
    let interest = Interest { places: places(&problem), beacons: places(&problem) };
    let mover = last_free(&problem.start);
    let braced = problem.start.with_holds(|_| Hold::Braced);
    let limit = problem.limits.utilisation() - 1e-6;
    let found = reachable(&problem, &braced, mover, &interest, limit);
    assert!(found.ends.len() > 20, "{} ends", found.ends.len());
    bencher.bench_local(|| reachable(black_box(&problem), &braced, mover, &interest, limit));
}

/// The check of a whole plan.
#[divan::bench(args = Fixture::ALL, sample_count = 10, sample_size = 1)]
fn check(bencher: Bencher<'_, '_>, fixture: Fixture) {
    let problem = fixture.problem();
    let plan = timed(&problem, &search(&problem));
    assert!(check_plan(&problem, &plan).is_sound());
    bencher.bench_local(|| check_plan(black_box(&problem), black_box(&plan)));
}

/// The search for trips with default options, on all cores.
#[divan::bench(args = Fixture::ALL, sample_count = 5, sample_size = 1)]
fn plan(bencher: Bencher<'_, '_>, fixture: Fixture) {
    let problem = fixture.problem();
    bencher.bench_local(|| search(black_box(&problem)));
}

/// Trips into a timed plan with its braces.
#[divan::bench(args = Fixture::ALL, sample_count = 5, sample_size = 1)]
fn schedule(bencher: Bencher<'_, '_>, fixture: Fixture) {
    let problem = fixture.problem();
    let outcome = search(&problem);
    bencher.bench_local(|| timed(black_box(&problem), black_box(&outcome)));
}
