//! Rests and routes of all movers of `stand`, from its start and from half-way to its goal: the inner loop of every planner.
//!
//! *Rests* are the places at which trips may end, with those that help to get past something (`spots`). *Routes* are quickest trips to all
//! of them (`reachable`): finding the rests, all faces and tangent graphs, drives, yaws and hops, their times, and the ways as waypoints. *With
//! loads* every instant of every trip is certified to carry its load, which `stand` needs touches for in many places. *Side by side* the
//! movers are shared out among all processors, as the searches do when they expand a configuration; the others take them one by one.

use clamber_benches::{Fixture, search};
use clamber_core::DVec3;
use clamber_core::Interrupt;
use clamber_core::unstable::travel::{Interest, reachable, spots};
use clamber_core::{Configuration, Hold, ModuleId, Problem, SlotPlace};
use divan::{Bencher, black_box};
use rayon::prelude::*;

fn main() {
    divan::main();
}

/// Everybody who can go, and what they look for.
struct Movers {
    problem: Problem,
    there: Configuration,
    interest: Interest,
    movers: Vec<ModuleId>,
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
        Self { problem, there, interest, movers }
    }

    fn rests(&self) -> usize {
        let Self { problem, there, interest, movers } = black_box(self);
        movers.iter().map(|&mover| spots(problem, there, mover, interest).len()).sum()
    }

    fn routes(&self, limit: f64) -> usize {
        black_box(self).movers.iter().map(|&mover| self.routes_of(mover, limit)).sum()
    }

    fn routes_side_by_side(&self, limit: f64) -> usize {
        black_box(self).movers.par_iter().map(|&mover| self.routes_of(mover, limit)).sum()
    }

    fn routes_of(&self, mover: ModuleId, limit: f64) -> usize {
        let Self { problem, there, interest, .. } = black_box(self);
        reachable(problem, there, mover, interest, limit, Interrupt::NEVER)
            .expect("it is never stopped")
            .ends
            .len()
    }

    /// The limit that the searches keep.
    fn limit(&self) -> f64 {
        self.problem.limits.utilisation() - 1e-6
    }
}

/// Nominal places of the slots of a scene with one kind.
fn places(problem: &Problem) -> Vec<DVec3> {
    let mut places: Vec<DVec3> = Vec::new();
    for slot in &problem.goal.slots {
        let module = ModuleId(0);
        let host = match slot.place {
            SlotPlace::OnGround(..) => None,
            SlotPlace::OnSlot(below, _) => Some((module, places[below.index()])),
        };
        places.push(problem.slot_place(slot, module, host).expect("hosts come first"));
    }
    places
}

/// Rests alone.
#[divan::bench(args = [false, true], sample_count = 20)]
fn rests(bencher: Bencher<'_, '_>, half_way: bool) {
    let scene = Movers::new(half_way);
    assert!(scene.rests() > 50 * scene.movers.len());
    bencher.bench_local(|| scene.rests());
}

/// Rests and routes, loads left aside.
#[divan::bench(args = [false, true], sample_count = 20)]
fn rests_and_routes(bencher: Bencher<'_, '_>, half_way: bool) {
    let scene = Movers::new(half_way);
    assert!(scene.routes(f64::INFINITY) > 10 * scene.movers.len());
    bencher.bench_local(|| scene.routes(f64::INFINITY));
}

/// Rests and routes with loads.
#[divan::bench(args = [false, true], sample_count = 20)]
fn rests_and_routes_with_loads(bencher: Bencher<'_, '_>, half_way: bool) {
    let scene = Movers::new(half_way);
    assert!(scene.routes(scene.limit()) > 10 * scene.movers.len());
    bencher.bench_local(|| scene.routes(scene.limit()));
}

/// Rests and routes, loads left aside, movers side by side.
#[divan::bench(args = [false, true], sample_count = 20)]
fn rests_and_routes_side_by_side(bencher: Bencher<'_, '_>, half_way: bool) {
    let scene = Movers::new(half_way);
    assert_eq!(scene.routes_side_by_side(f64::INFINITY), scene.routes(f64::INFINITY));
    bencher.bench_local(|| scene.routes_side_by_side(f64::INFINITY));
}

/// Rests and routes with loads, movers side by side.
#[divan::bench(args = [false, true], sample_count = 20)]
fn rests_and_routes_with_loads_side_by_side(bencher: Bencher<'_, '_>, half_way: bool) {
    let scene = Movers::new(half_way);
    assert_eq!(scene.routes_side_by_side(scene.limit()), scene.routes(scene.limit()));
    bencher.bench_local(|| scene.routes_side_by_side(scene.limit()));
}
