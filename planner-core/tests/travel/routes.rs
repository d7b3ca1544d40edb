//! Shortest drives against published closed forms, and routes that replay.

use crate::support::{block, cobble, empty, on_deck};
use clamber_core::read_scenario;
use clamber_core::unstable::control::Interrupt;
use clamber_core::unstable::math::angle_between;
use clamber_core::unstable::travel::{Face, Waypoint, compile};
use clamber_core::{Body, DVec2, DVec3, GroundId, ModuleId, Problem};
use std::f64::consts::PI;

/// Room that drives keep from what they pass, in metres, as documented.
const ROOM_M: f64 = 0.001;

/// A host, an obstacle on it in direction +z and a mover far off; radii of their shells in metres.
fn scene(host_m: f64, obstacle_m: f64, mover_m: f64) -> Problem {
    let numbers = "com_height_m = 0.0\nshell_reach_deg = 180.0\nhop_limit_deg = 120.0\nmagnet_force_n = 30.0\n\
        cup_area_m2 = 0.001\ncup_vacuum_pa = 45000.0\nbond_friction = 0.6\nshell_friction = 0.25\nhop_hold = 0.6\n\
        drive_force_n = 14.0\nyaw_torque_rolling_nm = 0.5\nyaw_torque_braced_nm = 1.6\nslide_speed_mps = 0.05\n\
        yaw_rate_rolling_radps = 0.8\nyaw_rate_braced_radps = 0.3\nhop_time_s = 4.0\nbrace_time_s = 2.0\n\
        release_time_s = 1.0\ndrive_power_w = 6.0\nyaw_power_w = 4.0\nhop_power_w = 6.0\nbrace_energy_j = 15.0\n\
        idle_power_w = 0.8\nmass_kg = 0.5";
    let kind = |name: &str, radius: f64| {
        let foot = 0.5 * radius;
        format!(
            "[kind.{name}]\nshell_radius_m = {radius}\nride_height_m = {radius}\nfoot_radius_m = {foot}\n{numbers}\n"
        )
    };
    let deck = "[[deck]]\nname = \"invert\"\noutline_m = [[-1000, -1000], [1000, -1000], [1000, 1000], [-1000, 1000]]\n\
        top_m = 0.0\nfriction = 0.7\n";
    let module = |name: &str, kind: &str, place: &str| {
        format!("[[module]]\nname = \"{name}\"\nkind = \"{kind}\"\n{place}\n")
    };
    let text = format!(
        "format = \"clamber-scenario/1\"\nname = \"one obstacle\"\n{deck}{}{}{}{}{}{}",
        kind("host", host_m),
        kind("obstacle", obstacle_m),
        kind("mover", mover_m),
        module("m1", "host", "on = \"invert\"\nat_m = [0, 0]"),
        module("m2", "obstacle", "on = \"m1\"\ntoward = [0, 0, 1]"),
        module("m3", "mover", "on = \"invert\"\nat_m = [500, 0]"),
    );
    read_scenario("one-obstacle.toml", &text).expect("a good scene").1
}

/// Length of the centre's way.
fn length(carrier_centre: Option<DVec3>, from: DVec3, way: &[Waypoint]) -> f64 {
    let mut here = from;
    let mut total = 0.0;
    for waypoint in way {
        total += match (waypoint.round, carrier_centre) {
            (Some(round), _) => {
                let arm = here - round.centre;
                (arm - round.axis * arm.dot(round.axis)).length() * round.angle(here, waypoint.position)
            }
            (None, None) => here.distance(waypoint.position),
            (None, Some(centre)) => {
                angle_between(here - centre, waypoint.position - centre) * (here - centre).length()
            }
        };
        here = waypoint.position;
    }
    total
}

/// Shortest way past one disc at the origin: straight, or two tangents and a piece of the rim.
fn past_disc(p: [f64; 2], q: [f64; 2], r: f64) -> f64 {
    let (d1, d2) = (p[0].hypot(p[1]), q[0].hypot(q[1]));
    let cross = (p[0] * q[1] - p[1] * q[0]).abs();
    let angle = cross.atan2(p[0] * q[0] + p[1] * q[1]);
    let round = angle - (r / d1).min(1.0).acos() - (r / d2).min(1.0).acos();
    if round <= 0.0 {
        return (p[0] - q[0]).hypot(p[1] - q[1]);
    }
    (d1 * d1 - r * r).max(0.0).sqrt() + (d2 * d2 - r * r).max(0.0).sqrt() + r * round
}

