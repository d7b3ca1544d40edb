//! Peel, slip and tip against published numbers and closed forms.
//!
//! Left out: the four-ball and three-cylinder piles without adhesion. Every module here has a foot that bears moment, so no ball rests
//! by touches alone and those friction limits have no honest counterpart. So do the reactions of three and four legs: a hub stands on a foot
//! of its own, and one touch's share is then not unique.

use crate::support::{
    add, assert_near, bare_ground, brace_all, cobble, empty, lay_anew, on_deck, on_shell, steel,
};
use clamber_core::FailureMode;
use clamber_core::unstable::model::touches;
use clamber_core::unstable::motion::load_at_rest;
use clamber_core::unstable::statics::{LoadCase, assess, tilt_survived_rad};
use clamber_core::{Body, GroundId, Kind, KindId, ModuleId, Placement, Problem};
use clamber_core::{DVec2, DVec3};
use std::f64::consts::PI;

/// How much of the slip rule is friction: the exact limit surface of a disc is up to 7 % inside the ellipse
/// (Goyal, Ruina & Papadopoulos, Wear 143 (1991) 307; ratio computed).
const SURFACE: f64 = 0.93;

/// Upright gravity, no factors: closed forms have neither.
fn plain(mut problem: Problem) -> Problem {
    problem.limits.sway_rad = 0.0;
    problem.limits.hold_factor = 1.0;
    problem
}

/// The load with the ground too far below for shells to touch it.
fn untouched(problem: &Problem) -> LoadCase {
    LoadCase::new(problem, &problem.start, Vec::new())
}

/// The adhesion that would just do at the bond of a module, over its weight, and which condition asks for it.
fn needs(problem: &Problem, id: ModuleId) -> (f64, FailureMode) {
    let report = assess(problem, &untouched(problem));
    let bond = report.bonds.iter().find(|b| b.child == id).expect("every module has a bond");
    (bond.needs_n / (problem.kind(id).mass_kg * problem.site.gravity_mps2), bond.governs)
}

/// A module on a shell at an angle from the top, its host out of the question.
fn on_side(kind: Kind, degrees: f64) -> (Problem, ModuleId) {
    let host = Kind { shell_reach_rad: PI, ..kind.clone() };
    let mut problem = plain(empty(vec![kind, host], vec![steel(0.5)]));
    let base = on_deck(&mut problem, [0.0, 0.0]);
    let (sin, cos) = degrees.to_radians().sin_cos();
    let top = on_shell(&mut problem, base, DVec3::new(sin, 0.0, cos));
    (problem, top)
}

/// A block on an incline slides at atan μ or tips at atan(b/h), whichever is less (FisicaLab manual, example 8: the centre of mass 8 cm
/// from the edge and 18 cm up, 4 kg). The tilt that a bare foot survives is the lesser of the two.
#[test]
fn a_block_on_an_incline() {
    let kind = |centre_m: f64| Kind {
        foot_radius_m: 0.08,
        peel_radius_m: 0.08,
        mass_kg: 4.0,
        com_height_m: centre_m - cobble().ride_height_m,
        ..cobble()
    };
    let tilt = |friction: f64, centre_m: f64| {
        let mut problem = plain(empty(vec![kind(centre_m)], vec![bare_ground(friction)]));
        on_deck(&mut problem, [0.0, 0.0]);
        let case = load_at_rest(&problem, &problem.start);
        tilt_survived_rad(&problem, &case).expect("stands upright").to_degrees()
    };
    // The manual's block has μ = 0.4; here the slip rule takes 0.93 of the friction.
    assert_near(tilt(0.4 / SURFACE, 0.18), 21.801, 2e-3);
    assert_near((0.08_f64 / 0.18).atan().to_degrees(), 23.962, 1e-3);
    assert_near(tilt(0.9, 0.18), 23.962, 2e-3);
}

/// Least adhesion that keeps a module on a shell from sliding: P/W = sinθ/μ − cosθ, worst √(1 + 1/μ²) at 180° − atan(1/μ)
/// (elementary).
#[test]
fn slide_limit_round_a_shell() {
    let table = [
        (0.15, 6.741_249, 98.531),
        (0.2, 5.099_020, 101.310),
        (0.3, 3.480_102, 106.699),
        (0.5, 2.236_068, 116.565),
    ];
    for (friction, worst, degrees) in table {
        // A foot so wide and a mass so near it that peeling is no question.
        let kind = Kind {
            bond_friction: friction / SURFACE,
            com_height_m: 1e-9 - 0.06,
            foot_radius_m: 0.05,
            peel_radius_m: 0.05,
            ..cobble()
        };
        let at = |degrees: f64| {
            let (problem, top) = on_side(kind.clone(), degrees);
            needs(&problem, top)
        };
        assert_near(at(degrees).0, worst, 1e-6);
        assert_eq!(at(degrees).1, FailureMode::Slip);
        for step in 0..=36 {
            let theta = f64::from(step) * 5.0;
            let closed = theta.to_radians().sin() / friction - theta.to_radians().cos();
            assert_near(at(theta).0, closed, 1e-6);
            assert!(closed <= worst + 1e-6);
        }
        assert_near(at(180.0).0, 1.0, 1e-6);
    }
}

