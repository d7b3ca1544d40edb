//! Ways over edges: shortest drives and crosses against closed forms.

use crate::support::{block, cobble, empty, on_deck};
use clamber_core::unstable::control::Interrupt;
use clamber_core::unstable::geometry::Slope;
use clamber_core::unstable::motion::Stretch;
use clamber_core::unstable::travel::{Face, Waypoint, compile, quickest_to};
use clamber_core::{Body, Configuration, DVec2, DVec3, GroundId, Kind, ModuleId, Move, Problem};
use std::f64::consts::TAU;

const FIRST: ModuleId = ModuleId(0);

fn crossing_kind() -> Kind {
    Kind { step_limit_m: 0.004, crease_limit_rad: 12_f64.to_radians(), ..cobble() }
}

/// Grounds of different friction side by side along x, each a metre long, with tops that rise by these degrees; turned and shifted as a whole.
fn strips(degrees: &[f64], turned: f64, shift: DVec2) -> Problem {
    let (mut height, mut decks) = (0.0, Vec::new());
    let ahead = DVec2::from_angle(turned);
    for (index, degrees) in degrees.iter().enumerate() {
        let rise = degrees.to_radians().tan();
        let x = index as f64;
        let mut deck = block(&format!("d{index}"), [x, -1.0], [x + 1.0, 1.0], f64::NEG_INFINITY, 0.0, 0.7);
        deck.2.friction += 0.01 * x;
        for corner in &mut deck.1.outline {
            *corner = ahead.rotate(*corner) + shift;
        }
        let begins = ahead * x + shift;
        deck.1.top = Slope::rising(height - rise * ahead.dot(begins), ahead * rise);
        height += rise;
        decks.push(deck);
    }
    empty(vec![crossing_kind()], decks)
}

/// The moves of the quickest trip to a place on a ground, and the length of its way.
fn trip(problem: &Problem, to: GroundId, at: DVec2) -> (Vec<(Move, Configuration)>, f64) {
    let place = problem.ground(to).stand(at, problem.kinds[0].ride_height_m);
    let limit = problem.limits.utilisation();
    let target = (Body::Ground(to), place);
    let found = quickest_to(problem, &problem.start, FIRST, target, limit, Interrupt::NEVER);
    let found = found.expect("it is never stopped").expect("there is a way");
    let moves = compile(problem, &problem.start, FIRST, &found.waypoints).expect("it can be driven");
    let length = moves.iter().map(|(action, _)| action.travel_m().abs()).sum();
    (moves, length)
}

/// Over one edge of level ground the way is square to the edge for a foot's radius to either side, and straight before and after. By reflection its
/// length is `2 b + √((apart − 2 b)² + across²)`. The points of the edge are offered at intervals, so it may be longer by a hundredth.
#[test]
fn the_shortest_way_over_one_edge() {
    for turned in [0.0, 0.4, 2.0] {
        for (y, goal) in [(0.0, 0.0), (-0.4, 0.5), (0.2, -0.7)] {
            let mut problem = strips(&[0.0, 0.0], turned, DVec2::new(0.3, -0.2));
            let from_above = |p: DVec2| DVec2::from_angle(turned).rotate(p) + DVec2::new(0.3, -0.2);
            on_deck(&mut problem, from_above(DVec2::new(0.4, y)).to_array());
            let (_, length) = trip(&problem, GroundId(1), from_above(DVec2::new(1.5, goal)));
            let shortest = 0.08 + (1.1 - 0.08_f64).hypot(goal - y);
            assert!(length >= shortest - 1e-9 && length <= 1.01 * shortest, "{length} {shortest}");
        }
    }
}

/// Over ramps up and down every move is sound, and the way leads over every edge once.
#[test]
fn ways_over_ramps_are_sound() {
    let degrees = [0.0, 9.0, 2.0, -8.0, 0.0];
    for eighth in 0..4 {
        let turned = TAU / 16.0 * f64::from(eighth) + 0.1;
        let mut problem = strips(&degrees, turned, DVec2::new(-0.5, 0.25));
        let from_above = |p: DVec2| DVec2::from_angle(turned).rotate(p) + DVec2::new(-0.5, 0.25);
        on_deck(&mut problem, from_above(DVec2::new(0.5, 0.3)).to_array());
        let (moves, _) = trip(&problem, GroundId(4), from_above(DVec2::new(4.5, -0.3)));
        let mut before = problem.start.clone();
        for (action, after) in &moves {
            let stretch = Stretch::of_move(&problem, &before, FIRST, action, after);
            assert!(stretch.is_clear(), "{action:?}");
            let worst = stretch.worst_utilisation(Interrupt::NEVER).expect("it is never stopped");
            assert!(worst.utilisation.within(problem.limits.utilisation()), "{action:?}");
            before = after.clone();
        }
        let crosses = moves.iter().filter(|(action, _)| matches!(action, Move::Cross { .. })).count();
        assert_eq!(crosses, 4);
    }
}

/// A kind that cannot tilt so far does not cross.
#[test]
fn no_way_over_a_crease_beyond_the_limit() {
    let mut problem = strips(&[0.0, 12.5], 0.0, DVec2::ZERO);
    on_deck(&mut problem, [0.5, 0.0]);
    let place: DVec3 = problem.ground(GroundId(1)).stand(DVec2::new(1.5, 0.0), 0.06);
    let target = (Body::Ground(GroundId(1)), place);
    let found = quickest_to(&problem, &problem.start, FIRST, target, f64::INFINITY, Interrupt::NEVER);
    assert_eq!(found, Ok(None));
}

/// Beside a rough wall a drive may keep as little as the plan begins with (section 4 of the model page, rule 5). A part of a crew that is looked at
/// alone has no such place, and keeps all.
#[test]
fn only_where_the_plan_begins_is_less_room_enough() {
    let floor = block("floor", [0.0, -1.0], [1.0, 1.0], f64::NEG_INFINITY, 0.0, 0.7);
    let mut wall = block("wall", [1.0, -1.0], [2.0, 1.0], f64::NEG_INFINITY, 0.5, 0.7);
    wall.2.relief_m = 0.005;
    let mut problem = empty(vec![cobble()], vec![floor, wall]);
    let beside = 1.0 - problem.kinds[0].shell_radius_m - 0.001;
    on_deck(&mut problem, [beside, 0.0]);
    let (there, host) = (problem.start.clone(), Body::Ground(GroundId(0)));
    let along = |problem: &Problem| {
        let from = there.get(FIRST).position;
        Face::new(problem, &there, FIRST, host, Interrupt::NEVER)
            .expect("nothing stops it")
            .is_clear(from, &Waypoint::straight(host, from + DVec3::Y * 0.3))
    };
    assert!(along(&problem));
    problem.start = Configuration::default();
    assert!(!along(&problem));
}
