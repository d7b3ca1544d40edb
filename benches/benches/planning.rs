//! Whole plans, and the check of a whole plan.

use clamber_benches::{Fixture, search, timed};
use clamber_core::check_plan;
use divan::{Bencher, black_box};

fn main() {
    divan::main();
}

/// The check of a whole plan.
#[divan::bench(args = Fixture::ALL, sample_count = 10, sample_size = 1)]
fn check(bencher: Bencher<'_, '_>, fixture: Fixture) {
    let problem = fixture.problem();
    let plan = timed(&problem, &search(&problem));
    assert!(check_plan(&problem, &plan).expect("its values make sense").is_sound());
    bencher.bench_local(|| check_plan(black_box(&problem), black_box(&plan)).expect("its values make sense"));
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
