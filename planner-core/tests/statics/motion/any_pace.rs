//! Loads and gaps of moves that go each at its own pace, against grids over all combinations.

use crate::support::{cobble, empty, fixed, on_deck, on_shell, steel};
use clamber_core::DVec3;
use clamber_core::Interrupt;
use clamber_core::Move;
use clamber_core::unstable::geometry::{Path, Sweep, keep_apart};
use clamber_core::unstable::motion::apply;
use clamber_core::unstable::motion::{Stretch, Underway};
use clamber_core::unstable::statics::WarmStart;
use clamber_core::{ModuleId, Problem};
use proptest::prelude::*;

/// Steps of a grid over one move.
const GRID: usize = 12;

/// A root on steel, an arm of one on it, and two that move: one on the arm's end, one on the root.
fn crew(towards: [DVec3; 3]) -> (Problem, [ModuleId; 2]) {
    let mut problem = empty(vec![cobble()], vec![steel(0.7)]);
    let root = on_deck(&mut problem, [0.0, 0.0]);
    let arm = on_shell(&mut problem, root, towards[0]);
    let outer = on_shell(&mut problem, arm, towards[1]);
    let inner = on_shell(&mut problem, root, towards[2]);
    (problem, [outer, inner])
}

fn part(action: Move, share: f64) -> Move {
    match action {
        Move::Slide { travel_m, curvature_per_m } => {
            Move::Slide { travel_m: travel_m * share, curvature_per_m }
        }
        Move::Yaw { angle_rad } => Move::Yaw { angle_rad: angle_rad * share },
        other => other,
    }
}

/// The worst utilisation and excess over a grid of both shares.
fn worst_on_grid(problem: &Problem, moves: [(ModuleId, Move); 2]) -> (f64, f64) {
    let mut worst = (0.0_f64, f64::NEG_INFINITY);
    for (a, b) in (0..=GRID).flat_map(|a| (0..=GRID).map(move |b| (a, b))) {
        let shares = [a as f64 / GRID as f64, b as f64 / GRID as f64];
        let mut there = problem.start.clone();
        for (&(module, action), share) in moves.iter().zip(shares) {
            there = apply(problem, &there, module, &part(action, share)).expect("rolling modules drive");
        }
        let underway = moves.map(|(mover, action)| Underway { mover, action, share: 0.0 });
        let utilisation = Stretch::new(problem, there, &underway, &[])
            .worst_utilisation(Interrupt::NEVER)
            .expect("it is never stopped")
            .utilisation;
        worst = (worst.0.max(utilisation.value), worst.1.max(utilisation.excess_n));
    }
    worst
}

fn direction() -> impl Strategy<Value = DVec3> {
    (-1.0..1.0_f64, -1.0..1.0_f64, 0.2..1.0_f64).prop_map(|(x, y, z)| DVec3::new(x, y, z))
}

fn action() -> impl Strategy<Value = Move> {
    prop_oneof![
        (-0.1..0.1_f64, -8.0..8.0_f64)
            .prop_map(|(travel_m, curvature_per_m)| Move::Slide { travel_m, curvature_per_m }),
        (-2.0..2.0_f64).prop_map(|angle_rad| Move::Yaw { angle_rad }),
    ]
}

proptest! {
    #![proptest_config(fixed(60))]

    /// What is certified holds on the grid; what holds on the grid with a little to spare is certified.
    #[test]
    fn loads_at_any_pace(towards in [direction(), direction(), direction()], actions in [action(), action()]) {
        let (problem, movers) = crew(towards);
        let moves = [(movers[0], actions[0]), (movers[1], actions[1])];
        let (utilisation, excess) = worst_on_grid(&problem, moves);
        prop_assume!(excess < -0.1 && utilisation > 0.05);
        let underway = moves.map(|(mover, action)| Underway { mover, action, share: 1.0 });
        let stretch = Stretch::new(&problem, problem.start.clone(), &underway, &[]);
        prop_assert!(!stretch.carries_at_any_pace(0.999 * utilisation, &mut WarmStart::default(), Interrupt::NEVER).expect("it is never stopped"));
        prop_assert!(stretch.carries_at_any_pace(1.03 * utilisation + 0.01, &mut WarmStart::default(), Interrupt::NEVER).expect("it is never stopped"), "{utilisation}");
    }

    /// Ways that keep apart are apart on the grid; ways that are farther apart on the grid than its steps could hide keep apart.
    #[test]
    fn ways_at_any_pace(from in [direction(), direction()], axes in [direction(), direction()], turns in [-3.0..3.0_f64, -3.0..3.0_f64], least in 0.1..1.5_f64) {
        let way = |k: usize| {
            let sweep = Sweep::Turn { point: DVec3::X * k as f64, axis: axes[k].normalize(), angle: turns[k] };
            sweep.path_of(from[k])
        };
        let (a, b): (Path, Path) = (way(0), way(1));
        let steps = 60;
        let at = |path: &Path, k: usize| path.at(path.span() * k as f64 / steps as f64);
        let nearest = (0..=steps)
            .flat_map(|i| (0..=steps).map(move |j| (i, j)))
            .map(|(i, j)| at(&a, i).distance(at(&b, j)))
            .fold(f64::INFINITY, f64::min);
        let hidden = 0.5 * (a.length() + b.length()) / f64::from(steps as u32);
        if keep_apart(&a, &b, least) {
            prop_assert!(nearest >= least - 1e-12);
        } else {
            prop_assert!(nearest - hidden < least);
        }
    }
}
