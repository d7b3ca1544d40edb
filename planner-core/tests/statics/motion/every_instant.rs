//! What is certified for a whole move against dense samples of it: gaps, reach, outline and load at every instant.

use crate::support::{Dice, crew, fixed, lay_anew};
use clamber_core::Interrupt;
use clamber_core::Move;
use clamber_core::unstable::geometry::{Slope, Sweep};
use clamber_core::unstable::math::{angle_between, perpendicular_part, tolerance};
use clamber_core::unstable::model::{Touch, touches};
use clamber_core::unstable::motion::apply;
use clamber_core::unstable::motion::{Attached, Fault, Stretch};
use clamber_core::unstable::statics::WarmStart;
use clamber_core::unstable::statics::{Driving, LoadCase, Utilisation};
use clamber_core::{Body, Configuration, Hold, ModuleId, Placement, Problem};
use clamber_core::{DQuat, DVec2, DVec3};
use proptest::prelude::*;

const SAMPLES: usize = 2000;

/// A crew, one of it, and what it does.
pub(crate) struct Scene {
    pub(crate) problem: Problem,
    pub(crate) mover: ModuleId,
    pub(crate) action: Move,
    after: Configuration,
}

impl Scene {
    pub(crate) const fn new(problem: Problem, mover: ModuleId, action: Move, after: Configuration) -> Self {
        Self { problem, mover, action, after }
    }

    pub(crate) fn stretch(&self) -> Stretch<'_> {
        Stretch::of_move(&self.problem, &self.problem.start, self.mover, &self.action, &self.after)
    }

    /// The rigid motion after section 6 of the model page; none where nothing moves.
    pub(crate) fn sweep(&self) -> Option<Sweep> {
        let (problem, place) = (&self.problem, self.problem.start.get(self.mover));
        let (up, forward) = (place.up(), place.heading());
        let left = up.cross(forward);
        match (self.action, place.host) {
            (Move::Yaw { angle_rad }, _) => {
                Some(Sweep::Turn { point: place.position, axis: up, angle: angle_rad })
            }
            (Move::Slide { travel_m, curvature_per_m: k }, Body::Module(host)) => {
                // A small circle of angular radius ρ has geodesic curvature cot ρ / R: its axis leans from the left towards up.
                let radius = problem.kind(host).shell_radius_m;
                let rho = f64::atan2(1.0, k * radius);
                let axis = left * rho.sin() + up * rho.cos();
                let point = problem.start.get(host).position;
                Some(Sweep::Turn { point, axis, angle: travel_m / (radius * rho.sin()) })
            }
            (Move::Slide { travel_m, curvature_per_m: 0.0 }, Body::Ground(_)) => {
                Some(Sweep::Shift { step: forward * travel_m })
            }
            (Move::Slide { travel_m, curvature_per_m: k }, Body::Ground(_)) => {
                Some(Sweep::Turn { point: place.position + left / k, axis: up, angle: travel_m * k })
            }
            _ => None,
        }
    }

    pub(crate) fn moves(&self, id: ModuleId) -> bool {
        let carried = self.problem.start.hosts_below(id).any(|b| b == Body::Module(self.mover));
        match self.action {
            Move::Yaw { .. } | Move::Slide { .. } => id == self.mover || carried,
            _ => false,
        }
    }

    /// Every pair of a moving module and a body it is not rigidly joined to.
    fn pairs(&self) -> Vec<(ModuleId, Body)> {
        let problem = &self.problem;
        let moving: Vec<ModuleId> = problem.module_ids().filter(|&m| self.moves(m)).collect();
        let others = problem.module_ids().filter(|&m| !self.moves(m)).map(Body::Module);
        let others: Vec<Body> = others.chain(problem.ground_ids().map(Body::Ground)).collect();
        let host = problem.start.get(self.mover).host;
        moving
            .iter()
            .flat_map(|&m| others.iter().map(move |&o| (m, o)))
            .filter(|&(m, o)| !(m == self.mover && o == host))
            .collect()
    }
}

