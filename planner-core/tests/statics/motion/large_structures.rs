//! Certificates of structures of 30 to 60 modules that lean on each other, against a general conic solver on the whole equilibrium at instants of a
//! move.
//!
//! `CLAMBER_CASES=200 cargo test -p clamber-core --release --test statics large_structures` tries as many random moves.

use super::dense_instants::cases;
use super::every_instant::{Scene, counted_touches};
use crate::cone_programme::{Programme, gravity_by_definition};
use crate::support::{Dice, target};
use clamber_core::unstable::generate::{Family, GenerateOptions, GroundMaterial, Kinds, generate};
use clamber_core::unstable::motion::apply;
use clamber_core::unstable::statics::WarmStart;
use clamber_core::{Body, Hold, Interrupt, ModuleId, Move, Problem, read_scenario};
use clarabel::solver::SolverStatus;

const FAMILIES: [Family; 3] = [Family::Pyramid, Family::Wall, Family::Raft];
/// Bounds that are asked for, as shares of the limit.
const BOUNDS: [f64; 3] = [0.5, 0.75, 1.0];
/// What the general solver reaches where it gets no further.
const ACCURACY: f64 = 1e-4;
/// Instants of each move.
const INSTANTS: u32 = 5;

/// A move of a module that carries nothing, in a shape of 30 to 60 modules with touches.
fn scene(seed: u64) -> Option<Scene> {
    let dice = &mut Dice::new(seed);
    let (modules, kinds) =
        (30 + dice.below(31), if dice.chance(0.5) { Kinds::Random } else { Kinds::Cobble });
    let options = GenerateOptions { modules, seed, kinds, ground: Some(GroundMaterial::Steel) };
    let made = generate(FAMILIES[dice.below(FAMILIES.len())], options).ok()?;
    let (_, whole) = read_scenario("scene.toml", &made.text).expect("a scene that can be read");
    let (alone, shape) = target(&whole);
    let mut problem = Problem { start: shape, ..alone };
    let bare: Vec<ModuleId> = problem.module_ids().filter(|m| !problem.start.is_stood_on(*m)).collect();
    let mover = bare[dice.below(bare.len())];
    let radius_m = problem.kind(mover).shell_radius_m;
    problem.start.get_mut(mover).hold = Hold::Rolling;
    let action = if dice.chance(0.3) {
        Move::Yaw { angle_rad: dice.between(-3.0, 3.0) }
    } else {
        let curvature_per_m = if dice.chance(0.5) { 0.0 } else { dice.between(-0.5, 0.5) / radius_m };
        Move::Slide { travel_m: dice.between(-1.5, 1.5) * radius_m, curvature_per_m }
    };
    let after = apply(&problem, &problem.start, mover, &action).ok()?;
    Some(Scene::new(problem, mover, action, after))
}

/// The limits on the mover's bond, after section 6 of the model page.
fn limits_of(scene: &Scene) -> [f64; 2] {
    let kind = scene.problem.kind(scene.mover);
    match scene.action {
        Move::Slide { curvature_per_m: 0.0, .. } => [kind.drive_force_n, f64::INFINITY],
        Move::Slide { .. } => [kind.drive_force_n, kind.yaw_torque_rolling_nm],
        _ => [f64::INFINITY, kind.yaw_torque_rolling_nm],
    }
}

/// The least largest utilisation at an instant in a direction, by the general solver; `None` where it does not decide.
fn solved(scene: &Scene, share: f64, direction: usize) -> Option<f64> {
    let there = scene.stretch().at(share);
    let touches = counted_touches(scene, &there);
    let at = Problem { start: there, ..scene.problem.clone() };
    let limits = &at.limits;
    let gravity = gravity_by_definition(&at, limits.sway_rad + limits.motion_tilt_rad)[direction]
        * limits.motion_factor;
    match Programme::new(&at, touches, Some((scene.mover, limits_of(scene)))).solve(gravity) {
        (SolverStatus::Solved | SolverStatus::AlmostSolved, used) => Some(used),
        (SolverStatus::PrimalInfeasible | SolverStatus::AlmostPrimalInfeasible, _) => Some(f64::INFINITY),
        _ => None,
    }
}

#[test]
fn what_is_certified_is_carried_at_every_instant() {
    let (mut certified, mut instants, mut undecided, mut touching) = (0, 0, 0, 0);
    for seed in 0.. {
        if certified >= cases(12) {
            break;
        }
        assert!(seed < 8 * u64::from(cases(12)) + 20, "hardly anything is certified: {certified} of {seed}");
        let Some(scene) = scene(seed) else { continue };
        let size = scene.problem.modules.len();
        if !(30..=60).contains(&size) {
            continue; // the largest shape of so many modules is smaller
        }
        let limit = scene.problem.limits.utilisation();
        let mut hint = WarmStart::default();
        let bound = BOUNDS.iter().map(|share| share * limit).find(|&bound| {
            scene.stretch().carries(bound, &mut hint, Interrupt::NEVER).expect("it is never stopped")
        });
        let Some(bound) = bound else { continue };
        certified += 1;
        touching += counted_touches(&scene, &scene.problem.start).len();
        for k in 0..INSTANTS {
            let share = f64::from(k) / f64::from(INSTANTS - 1);
            for direction in 0..9 {
                let Some(used) = solved(&scene, share, direction) else {
                    undecided += 1;
                    continue;
                };
                instants += 1;
                assert!(
                    used <= bound + ACCURACY,
                    "seed {seed}, {size} modules: certified {bound}, at {share} along {direction} it takes {used}"
                );
            }
        }
    }
    assert!(touching > 20 * certified as usize, "{touching} touches in {certified} structures");
    assert!(
        undecided * 10 < instants,
        "the general solver was undecided {undecided} times, decided {instants} times"
    );
}

/// The general solver finds more than a certificate may claim where there is more: moves with a heavy load on the mover are not certified.
#[test]
fn what_is_not_carried_is_not_certified() {
    let mut refused = 0;
    for seed in 0..40 {
        let Some(mut scene) = scene(seed) else { continue };
        if !matches!(scene.problem.start.get(scene.mover).host, Body::Module(_)) || refused >= 4 {
            continue;
        }
        scene.problem.modules[scene.mover.index()].payload_kg += 40.0;
        let limit = scene.problem.limits.utilisation();
        let worst = (0..9).filter_map(|direction| solved(&scene, 0.5, direction)).fold(0.0, f64::max);
        if worst > limit + 1e-4 {
            refused += 1;
            let certified = scene.stretch().carries(limit, &mut WarmStart::default(), Interrupt::NEVER);
            assert_eq!(certified, Ok(false), "seed {seed}: it takes {worst}");
        }
    }
    assert!(refused >= 2, "only {refused} moves are too heavy");
}
