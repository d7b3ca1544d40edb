//! Droop and sway of bonds that are not rigid, against closed forms of level arms and single modules.

use crate::arms::{BRACED_N, arm, still};
use crate::support::{assert_near, brace_all, cobble, empty, on_deck, steel};
use clamber_core::Interrupt;
use clamber_core::unstable::assess::{Compliance, compliance};
use std::f64::consts::TAU;

const ROCKING: f64 = 90.0;

fn found(problem: &clamber_core::Problem) -> Compliance {
    let off_rad = 0.3_f64.to_radians();
    compliance(problem, &still(), ROCKING, off_rad, Interrupt::NEVER).expect("it is not given up")
}

/// Each bond of a level arm turns by its moment over the stiffness: w (m² R − m c) for the one that m links hang from, w (R n (n + 1) − n c) at the root's
/// sole. The tip goes down by the turns times the levels arms, and forward by the root's turn times its height.
#[test]
fn a_level_arm_droops_by_the_turns_of_its_bonds() {
    for links in 1..=3_u32 {
        let (mut problem, chain) = arm(links as usize);
        problem.limits.sway_rad = 0.0;
        let kind = problem.kind(chain[0]).clone();
        let weight_n = kind.mass_kg * problem.site.gravity_mps2;
        let (r, c, n) = (kind.shell_radius_m, -kind.com_height_m, f64::from(links));
        let turn = |moment_m: f64| weight_n * moment_m / ROCKING;
        let links_down: f64 =
            (1..=links).map(f64::from).map(|m| turn(m * m * r - m * c) * r * (2.0 * m - 1.0)).sum();
        let root = turn(r * n * (n + 1.0) - n * c);
        let off_m = (links_down + root * 2.0 * r * n).hypot(root * r);
        let droop = found(&problem).droop.expect("nothing touches");
        assert_eq!(droop.module, chain[links as usize]);
        assert_near(droop.off_m, off_m, 1e-12);
    }
}

/// A ball on a spring that rocks about its sole: period 2π √((m h² + 2/5 m R²) / k).
#[test]
fn one_module_sways_like_a_pendulum_upside_down() {
    let mut problem = empty(vec![cobble()], vec![steel(0.7)]);
    let module = on_deck(&mut problem, [0.0, 0.0]);
    let kind = problem.kind(module).clone();
    let height_m = kind.ride_height_m + kind.com_height_m;
    let inertia = kind.mass_kg * (height_m.powi(2) + 0.4 * kind.shell_radius_m.powi(2));
    let (period_s, _) = found(&problem).period_s.expect("it stands on a bond");
    assert_near(period_s, TAU * (inertia / ROCKING).sqrt(), 1e-12);
}

/// Of two modules that touch, one a little off turns its foot by that angle: k θ / (b A) of its hold.
#[test]
fn places_that_are_off_use_bonds_where_touches_close_a_stance() {
    let mut problem = empty(vec![cobble()], vec![steel(0.7)]);
    on_deck(&mut problem, [0.0, 0.0]);
    assert_eq!(found(&problem).misplaced, None, "nothing touches");
    on_deck(&mut problem, [0.12, 0.0]);
    brace_all(&mut problem);
    let misplaced = found(&problem).misplaced.expect("they touch");
    assert_near(misplaced.adds, ROCKING * 0.3_f64.to_radians() / (0.04 * BRACED_N), 1e-12);
}