fn gap(problem: &Problem, there: &Configuration, (module, other): (ModuleId, Body)) -> f64 {
    let (centre, radius) = (there.get(module).position, problem.kind(module).shell_radius_m);
    match other {
        Body::Module(id) => {
            centre.distance(there.get(id).position) - radius - problem.kind(id).shell_radius_m
        }
        Body::Ground(deck) => problem.distance_to_ground(deck, centre) - radius,
        Body::Stone(stone) => problem.distance_to_stone(stone, centre) - radius,
    }
}

/// A slide with some curvature or a yaw, of anybody, with whoever stands on it.
pub(crate) fn scene(seed: u64, touching: f64) -> Scene {
    let dice = &mut Dice::new(seed);
    let size = 3 + dice.below(4);
    let mut problem = crew(dice, size, touching);
    let mover = ModuleId::at(dice.below(size));
    let action = if dice.chance(0.25) {
        Move::Yaw { angle_rad: dice.between(-4.0, 4.0) }
    } else {
        problem.start.get_mut(mover).hold = Hold::Rolling;
        let curvature_per_m = if dice.chance(0.4) { 0.0 } else { dice.between(-30.0, 30.0) };
        Move::Slide { travel_m: dice.between(-0.25, 0.25), curvature_per_m }
    };
    let after = apply(&problem, &problem.start, mover, &action).expect("it can begin");
    Scene { problem, mover, action, after }
}

/// The same crew and move on rough ground that rises towards an azimuth: everything is turned with the plane. `None` for crews on several decks.
pub(crate) fn on_a_slope(
    Scene { mut problem, mover, action, .. }: Scene,
    [rise_rad, azimuth_rad, tilt_rad]: [f64; 3],
) -> Option<Scene> {
    let [ground] = &problem.grounds[..] else { return None };
    let level = ground.plane;
    let rise = DVec2::from_angle(azimuth_rad) * rise_rad.tan();
    let slope = Slope::rising(level.origin.z, rise);
    lay_anew(&mut problem, |decks| {
        decks.iter_mut().for_each(|deck| (deck.1.top, deck.2.tilt_rad) = (slope, tilt_rad));
    });
    let turn = DQuat::from_rotation_arc(DVec3::Z, slope.normal);
    let about = DVec3::Z * level.origin.z;
    for id in problem.module_ids().collect::<Vec<_>>() {
        let place = problem.start.get_mut(id);
        place.position = about + turn * (place.position - about);
        place.orientation = (turn * place.orientation).normalize();
    }
    let after = apply(&problem, &problem.start, mover, &action).ok()?;
    Some(Scene { problem, mover, action, after })
}

fn shares() -> impl Iterator<Item = f64> {
    (0..=SAMPLES).map(|k| k as f64 / SAMPLES as f64)
}

/// The largest value near the best of the samples, by golden-section search between its neighbours.
fn refine(best: f64, value: impl Fn(f64) -> f64) -> f64 {
    let width = 1.0 / SAMPLES as f64;
    let (mut low, mut high) = ((best - width).max(0.0), (best + width).min(1.0));
    let mut found = value(best).max(value(low)).max(value(high));
    for _ in 0..60 {
        let (a, b) = (low + 0.382 * (high - low), high - 0.382 * (high - low));
        let (at_a, at_b) = (value(a), value(b));
        found = found.max(at_a).max(at_b);
        if at_a > at_b { high = b } else { low = a }
    }
    found
}

/// The largest of the samples and where.
fn densest(value: impl Fn(f64) -> f64) -> (f64, f64) {
    shares().map(|s| (s, value(s))).max_by(|a, b| a.1.total_cmp(&b.1)).expect("samples")
}