/// "Rope Crisis in Ropeland" (`UVa` 10180), a test set verified in public: x1 y1 x2 y2 r and the length. Drives keep 1 mm of room where
/// neither end is nearer to the disc, which lengthens the way by at most 1 mm for each radian
/// and each end that touches the disc.
#[test]
#[expect(clippy::approx_constant, reason = "3.142 is the printed answer of a published test set")]
fn past_one_disc_on_a_deck() {
    let cases: [([f64; 2], [f64; 2], f64, f64); 10] = [
        ([-10.0, 5.0], [10.0, 5.0], 2.0, 20.0),
        ([0.0, 5.0], [0.0, 10.0], 4.0, 5.0),
        ([0.0, 5.0], [0.0, 10.0], 5.0, 5.0),
        ([0.0, 5.0], [8.0, 5.0], 5.0, 8.0),
        ([-8.0, 5.0], [8.0, 5.0], 5.0, 16.0),
        ([9.0, 9.0], [9.0, 9.0], 2.0, 0.0),
        ([0.0, 1.0], [-1.0, -1.0], 1.0, 2.571),
        ([0.0, 1.0], [0.0, -1.0], 1.0, 3.142),
        ([1.0, 1.0], [-1.0, -1.0], 1.0, 3.571),
        ([0.0, 2.0], [0.0, -2.0], 1.0, 4.511),
    ];
    for (p, q, r, expected) in cases {
        assert!((past_disc(p, q, r) - expected).abs() < 5e-4, "the closed form itself: {p:?} {q:?} {r}");
        if p == q {
            continue; // nothing to drive
        }
        // The host stands on the deck; the mover, as large, passes it on the same deck. What stands on the host is out of the way.
        let problem = scene(0.5 * r, 0.01, 0.5 * r);
        let mover = ModuleId(2);
        let height = problem.kind(mover).ride_height_m;
        let at = |xy: [f64; 2]| DVec3::new(xy[0], xy[1], height);
        let face = Face::new(&problem, &problem.start, mover, Body::Ground(GroundId(0)), Interrupt::NEVER)
            .expect("nothing stops it");
        let way = face.routes(at(p), &[at(q)]).remove(0).expect("there is a way");
        let found = length(None, at(p), &way);
        assert!(found >= expected - 5e-4, "shorter than possible: {found} < {expected}");
        assert!(found <= expected + 5e-4 + (PI + 2.0) * ROOM_M, "too long: {found} > {expected}");
        let touches = |xy: [f64; 2]| xy[0].hypot(xy[1]) < r + ROOM_M;
        if !touches(p) && !touches(q) {
            let exact = past_disc(p, q, if found > past_disc(p, q, 0.0) + 1e-12 { r + ROOM_M } else { 0.0 });
            assert!((found - exact).abs() < 1e-9, "{found} is not {exact}");
        }
    }
}

/// One forbidden cap of 30° on a sphere, ends at a and b from its centre: acos(cos a/cos ρ) + acos(cos b/cos ρ) + sin ρ·[φ − acos(tan ρ/tan a) −
/// acos(tan ρ/tan b)] by Napier's rules, from memory, checked by path optimisation; 128.942441° and 114.370448°.
#[test]
fn past_one_cap_on_a_shell() {
    let closed_form = |a: f64, b: f64, phi: f64, rho: f64| {
        let leg = |d: f64| (d.cos() / rho.cos()).acos();
        let corner = |d: f64| (rho.tan() / d.tan()).acos();
        leg(a) + leg(b) + rho.sin() * (phi - corner(a) - corner(b))
    };
    // Host and mover of radius 1 and an obstacle of radius 1/cos 30° − 1 make a cap of 30°.
    let cap = 30.0_f64.to_radians();
    let problem = scene(1.0, 1.0 / cap.cos() - 1.0, 1.0);
    let (host, mover) = (ModuleId(0), ModuleId(2));
    let centre = problem.start.get(host).position;
    let face = Face::new(&problem, &problem.start, mover, Body::Module(host), Interrupt::NEVER)
        .expect("nothing stops it");
    for (a, b, phi, degrees) in
        [(60.0_f64, 60.0_f64, 180.0_f64, 128.942_441), (50.0, 70.0, 150.0, 114.370_448)]
    {
        let (a, b, phi) = (a.to_radians(), b.to_radians(), phi.to_radians());
        assert!((closed_form(a, b, phi, cap).to_degrees() - degrees).abs() < 1e-5);
        let at = |from_pole: f64, azimuth: f64| {
            let (sin, cos) = from_pole.sin_cos();
            centre + DVec3::new(sin * azimuth.cos(), sin * azimuth.sin(), cos) * 2.0
        };
        let (from, to) = (at(a, 0.2), at(b, 0.2 + phi));
        let way = face.routes(from, &[to]).remove(0).expect("there is a way");
        assert_eq!(way.len(), 3, "a tangent, a piece of the rim, a tangent");
        let found = length(Some(centre), from, &way) / 2.0;
        let expected = closed_form(a, b, phi, cap + ROOM_M / 2.0);
        assert!((found - expected).abs() < 1e-9, "{found} is not {expected}");

        // The route replays: every slide ends where the waypoint is.
        let mut start = problem.start.clone();
        let placed = clamber_core::Placement::on_shell(
            host,
            centre,
            problem.kind(host),
            problem.kind(mover),
            from - centre,
            None,
        );
        *start.get_mut(mover) = placed.expect("a direction");
        let moves = compile(&problem, &start, mover, &way).expect("moves that can be begun");
        let end = moves.last().map(|(_, after)| after.get(mover).position).expect("some moves");
        assert!(end.distance(to) < 1e-9, "ends {} m off", end.distance(to));
    }
}

