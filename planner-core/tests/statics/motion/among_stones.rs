//! Crosses over edges, and drives, among stones, other modules and walls: the smallest gap that is claimed against ten thousand instants, whose places
//! are put together here from section 6 of the model page.
//!
//! `CLAMBER_CASES=3000 cargo test -p clamber-core --release --test statics among_stones` looks at as many random sites.

use super::crosses::{EAST, FIRST, scene as two_grounds};
use crate::support::{Dice, fixed, on_deck};
use clamber_core::unstable::model::Stone;
use clamber_core::unstable::motion::{Attached, Fault, Stretch, apply};
use clamber_core::{Configuration, DQuat, DVec2, DVec3, Interrupt, Move, Problem};
use proptest::prelude::*;

const INSTANTS: u32 = 10_000;

fn cases() -> u32 {
    std::env::var("CLAMBER_CASES").ok().and_then(|text| text.parse().ok()).unwrap_or(300)
}

/// Two grounds that meet in a random step and crease, some of whose bodies lie near the mover's way.
fn site(dice: &mut Dice) -> Problem {
    let (step_m, degrees) = (dice.between(-0.004, 0.004), dice.between(-11.0, 11.0));
    let mut problem = two_grounds(step_m, degrees, [dice.between(-0.12, -0.04), dice.between(-0.1, 0.1)]);
    for number in 0..3 + dice.below(4) {
        let name = format!("s{number}");
        let at = DVec2::new(dice.between(-0.25, 0.25), dice.between(-0.25, 0.25));
        let centre = at.extend(dice.between(-0.06, 0.12));
        problem.stones.push(Stone { name, centre, radius_m: dice.between(0.02, 0.12), friction: 0.6 });
    }
    for _ in 0..dice.below(3) {
        on_deck(&mut problem, [dice.between(-0.4, -0.2), dice.between(-0.2, 0.2)]);
    }
    problem
}

/// Where the mover's centre is at a share of its way.
type Course = Box<dyn Fn(f64) -> DVec3>;

/// A cross, or a drive on its ground, with where its centre goes; `None` if it cannot begin.
fn moved(problem: &Problem, dice: &mut Dice) -> Option<(Move, Configuration, Course)> {
    let from = *problem.start.get(FIRST);
    if dice.chance(0.6) {
        let action = Move::Cross { to: EAST, travel_m: dice.between(0.08, 0.24) };
        let after = apply(problem, &problem.start, FIRST, &action).ok()?;
        let to = after.get(FIRST).position;
        return Some((action, after, Box::new(move |share| from.position.lerp(to, share))));
    }
    let curvature_per_m = if dice.chance(0.5) { 0.0 } else { dice.between(2.0, 20.0) };
    let action = Move::Slide { travel_m: dice.between(-0.1, 0.08), curvature_per_m };
    let Move::Slide { travel_m, .. } = action else { return None };
    let after = apply(problem, &problem.start, FIRST, &action).ok()?;
    let (heading, left) = (from.heading(), from.up().cross(from.heading()));
    let course = move |share: f64| {
        let way = share * travel_m;
        if curvature_per_m == 0.0 {
            return from.position + heading * way;
        }
        let (sin, cos) = (curvature_per_m * way).sin_cos();
        from.position + (heading * sin + left * (1.0 - cos)) / curvature_per_m
    };
    Some((action, after, Box::new(course)))
}