/// The touches between bodies that keep their places relative to each other.
pub(crate) fn counted_touches(scene: &Scene, there: &Configuration) -> Vec<Touch> {
    let mut counted = touches(&scene.problem, there);
    counted.retain(|t| scene.moves(t.module) == t.other.module().is_some_and(|o| scene.moves(o)));
    counted
}

/// The load at an instant, put together from the rules: gravity times the motion factor, the limits on the mover's bond, and the touches that count.
pub(crate) fn load_by_definition(scene: &Scene, there: &Configuration) -> LoadCase {
    let problem = &scene.problem;
    let counted = counted_touches(scene, there);
    let limits: &[Driving] = match scene.action {
        Move::Yaw { .. } => &[Driving::Yaw],
        Move::Slide { curvature_per_m: 0.0, .. } => &[Driving::Slide],
        _ => &[Driving::Slide, Driving::Yaw],
    };
    let case = LoadCase::new(problem, there, counted).in_motion(problem, true);
    let hold = problem.start.get(scene.mover).hold;
    limits.iter().fold(case, |case, &driving| case.with_driven(problem, scene.mover, driving, hold))
}

/// Newtons by which hard conditions are missed; 0 when they are met.
pub(crate) fn missed(utilisation: Utilisation) -> f64 {
    utilisation.excess_n.max(0.0)
}

proptest! {
    #![proptest_config(fixed(160))]

    #[test]
    fn no_sample_is_nearer_than_the_smallest_gap(seed in any::<u64>()) {
        let scene = scene(seed, 0.4);
        let problem = &scene.problem;
        let stretch = scene.stretch();
        let attached = Attached::new(problem, scene.mover, &scene.action, &problem.start, &scene.after);
        let tolerance_m = problem.limits.touch_tol_m;
        let free: Vec<_> = scene.pairs().into_iter().filter(|&pair| {
            gap(problem, &problem.start, pair) > tolerance_m && gap(problem, &scene.after, pair) > tolerance_m
        }).collect();
        let smallest = stretch.smallest_gap(&attached).map(|g| g.gap_m);
        prop_assert_eq!(smallest.is_none(), free.is_empty());
        let Some(smallest) = smallest else { return Ok(()) };
        let nearness = |share: f64| {
            let there = stretch.at(share);
            -free.iter().map(|&pair| gap(problem, &there, pair)).fold(f64::INFINITY, f64::min)
        };
        let (best, sampled) = densest(nearness);
        prop_assert!(-sampled >= smallest - 1e-9, "a sample at {} has {}, claimed {}", best, -sampled, smallest);
        let refined = -refine(best, nearness);
        prop_assert!(smallest >= refined - 1e-7, "claimed {}, nothing below {} found", smallest, refined);
    }

    #[test]
    fn faults_are_those_that_samples_show(seed in any::<u64>()) {
        let scene = scene(seed, 0.3);
        let problem = &scene.problem;
        let stretch = scene.stretch();
        let faults = stretch.clearance_faults();
        prop_assert_eq!(stretch.is_clear(), faults.is_empty());
        for pair in scene.pairs() {
            let value = |share: f64| -gap(problem, &stretch.at(share), pair);
            let (share, deepest) = densest(value);
            let fault = faults.iter().find_map(|(f, at)| match *f {
                Fault::Overlap { module, other, gap_m } if (module, other) == pair => Some((gap_m, *at)),
                _ => None,
            });
            match fault {
                None => prop_assert!(deepest <= tolerance::LENGTH_M + 1e-9, "{:?} overlap by {} at {}", pair, deepest, share),
                Some((gap_m, at)) => {
                    prop_assert!(-deepest >= gap_m - 1e-9);
                    prop_assert!((gap(problem, &stretch.at(at), pair) - gap_m).abs() < 1e-9, "not where it is said to be");
                }
            }
        }
        let stance = |share: f64| stance_excess(problem, &stretch.at(share), scene.mover);
        let (share, worst) = densest(stance);
        let fault = faults.iter().find(|(f, _)| matches!(f, Fault::Reach { .. } | Fault::Outline { .. }));
        match fault {
            None => prop_assert!(worst <= 1e-6 + 1e-9, "{} over at {}", worst, share),
            Some((fault, at)) => {
                let (value, limit) = fault.figures().expect("both have numbers");
                let excess = (value - limit).abs();
                prop_assert!((stance(*at) - excess).abs() < 1e-7, "not where it is said to be: {:?}", fault);
                prop_assert!(worst <= excess + 1e-9);
            }
        }
    }

    #[test]
    fn determinate_loads_are_bounded_and_tight(seed in any::<u64>(), factor in 0.9..1.1_f64) {
        let scene = scene(seed, 0.0);
        let stretch = scene.stretch();
        let at = |share: f64| load_by_definition(&scene, &stretch.at(share));
        prop_assume!(at(0.0).touches.is_empty());
        let certified = stretch.worst_utilisation(Interrupt::NEVER).expect("it is never stopped");
        let utilisation = |share: f64| at(share).worst();
        let (best, sampled) = densest(|share| utilisation(share).value);
        prop_assert!(sampled <= certified.utilisation.value + 1e-7, "{} at {}, certified {:?}", sampled, best, certified);
        let (hardest, excess) = densest(|share| missed(utilisation(share)));
        prop_assert!(excess <= missed(certified.utilisation) + 1e-7, "{} N at {}, certified {:?}", excess, hardest, certified);
        let refined = refine(best, |share| utilisation(share).value);
        prop_assert!(certified.utilisation.value <= refined + 1e-6, "certified {:?}, refined {}", certified, refined);
        let refined = refine(hardest, |share| missed(utilisation(share)));
        prop_assert!(missed(certified.utilisation) <= refined + 1e-6, "certified {:?}, refined {} N", certified, refined);
        // A yes means that no sample is over; a no that something is, or is nearer than the certificate can tell.
        let limit = certified.utilisation.value * factor;
        if stretch.carries(limit, &mut WarmStart::default(), Interrupt::NEVER).expect("it is never stopped") {
            prop_assert!(sampled <= limit + 1e-7 && excess <= 1e-6, "carried with {}, a sample has {}", limit, sampled);
        } else {
            prop_assert!(!certified.utilisation.within(limit - 1e-4), "refused with {}, worst {:?}", limit, certified);
        }
    }
}