/// Least adhesion that keeps it from tipping over its rim: P/W = (R/b) sinθ − cosθ, worst √(1 + (R/b)²) (elementary).
#[test]
fn tip_limit_round_a_shell() {
    for (ratio, worst) in [(1.5, 1.802_776), (2.5, 2.692_582), (4.0, 4.123_106)] {
        let foot_m = 0.06 / ratio;
        let kind = Kind {
            bond_friction: 1e6,
            com_height_m: 0.0,
            foot_radius_m: foot_m,
            peel_radius_m: foot_m,
            ..cobble()
        };
        let at = |degrees: f64| {
            let (problem, top) = on_side(kind.clone(), degrees);
            needs(&problem, top)
        };
        let angle = 180.0 - ratio.atan().to_degrees();
        assert_near(at(angle).0, worst, 1e-6);
        assert_eq!(at(angle).1, FailureMode::Peel);
        let worst = ratio.hypot(1.0);
        let scanned = (0..=1800).map(|k| at(f64::from(k) * 0.1).0).fold(0.0, f64::max);
        assert!(scanned <= worst + 1e-9 && scanned > worst - 1e-4, "scan {scanned}, closed form {worst}");
    }
}

/// A level row of `n` modules from one foot on a shell; the first module of the row and the case.
fn row(kind: &Kind, n: usize) -> (Problem, LoadCase) {
    let mut problem = plain(empty(vec![kind.clone()], vec![steel(0.5)]));
    let mut last = on_deck(&mut problem, [0.0, 0.0]);
    for _ in 0..n {
        last = on_shell(&mut problem, last, DVec3::X);
    }
    let case = untouched(&problem);
    (problem, case)
}

/// A cantilever of n equal modules of pitch 2R curvature_bounds its first contact with n²·R·W (arithmetic series).
#[test]
fn cantilever_moments() {
    let kind = Kind { com_height_m: 0.0, ..cobble() };
    for n in 1..=6_u32 {
        let (problem, case) = row(&kind, n as usize);
        let first = case.bonds.iter().find(|b| b.child == ModuleId(1)).expect("the first of the row");
        let weight = kind.mass_kg * problem.site.gravity_mps2;
        let moment = first.moment_kgm.length() * problem.site.gravity_mps2;
        assert_near(moment, f64::from(n * n) * 0.06 * weight, 1e-12);
        assert_near(first.mass_kg, f64::from(n) * kind.mass_kg, 1e-12);
        // About the anchor's centre: W·L·n(n + 1)/2 with L = 2R.
        let anchor = case.bonds.iter().find(|b| b.child == ModuleId(0)).expect("the anchor");
        assert_near(
            anchor.moment_kgm.y.hypot(anchor.moment_kgm.x.abs()),
            anchor.moment_kgm.truncate().length(),
            1e-15,
        );
        assert_near(
            anchor.moment_kgm.x * problem.site.gravity_mps2,
            weight * 0.12 * f64::from(n * (n + 1)) / 2.0,
            1e-12,
        );
    }
}

/// P = 120 N, μ = 0.3, b = 20 mm, m = 0.5 kg, R = 50 mm (computed): the shear rule alone would hold 7, the rim rule holds 3 at 2.2065 N·m
/// of the 2.4 N·m it can bear.
#[test]
fn how_long_a_row_may_be() {
    let with = |friction: f64, foot_m: f64| Kind {
        shell_radius_m: 0.05,
        ride_height_m: 0.05,
        foot_radius_m: foot_m,
        peel_radius_m: foot_m,
        mass_kg: 0.5,
        com_height_m: 0.0,
        magnet_force_n: 120.0,
        bond_friction: friction,
        ..cobble()
    };
    let longest = |kind: &Kind| {
        let limit = |n: usize| {
            let (problem, _) = row(kind, n);
            let report = assess(&problem, &untouched(&problem));
            report
                .bonds
                .iter()
                .find(|b| b.child == ModuleId(1))
                .and_then(|b| b.utilisation)
                .expect("magnets hold it")
        };
        (1..20).take_while(|&n| limit(n) <= 1.0).count()
    };
    assert_eq!(longest(&with(0.3 / SURFACE, 0.02)), 3);
    assert_eq!(longest(&with(0.3 / SURFACE, 1e3)), 7);
    let (problem, case) = row(&with(0.3, 0.02), 3);
    let first = case.bonds.iter().find(|b| b.child == ModuleId(1)).expect("the first of the row");
    assert_near(first.moment_kgm.length() * problem.site.gravity_mps2, 2.2065, 1e-4);
    assert_near(first.adhesion_n * first.peel_m, 2.4, 1e-12);
    // Torsion of a uniformly pressed disc, ⅔ μ P b (Shigley, disc clutch, from memory).
    assert_near(first.friction * first.adhesion_n * first.spin_m, 0.48, 1e-12);
}

