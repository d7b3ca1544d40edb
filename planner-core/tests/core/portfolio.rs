//! What the planners were made for: structures nobody asked for, arms that carry, plans that get shorter.

use crate::planned::{outcome, plan_by};
use crate::support::fixture;
use clamber_core::DVec3;
use clamber_core::Interrupt;
use clamber_core::PlannerName;
use clamber_core::Status;
use clamber_core::check_plan;
use clamber_core::read_scenario;
use clamber_core::unstable::control::Budget;
use clamber_core::unstable::search::{AStar, Bridging, NoObserver, NoveltyFirst, Options, Planner, shorten};
use clamber_core::unstable::solve::Portfolio;
use clamber_core::unstable::travel::{Trip, Way, Waypoint};
use clamber_core::{Body, Hold, ModuleId, Problem};
use clamber_core::{Move, duration_s};

fn problem_of(name: &str, text: &str) -> Problem {
    read_scenario(name, text).expect("fixtures are sound").1
}

fn headwall() -> Problem {
    problem_of("headwall", include_str!("../../../fixtures/headwall.toml"))
}

fn ferry() -> Problem {
    problem_of("ferry", include_str!("../../../fixtures/ferry.toml"))
}

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

#[test]
fn every_planner_solves_the_pair() {
    let (_, problem) = fixture("pair");
    for (name, word) in PlannerName::ALL {
        if name == PlannerName::Bridging {
            continue; // for goals that ask modules to gather
        }
        let plan = plan_by(&*name.planner(), &problem, &Options::default());
        assert!(check_plan(&problem, &plan).is_sound(), "{word}");
        assert!(plan.summary.makespan_s >= plan.summary.lower_bound_s, "{word}");
    }
}

/// That all six can get up a wall of one and a half module heights is common practice of the trade, without a source.
#[test]
fn all_six_get_up_the_headwall() {
    let problem = headwall();
    let plan = plan_by(&Bridging, &problem, &Options::default());
    let report = check_plan(&problem, &plan);
    assert!(report.is_sound(), "{:?}", report.findings.first());
}

/// The arm carries the peer across. There is a longer way as well, in which arm and peer go round the root past each other; novelty may find
/// either.
#[test]
fn the_ferry_carries_its_peer() {
    let problem = ferry();
    for planner in [&AStar as &dyn Planner, &NoveltyFirst] {
        let found = planner
            .plan(&problem, &Options::default(), &Budget::unlimited(), &NoObserver)
            .expect("it makes sense");
        assert_eq!(found.status, Status::Solved);
        let carries = |trip: &Trip| matches!(trip.way, Way::Carrying(Move::Yaw { .. }));
        assert!(found.trips.iter().any(carries) || planner.name() != "astar", "{}", planner.name());
        let plan = plan_by(planner, &problem, &Options::default());
        assert!(check_plan(&problem, &plan).is_sound(), "{}", planner.name());
    }
}

/// A trip turned round leads back to where it began, carried or alone.
#[test]
fn trips_turned_round_lead_back() {
    let (problem, found) = outcome("row");
    let mut now = problem.start.with_holds(|_| Hold::Rolling);
    for trip in &found.trips {
        let place = *now.get(trip.module);
        let after = trip.moves(problem, &now).expect("a trip of a plan").pop().expect("it moves").1;
        let back = trip.reversed(Waypoint::straight(place.host, place.position));
        let again = back.moves(problem, &after).expect("the way back").pop().expect("it moves").1;
        assert!(again.get(trip.module).position.distance(place.position) < 1e-9);
        assert_eq!(again.get(trip.module).host, place.host);
        now = after;
    }
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
    let Body::Deck(deck) = place.host else { panic!("the pair starts on the ground") };
    // Straight away from all others, so that nothing is in the way.
    let others: DVec3 = problem.start.iter().map(|(_, p)| p.position).sum();
    let from_others = (place.position - others / problem.modules.len() as f64).with_z(0.0);
    let away = place.position + from_others.normalize() * 0.2;
    let go = |position| Waypoint::straight(Body::Deck(deck), position);
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

/// An interrupted portfolio says so and leaves a sound part.
#[test]
fn a_cancelled_portfolio_says_so() {
    use clamber_core::unstable::control::Stopped;
    use std::sync::atomic::{AtomicU32, Ordering};
    let problem = headwall();
    let asked = AtomicU32::new(0);
    let interrupt = || (asked.fetch_add(1, Ordering::Relaxed) > 5).then_some(Stopped::Cancelled);
    let budget = Budget { interrupt: Interrupt::new(&interrupt), ..Budget::unlimited() };
    let found = Portfolio.plan(&problem, &Options::default(), &budget, &NoObserver).expect("it makes sense");
    assert_eq!(found.status, Status::Cancelled);
    assert!(found.trips.iter().all(|trip| trip.module < ModuleId(6)));
}