/// The opposite point of a sphere is half a great circle away whichever way one goes; of all the ways one must be taken that is free, although
/// rounding names none. Level with the host's centre, between the ground below and an obstacle above.
#[test]
fn to_the_opposite_point_it_is_half_a_turn() {
    let problem = scene(1.0, 0.3, 1.0);
    let (host, mover) = (ModuleId(0), ModuleId(2));
    let centre = problem.start.get(host).position;
    let face = Face::new(&problem, &problem.start, mover, Body::Module(host), Interrupt::NEVER)
        .expect("nothing stops it");
    for k in 0..40 {
        let azimuth = 0.37 * f64::from(k);
        let arm = DVec3::new(azimuth.cos(), azimuth.sin(), 0.0) * 2.0;
        let way = face.routes(centre + arm, &[centre - arm]).remove(0).expect("there is a way");
        let found = length(Some(centre), centre + arm, &way) / 2.0;
        assert!((found - PI).abs() < 1e-9, "{k}: {found}");
        let mut from = centre + arm;
        for leg in &way {
            assert!(face.is_clear(from, leg), "{k}");
            from = leg.position;
        }
    }
}

/// Q06, "the spider and the fly" (Dudeney 1903, figures from memory): on a room of 30 × 12 × 12 from one end wall, in the middle, 1 from the ceiling,
/// to the other, 1 from the floor. Three unfoldings give 42, √1658 = 40.7185 and 40. A foot drives on tops only, so each unfolding lies flat here, every
/// wall a deck of its own: joined, they are one ground, and the drive is the straight line.
#[test]
fn the_spider_and_the_fly_on_unfolded_walls() {
    let end = ([-12.0, 0.0], [0.0, 12.0]);
    let ceiling = ([0.0, 0.0], [30.0, 12.0]);
    let side = ([0.0, 12.0], [30.0, 24.0]);
    let floor = ([0.0, 24.0], [30.0, 36.0]);
    let unfoldings = [
        (vec![end, ceiling, ([30.0, 0.0], [42.0, 12.0])], DVec2::new(41.0, 6.0), 42.0),
        (vec![end, ceiling, side, ([30.0, 12.0], [42.0, 24.0])], DVec2::new(36.0, 23.0), 1658_f64.sqrt()),
        (vec![end, ceiling, side, floor, ([30.0, 24.0], [42.0, 36.0])], DVec2::new(31.0, 30.0), 40.0),
    ];
    for (walls, fly, expected) in unfoldings {
        let decks = walls.iter().enumerate();
        let decks = decks
            .map(|(i, (low, high))| block(&format!("wall {i}"), *low, *high, f64::NEG_INFINITY, 0.0, 0.7));
        let mut problem = empty(vec![cobble()], decks.collect());
        let mover = on_deck(&mut problem, [-1.0, 6.0]);
        assert_eq!(problem.grounds.len(), 1, "walls that meet are one ground");
        let host = Body::Ground(GroundId(0));
        let face =
            Face::new(&problem, &problem.start, mover, host, Interrupt::NEVER).expect("nothing stops it");
        let centre = |p: DVec2| p.extend(cobble().ride_height_m);
        let (from, to) = (centre(DVec2::new(-1.0, 6.0)), centre(fly));
        let way = face.routes(from, &[to]).remove(0).expect("there is a way");
        assert!((length(None, from, &way) - expected).abs() < 1e-9 * expected, "{expected}");
    }
}