proptest! {
    #![proptest_config(fixed(cases()))]

    #[test]
    fn no_instant_is_nearer(seed in any::<u64>()) {
        let dice = &mut Dice::new(seed);
        let mut problem = site(dice);
        if dice.chance(0.5) {
            let turn = DQuat::from_rotation_z(dice.between(-9e-4, 9e-4));
            problem.start.get_mut(FIRST).orientation *= turn;
        }
        let Some((action, after, course)) = moved(&problem, dice) else { return Ok(()) };
        let stretch = Stretch::of_move(&problem, &problem.start, FIRST, &action, &after);
        prop_assert!(course(1.0).distance(after.get(FIRST).position) < 1e-9);
        let radius = problem.kind(FIRST).shell_radius_m;
        let stones = problem.stones.iter().map(|stone| (stone.centre, stone.radius_m));
        let others = problem.start.iter().filter(|(id, _)| *id != FIRST);
        let others = others.map(|(id, place)| (place.position, problem.kind(id).shell_radius_m));
        let balls: Vec<(DVec3, f64)> = stones.chain(others).collect();
        let crosses = matches!(action, Move::Cross { .. });
        let gaps = |at: DVec3| {
            let of_balls = balls.iter().map(move |(centre, own)| at.distance(*centre) - own - radius);
            // A cross is not held against the two grounds that it leads over, a drive not against its own.
            of_balls.chain((!crosses).then(|| problem.distance_to_ground(EAST, at) - radius)).collect::<Vec<f64>>()
        };
        let [begins, ends] = [0.0, 1.0].map(|share| gaps(course(share)));
        let touch_m = problem.limits.touch_tol_m;
        let free: Vec<usize> = (0..begins.len()).filter(|&of| begins[of] > touch_m && ends[of] > touch_m).collect();
        let (mut least_m, mut deepest_m) = (f64::INFINITY, f64::INFINITY);
        for share in (0..=INSTANTS).map(|k| f64::from(k) / f64::from(INSTANTS)) {
            let now = gaps(course(share));
            least_m = free.iter().map(|&of| now[of]).fold(least_m, f64::min);
            deepest_m = now.into_iter().fold(deepest_m, f64::min);
        }
        let attached = Attached::new(&problem, FIRST, &action, &problem.start, &after);
        let claimed_m = stretch.smallest_gap(&attached).map_or(f64::INFINITY, |gap| gap.gap_m);
        // Between two instants the shell goes no farther than this.
        let between_m = 0.25 / f64::from(INSTANTS);
        prop_assert!(least_m >= claimed_m - 1e-9, "an instant has {}, claimed {}", least_m, claimed_m);
        prop_assert!(claimed_m >= least_m - between_m, "claimed {}, no instant below {}", claimed_m, least_m);
        let overlaps = stretch.clearance_faults().iter().any(|(fault, _)| matches!(fault, Fault::Overlap { .. }));
        if deepest_m < -2e-6 {
            prop_assert!(overlaps, "they overlap by {}", -deepest_m);
        } else if deepest_m > between_m {
            prop_assert!(!overlaps, "the smallest gap is {}: {:?}", deepest_m, stretch.clearance_faults());
        }
    }

    /// A lone module on bare ground carries its load by weight alone; where it crosses, on the old plane and on the new one with `hop_hold`.
    #[test]
    fn crosses_are_carried_on_both_planes(seed in any::<u64>()) {
        let dice = &mut Dice::new(seed);
        let mut problem = site(dice);
        problem.limits.motion_tilt_rad = dice.between(0.0, 0.3);
        let Some((action @ Move::Cross { .. }, after, _)) = moved(&problem, dice) else { return Ok(()) };
        let stretch = Stretch::of_move(&problem, &problem.start, FIRST, &action, &after);
        let found = stretch.worst_utilisation(Interrupt::NEVER).expect("it is never stopped");
        let kind = problem.kind(FIRST);
        let tilt_rad = problem.limits.sway_rad + problem.limits.motion_tilt_rad;
        // Closed form (sections 5 and 6 of the model page): gravity leans away from the normal by the plane's slope and the tilt, in some of eight azimuths.
        let mut stands = true;
        for place in [problem.start.get(FIRST), after.get(FIRST)] {
            let Some(ground) = place.host.ground() else { panic!("it stands on grounds") };
            let friction = problem.ground(ground).surfacing.friction;
            for azimuth in (0..9).map(|k| f64::from(k) * std::f64::consts::FRAC_PI_4) {
                let lean = if azimuth > 6.0 { 0.0 } else { tilt_rad };
                let down = (DVec2::from_angle(azimuth) * lean.sin()).extend(-lean.cos());
                let pressing = -down.dot(place.up());
                let along = (down + place.up() * pressing).length();
                let lever = kind.ride_height_m + kind.com_height_m;
                stands &= along <= 0.93 * friction * pressing && along * lever <= kind.peel_radius_m * pressing;
            }
        }
        prop_assert_eq!(found.utilisation.within(f64::INFINITY), stands, "{:?}", found);
    }
}
