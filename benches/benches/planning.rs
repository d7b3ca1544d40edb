//! Trips of one module, whole plans, and the check of a whole plan.

use clamber_benches::{Fixture, search, timed};
use clamber_core::check::check_plan;
use clamber_core::math::DVec3;
use clamber_core::model::{Configuration, Hold, ModuleId, Problem, SlotPlace};
use clamber_core::travel::{Interest, Reachable, reachable, spots};
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

/// Everybody who can go, from the start of `stand` and from half-way to its goal.
struct Movers {
    problem: Problem,
    there: Configuration,
    interest: Interest,
    movers: Vec<ModuleId>,
    limit: f64,
}

impl Movers {
    fn new(half_way: bool) -> Self {
        let problem = Fixture::Stand.problem();
        let interest = Interest { places: places(&problem), beacons: places(&problem) };
        let mut there = problem.start.with_holds(|_| Hold::Braced);
        if half_way {
            let outcome = search(&problem);
            for trip in outcome.trips.iter().take(outcome.trips.len() / 2) {
                let rolling =
                    there.with_holds(|id| if id == trip.module { Hold::Rolling } else { Hold::Braced });
                let moves = trip.moves(&problem, &rolling).expect("a trip of a plan");
                there = moves.last().expect("a trip moves").1.with_holds(|_| Hold::Braced);
            }
        }
        let movers = there.iter().map(|(id, _)| id).filter(|&id| !there.is_stood_on(id)).collect();
        let limit = problem.limits.utilisation() - 1e-6;
        Self { problem, there, interest, movers, limit }
    }

    fn reachable(&self, mover: ModuleId) -> Reachable {
        reachable(&self.problem, &self.there, mover, &self.interest, self.limit)
    }
}

/// The spots of all movers.
#[divan::bench(args = [false, true], sample_count = 20)]
fn spots_of_all_movers(bencher: Bencher<'_, '_>, half_way: bool) {
    let scene = Movers::new(half_way);
    let Movers { problem, there, interest, movers, .. } = &scene;
    assert!(movers.iter().all(|&mover| spots(problem, there, mover, interest).len() > 50));
    bencher.bench_local(|| {
        movers.iter().map(|&mover| spots(black_box(problem), there, mover, interest).len()).sum::<usize>()
    });
}

/// All trips of all movers with their loads.
#[divan::bench(args = [false, true], sample_count = 20)]
fn trips_of_all_movers(bencher: Bencher<'_, '_>, half_way: bool) {
    let scene = Movers::new(half_way);
    let ends = |mover: &ModuleId| black_box(&scene).reachable(*mover).ends.len();
    assert!(scene.movers.iter().map(ends).sum::<usize>() > 10 * scene.movers.len());
    bencher.bench_local(|| scene.movers.iter().map(ends).sum::<usize>());
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
