//! Trips against the moves they are made of, and trips with loads against trips that leave them aside.

use crate::support::{FIXTURES, fixture, outcome};
use clamber_core::DVec3;
use clamber_core::Interrupt;
use clamber_core::unstable::motion::Stretch;
use clamber_core::unstable::motion::duration_s;
use clamber_core::unstable::statics::WarmStart;
use clamber_core::unstable::travel::{Interest, Reach, Waypoint, compile, reachable};
use clamber_core::{Configuration, Hold, ModuleId, Move, Placement, Problem};
use std::f64::consts::PI;

/// Ramps make tiny drives long: a yaw of 1e-7 rad takes 2 √(1e-7 / 0.8 · 0.2) s, and no more is known of the direction of a slide of some nanometres.
const ROUNDED_YAW_S: f64 = 4e-4;

/// Calls `look` with all trips of everybody who can go, from the start and from where some of them lead.
fn walk(steps: usize, mut look: impl FnMut(&Problem, &Configuration, ModuleId, &[Reach])) {
    for name in FIXTURES {
        let problem = fixture(name).1;
        let limit = problem.limits.utilisation() - 1e-6;
        let mut there = problem.start.with_holds(|_| Hold::Braced);
        for step in 0..steps {
            let free = |id: &ModuleId| !there.is_stood_on(*id) && !problem.modules[id.index()].stuck;
            let mut all: Vec<(ModuleId, Placement)> = Vec::new();
            for mover in problem.module_ids().filter(free) {
                let ends = reachable(&problem, &there, mover, &Interest::default(), limit, Interrupt::NEVER)
                    .expect("it is never stopped")
                    .ends;
                look(&problem, &there, mover, &ends);
                all.extend(ends.iter().map(|end| (mover, end.place)));
            }
            // As good as any: far into the list, so that many go up.
            let Some(&(mover, place)) = all.get((31 * step + 17) * all.len() / 97 % all.len().max(1)) else {
                break;
            };
            *there.get_mut(mover) = Placement { hold: Hold::Braced, ..place };
        }
    }
}

/// A trip takes the time it says, ends where and how it says, and its moves are sound at every instant.
#[test]
fn trips_are_what_they_say() {
    let (mut trips, mut looked_at) = (0, 0);
    walk(6, |problem, there, mover, ends| {
        let mut start = there.clone();
        start.get_mut(mover).hold = Hold::Rolling;
        for end in ends {
            let moves = compile(problem, &start, mover, &end.waypoints).expect("moves that can be begun");
            let time_s: f64 =
                moves.iter().map(|(action, _)| duration_s(problem, mover, Hold::Rolling, action)).sum();
            let place = moves.last().expect("a trip moves").1.get(mover);
            assert!((time_s - end.time_s).abs() < ROUNDED_YAW_S, "{time_s} is not {}", end.time_s);
            assert!(place.position.distance(end.place.position) < 1e-9);
            assert_eq!(place.host, end.place.host);
            for axis in [DVec3::X, DVec3::Z] {
                let (is, says) = (place.orientation * axis, end.place.orientation * axis);
                assert!(is.distance(says) < 1e-7, "{is} is not {says}");
            }
            trips += 1;
            if trips % 7 == 0 {
                let mut before = start.clone();
                for (action, after) in moves {
                    let stretch = Stretch::of_move(problem, &before, mover, &action, &after);
                    assert!(
                        stretch.is_clear()
                            && stretch
                                .carries(
                                    problem.limits.utilisation(),
                                    &mut WarmStart::default(),
                                    Interrupt::NEVER
                                )
                                .expect("it is never stopped"),
                        "{action:?}"
                    );
                    before = after;
                }
                looked_at += 1;
            }
        }
    });
    assert!(trips > 3000 && looked_at > 400, "{trips} trips, {looked_at} looked at");
}

/// With loads left aside a mover gets wherever it gets with them, and at most half a turn later: of two ways to a place the quicker is kept, whatever
/// the heading it ends with.
#[test]
fn loads_only_forbid() {
    let mut more = 0;
    walk(2, |problem, there, mover, ends| {
        let freely = reachable(problem, there, mover, &Interest::default(), f64::INFINITY, Interrupt::NEVER)
            .expect("it is never stopped")
            .ends;
        for end in ends {
            let twin = freely.iter().find(|other| {
                other.place.host == end.place.host && other.place.position.distance(end.place.position) < 1e-9
            });
            let twin = twin.expect("it gets there");
            let half_turn_s = duration_s(problem, mover, Hold::Rolling, &Move::Yaw { angle_rad: PI });
            assert!(twin.time_s <= end.time_s + half_turn_s, "{} > {}", twin.time_s, end.time_s);
        }
        more += freely.len() - ends.len();
    });
    assert!(more > 100, "the load forbids {more} rests");
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