proptest! {
    #![proptest_config(fixed(40))]

    /// With touches every sample is nine cone programmes, so there are fewer.
    #[test]
    fn loads_with_touches_are_bounded(seed in any::<u64>(), factor in 0.95..1.05_f64) {
        let scene = scene(seed, 0.9);
        let stretch = scene.stretch();
        let certified = stretch.worst_utilisation(Interrupt::NEVER).expect("it is never stopped");
        let limit = certified.utilisation.value * factor;
        let carried = stretch.carries(limit, &mut WarmStart::default(), Interrupt::NEVER).expect("it is never stopped");
        for k in 0..=24 {
            let share = f64::from(k) / 24.0;
            let utilisation = load_by_definition(&scene, &stretch.at(share)).worst();
            prop_assert!(utilisation.value <= certified.utilisation.value + 1e-6, "{:?} at {}, certified {:?}", utilisation, share, certified);
            prop_assert!(missed(utilisation) <= missed(certified.utilisation) + 1e-6);
            prop_assert!(!carried || utilisation.within(limit + 1e-6), "carried with {}, {:?} at {}", limit, utilisation, share);
        }
    }

    /// A hop moves no centre; the weakened bond must do on the old host and on the new.
    #[test]
    fn hops_hold_on_both_hosts(seed in any::<u64>()) {
        let Some(scene) = hop_scene(seed) else { return Ok(()) };
        let (problem, stretch) = (&scene.problem, scene.stretch());
        let certified = stretch.worst_utilisation(Interrupt::NEVER).expect("it is never stopped");
        let mut worst = Utilisation { value: 0.0, excess_n: f64::NEG_INFINITY };
        for there in [&problem.start, &scene.after] {
            let share = problem.kind(scene.mover).hop_hold;
            let mut counted = touches(problem, there);
            counted.iter_mut().for_each(|touch| slip(&scene, touch));
            let case = LoadCase::new(problem, there, counted)
                .in_motion(problem, true)
                .with_weakened(scene.mover, share);
            worst = worst.worse(case.worst());
        }
        prop_assert!((certified.utilisation.value - worst.value).abs() < 1e-7 || !worst.within(f64::INFINITY));
        prop_assert!((missed(certified.utilisation) - missed(worst)).abs() < 1e-7 || missed(worst).is_infinite());
        for (limit, carried) in [(worst.value + 1e-5, worst.within(f64::INFINITY)), (worst.value - 1e-4, false)] {
            prop_assert_eq!(stretch.carries(limit, &mut WarmStart::default(), Interrupt::NEVER).expect("it is never stopped"), carried, "limit {}, {:?}", limit, worst);
        }
    }
}

