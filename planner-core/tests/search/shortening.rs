//! Plans that get shorter.

use crate::support::fixture;
use clamber_core::unstable::control::Budget;
use clamber_core::unstable::motion::duration_s;
use clamber_core::unstable::search::{AStar, NoObserver, Options, Planner, shorten};
use clamber_core::unstable::travel::{Trip, Way, Waypoint};
use clamber_core::{Body, DVec3, Hold, Problem};

/// Time of trips one after the other, by the moves they are made of.
fn time_s(problem: &Problem, trips: &[Trip]) -> f64 {
    let mut now = problem.start.clone();
    let mut total = 0.0;
    for trip in trips {
        let hold = if matches!(trip.way, Way::Alone(_)) { Hold::Rolling } else { Hold::Braced };
        now.get_mut(trip.module).hold = hold;
        for (action, after) in trip.moves(problem, &now).expect("trips can be made") {
            total += duration_s(problem, trip.module, hold, &action);
            now = after;
        }
    }
    total
}

/// A module that drives away and comes back on the way to its slot is told not to.
#[test]
fn detours_are_left_out() {
    let (_, problem) = fixture("pair");
    let found = AStar
        .plan(&problem, &Options::default(), &Budget::unlimited(), &NoObserver)
        .expect("fixtures make sense");
    let first = &found.trips[0];
    let place = *problem.start.get(first.module);
    let Body::Ground(deck) = place.host else { panic!("the pair starts on the ground") };
    // Straight away from all others, so that nothing is in the way.
    let others: DVec3 = problem.start.iter().map(|(_, p)| p.position).sum();
    let from_others = (place.position - others / problem.modules.len() as f64).with_z(0.0);
    let away = place.position + from_others.normalize() * 0.2;
    let go = |position| Waypoint::straight(Body::Ground(deck), position);
    let mut longer =
        vec![Trip::alone(first.module, vec![go(away)]), Trip::alone(first.module, vec![go(place.position)])];
    longer.extend(found.trips.iter().cloned());
    let (detour_s, short_s) = (time_s(&problem, &longer), time_s(&problem, &found.trips));
    let better = shorten(&problem, &longer, 400, &Budget::unlimited());
    let better_s = time_s(&problem, &better);
    assert!(better_s < detour_s - 1.0, "{better_s} s against {detour_s} s");
    // The way back left another heading, so a yaw may differ.
    assert!(better_s <= short_s + 8.0, "{better_s} s against {short_s} s");
}

/// An improver never makes a plan longer, whatever it may spend, and the plan still passes.
#[test]
fn plans_only_get_shorter() {
    for name in ["pair", "row", "column"] {
        let (_, problem) = fixture(name);
        let options = Options::default();
        let found =
            AStar.plan(&problem, &options, &Budget::unlimited(), &NoObserver).expect("fixtures make sense");
        let mut last_s = time_s(&problem, &found.trips);
        for effort in [0, 50, 500] {
            let trips = shorten(&problem, &found.trips, effort, &Budget::unlimited());
            let now_s = time_s(&problem, &trips);
            assert!(now_s <= last_s + 1e-9, "{name}: {now_s} s after {last_s} s with {effort}");
            last_s = now_s;
        }
    }
}

/// After a long detour the crew stands as before it, and that takes few searches to see.
#[test]
fn detours_of_several_modules_are_skipped() {
    let (_, problem) = fixture("row");
    let found = AStar
        .plan(&problem, &Options::default(), &Budget::unlimited(), &NoObserver)
        .expect("fixtures make sense");
    let on_deck = |m| problem.start.get(m).host.ground().map(|deck| (m, Body::Ground(deck)));
    let crew: Vec<_> = problem.module_ids().filter_map(on_deck).collect();
    // To and fro by some millimetres, all together: more trips than are solved again at once.
    let mut longer: Vec<Trip> = Vec::new();
    for way_m in [0.004, 0.008, 0.0] {
        longer.extend(crew.iter().map(|&(module, host)| {
            let position = problem.start.get(module).position + DVec3::new(0.0, way_m, 0.0);
            Trip::alone(module, vec![Waypoint::straight(host, position)])
        }));
    }
    longer.extend(found.trips.iter().cloned());
    let (detour_s, short_s) = (time_s(&problem, &longer), time_s(&problem, &found.trips));
    let better_s = time_s(&problem, &shorten(&problem, &longer, 12, &Budget::unlimited()));
    assert!(detour_s > short_s + 10.0, "{detour_s} s is no detour beside {short_s} s");
    assert!(better_s <= short_s + 1e-9, "{better_s} s against {short_s} s");
}