/// A stand of `n` feet at radius `r` round a hub with almost all the mass at height `h`, by almost timed_without_loads arms on wide magnetic feet.
///
/// The arms' ends only touch the ground, so the feet can push and not pull; friction at them is high, at the hub's foot there is none.
fn stand(n: usize, ratio: f64) -> (Problem, f64, f64) {
    let arm = Kind {
        mass_kg: 1e-6,
        com_height_m: 0.0,
        magnet_force_n: 1e4,
        bond_friction: 100.0,
        shell_reach_rad: PI,
        ..cobble()
    };
    let hub =
        Kind { mass_kg: 1.0, foot_radius_m: 1e-6, peel_radius_m: 1e-6, ride_height_m: 0.06, ..arm.clone() };
    let mut problem = plain(empty(vec![arm, hub], vec![bare_ground(50.0)]));
    let at =
        Placement::on_ground(GroundId(0), problem.ground(GroundId(0)), &problem.kinds[1], DVec2::ZERO, None)
            .expect("on deck");
    let hub = add(&mut problem, KindId(1), at);
    for k in 0..n {
        let (sin, cos) = (2.0 * PI * k as f64 / n as f64).sin_cos();
        on_shell(&mut problem, hub, DVec3::new(cos, sin, 0.0));
    }
    let radius = 0.12;
    let height = radius / ratio;
    // The mass sits at the centre of the hub; its kind says how high above the ground that is.
    problem.kinds[1].com_height_m = height - 0.06;
    (problem, radius, height)
}

/// Tip angles of n-foot stands, atan(r cos(π/n)/h) (elementary).
#[test]
fn tip_angles_of_stands() {
    for (n, expected_deg) in [(3, 26.565_051), (4, 35.264_390), (6, 40.893_395)] {
        let (problem, radius, height) = stand(n, 1.0);
        assert_eq!(
            touches(&problem, &problem.start).iter().filter(|t| t.other == Body::Ground(GroundId(0))).count(),
            n
        );
        let closed = (radius * (PI / n as f64).cos() / height).atan().to_degrees();
        assert_near(closed, expected_deg, 1e-6);
        // Gravity tilts along eight azimuths, every 45°; the weakest of a stand lies between two feet, so turn one of those to +x.
        let mut turned = problem.clone();
        let half = clamber_core::DQuat::from_rotation_z(PI / n as f64);
        for id in problem.module_ids() {
            let place = turned.start.get_mut(id);
            place.position = half * place.position;
            place.orientation = half * place.orientation;
        }
        let case = load_at_rest(&turned, &turned.start);
        let survived = tilt_survived_rad(&turned, &case).expect("stands upright").to_degrees();
        assert_near(survived, expected_deg, 0.02);
    }
}

/// On flat ground the load stands as long as its centre lies over the hull of the feet, whatever the friction
/// (Bretl & Lall, IEEE T-RO 24 (2008) 794).
#[test]
fn support_region_on_flat_ground_is_the_hull() {
    for friction in [0.3, 3.0] {
        for (n, share, stands) in [(3, 0.49, true), (3, 0.51, false), (4, 0.70, true), (4, 0.715, false)] {
            let (mut problem, radius, _) = stand(n, 1.0);
            lay_anew(&mut problem, |decks| decks[0].2.friction = friction);
            // Off the centre towards the middle between two feet: the hull ends at cos(π/n) of the radius.
            let toward = DVec2::from_angle(PI / n as f64) * radius * share;
            let case = with_mass_at(&problem, ModuleId(0), toward);
            let report = assess(&problem, &case);
            let carried = report.utilisation.is_some_and(|u| u <= 1.0);
            assert_eq!(carried, stands, "{n} feet, {share} of the radius, friction {friction}: {report:?}");
        }
    }
}

/// The case with a module's centre of mass moved sideways.
fn with_mass_at(problem: &Problem, id: ModuleId, off: DVec2) -> LoadCase {
    let mut case = load_at_rest(problem, &problem.start);
    for bond in case.bonds.iter_mut().filter(|b| b.child == id) {
        bond.moment_kgm += off.extend(0.0) * problem.kind(id).mass_kg;
    }
    case
}

/// A foot tips about its rim at M = (P + N)·b (rigid rim; Timoshenko and Roark, from memory): a weight out on an arm.
#[test]
fn a_foot_tips_about_its_rim_under_adhesion() {
    let mut problem = plain(empty(vec![Kind { com_height_m: 0.0, ..cobble() }], vec![steel(1e3)]));
    on_deck(&mut problem, [0.0, 0.0]);
    brace_all(&mut problem);
    let bond = load_at_rest(&problem, &problem.start).bonds[0];
    let (gravity, off_m) = (problem.site.gravity_mps2, 0.3);
    // x·g·off = (P + (m + x)·g)·b
    let just_kg =
        (bond.adhesion_n + bond.mass_kg * gravity) * bond.peel_m / (gravity * (off_m - bond.peel_m));
    for (share, carried) in [(0.9999, true), (1.0001, false)] {
        let mut case = load_at_rest(&problem, &problem.start);
        case.bonds[0].mass_kg += just_kg * share;
        case.bonds[0].moment_kgm += DVec3::X * off_m * just_kg * share;
        assert_eq!(case.carries(1.0), carried, "{share} of what tips it");
    }
}