/// The force of a touch of a hopping shell after section 6 of the model page: it slips on what it touches.
fn slip(scene: &Scene, touch: &mut Touch) {
    let (before, after) = (scene.problem.start.get(scene.mover), scene.after.get(scene.mover));
    let sign = if touch.module == scene.mover {
        1.0
    } else if touch.other == Body::Module(scene.mover) {
        -1.0
    } else {
        return;
    };
    let goes = before.up().cross(after.up()).normalize().cross(touch.point - before.position);
    let slips = goes.length() > 1e-9 * scene.problem.kind(scene.mover).shell_radius_m;
    let along = if slips { goes.normalize() } else { DVec3::ZERO };
    // The force on the mover, and by its sign that on the touch's module.
    touch.slipping = Some((touch.normal * sign - along * touch.friction) * sign);
}

/// By how much a mover's foot is out of reach (radians) or over the edge of its deck (metres).
fn stance_excess(problem: &Problem, there: &Configuration, mover: ModuleId) -> f64 {
    let place: &Placement = there.get(mover);
    match place.host {
        Body::Ground(deck) => {
            let inset = problem.ground(deck).inset(place.position);
            problem.kind(mover).foot_radius_m - inset
        }
        Body::Module(host) => {
            let up: DVec3 = there.get(host).up();
            angle_between(up, place.position - there.get(host).position) - problem.kind(host).shell_reach_rad
        }
        Body::Stone(_) => panic!("no foot stands on a stone"),
    }
}

/// Somebody bare that rests against another body it could stand on, turned so that it can hop there.
fn hop_scene(seed: u64) -> Option<Scene> {
    let dice = &mut Dice::new(seed);
    let mut problem = crew(dice, 5, 1.0);
    for mover in problem.module_ids() {
        if problem.start.is_stood_on(mover) {
            continue;
        }
        let here = *problem.start.get(mover);
        let shells = problem.module_ids().filter(|&m| m != mover).map(Body::Module);
        let hosts: Vec<Body> =
            shells.chain(problem.ground_ids().map(Body::Ground)).filter(|&h| h != here.host).collect();
        for to in hosts {
            let normal = match to {
                Body::Ground(ground) => problem.ground(ground).plane.normal,
                Body::Stone(_) => panic!("no foot stands on a stone"),
                Body::Module(host) => (here.position - problem.start.get(host).position).normalize(),
            };
            let facing = perpendicular_part(normal, here.up());
            let Some(turned) = clamber_core::unstable::math::heading_frame(here.up(), facing) else {
                continue;
            };
            let place = problem.start.get_mut(mover);
            place.orientation = turned;
            place.hold = Hold::Rolling;
            let action = Move::Hop { to };
            if let Ok(after) = apply(&problem, &problem.start, mover, &action) {
                return Some(Scene { problem, mover, action, after });
            }
            *problem.start.get_mut(mover) = here;
        }
    }
    None
}
