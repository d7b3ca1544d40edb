//! The chance that a plan fails, against closed forms and published values.

use crate::arms::{FIRST_N, MAGNET_N, ROOT_N, arm, still};
use crate::support::assert_near;
use clamber_core::unstable::assess::{
    HalfSpace, Risk, Scatter, Scenario, Spread, Verdict, chance_below, risk, union_chance,
};
use clamber_core::{Hold, Interrupt, Problem};

/// The chance that a standard normal number is below −2, −3.328201 (Abramowitz & Stegun, table 26.1, from memory; the second by the closed form).
const BELOW_TWO: f64 = 0.022_750_131_948;

const NONE: f64 = f64::NEG_INFINITY;

fn found(problem: &Problem, scatter: &Scatter) -> Risk {
    risk(problem, &still(), scatter, &Scenario::common(), (20_000, 7), Interrupt::NEVER)
        .expect("it is not given up")
}

/// Six bonds that hold 84 N ± 8.4 N and need 50, 46, 40, 36, 30, 28 N: 2.899408e-5 as a product (own closed form).
#[test]
fn six_independent_bonds() {
    let needs = [50.0, 46.0, 40.0, 36.0, 30.0, 28.0];
    let fails = needs.map(|need| chance_below([84.0, 8.4], [0.0; 2], [need, NONE, NONE]));
    let product = fails.into_iter().fold(0.0, |some, fails| some + fails - some * fails);
    assert!((product / 2.899_408e-5 - 1.0).abs() < 1e-6, "{product:e}");
    let spaces: Vec<HalfSpace> =
        needs.iter().enumerate().map(|(k, need)| HalfSpace::new(84.0 - need, vec![(k, 8.4)])).collect();
    let sampled = union_chance(&spaces, 20_000, 1, Interrupt::NEVER).expect("it is not given up");
    assert!(sampled.low <= product * (1.0 + 1e-9) && product <= sampled.high * (1.0 + 1e-9), "{sampled:?}");
    assert!((sampled.value / product - 1.0).abs() < 1e-3);
    assert_eq!(union_chance(&spaces, 20_000, 1, Interrupt::NEVER), Ok(sampled));
}

/// R(84, 6) − S(60, 4): β = 3.328201, chance 4.370e-4 (Hasofer & Lind, J. Eng. Mech. Div. 100 (1974) 111, for linear limits the closed form).
#[test]
fn one_linear_limit() {
    let space = HalfSpace::new(84.0 - 60.0, vec![(0, 6.0), (1, -4.0)]);
    assert_near(space.chance(), 4.370e-4, 5e-8);
}

/// Half-spaces that overlap: two opposite ones add up, two equal ones count once, and two at right angles multiply.
#[test]
fn overlapping_half_spaces() {
    let space = |weights: &[(usize, f64)]| HalfSpace::new(2.0, weights.to_vec());
    let chance =
        |spaces: &[HalfSpace]| union_chance(spaces, 50_000, 3, Interrupt::NEVER).expect("it is not given up");
    let p = BELOW_TWO;
    let cases: [(&[(usize, f64)], f64); 3] =
        [(&[(0, -1.0)], 2.0 * p), (&[(0, 1.0)], p), (&[(1, 1.0)], 2.0 * p - p * p)];
    for (weights, expected) in cases {
        let found = chance(&[space(&[(0, 1.0)]), space(weights)]);
        let slack = 3.0 * (found.high - found.low) + 1e-12;
        assert!((found.value - expected).abs() <= slack, "{found:?}, expected {expected}");
    }
}

/// A magnet and a cup: alone, together, and both conditions at once against a plain double sum.
#[test]
fn a_magnet_and_a_cup() {
    let (magnet, cup) = ([30.0, 3.0], [54.0, 5.4]);
    let together = (9.0_f64 + 5.4 * 5.4).sqrt();
    assert!((chance_below(magnet, cup, [NONE, 84.0 - 2.0 * together, NONE]) / BELOW_TWO - 1.0).abs() < 1e-8);
    assert!((chance_below(magnet, cup, [24.0, NONE, NONE]) / BELOW_TWO - 1.0).abs() < 1e-8);
    // The first limit lies on an edge of the cells.
    let (alone, both, step) = (27.0, 74.0, 0.01);
    let density = |x: f64| (-0.5 * x * x).exp() / (2.0 * std::f64::consts::PI).sqrt();
    let mut holds = 0.0;
    for i in -800..800 {
        let a = (f64::from(i) + 0.5) * step;
        for j in -800..800 {
            let b = (f64::from(j) + 0.5) * step;
            let (m, c) = (30.0 + 3.0 * a, 54.0 + 5.4 * b);
            if m >= alone && m + c >= both {
                holds += density(a) * density(b) * step * step;
            }
        }
    }
    assert_near(chance_below(magnet, cup, [alone, both, NONE]), 1.0 - holds, 2e-4);
}

/// A level arm: the chance is that of its two loaded bonds, and the needs are those of the closed forms.
#[test]
fn an_arm_fails_where_its_bonds_do() {
    let (problem, chain) = arm(2);
    let scatter = Scatter {
        magnet: Spread { mean: 1.0, cv: 0.2 },
        cup: Spread { mean: 1.0, cv: 0.2 },
        ..Scatter::default()
    };
    let found = found(&problem, &scatter);
    assert!(found.is_exact && !found.is_bound);
    let need =
        |module| found.bonds.iter().find(|bond| bond.module == module).map_or(0.0, |bond| bond.needs_n);
    assert_near(need(chain[0]), ROOT_N[1], 1e-4);
    assert_near(need(chain[1]), FIRST_N[1], 1e-4);
    let (magnet, cup) = ([30.0, 6.0], [54.0, 10.8]);
    let fails = [need(chain[0]), need(chain[1]), need(chain[2])]
        .map(|need| chance_below(magnet, cup, [NONE, need, NONE]));
    let product = fails.into_iter().fold(0.0, |some, fails| some + fails - some * fails);
    assert!((found.chance.value / product - 1.0).abs() < 1e-9);
    assert_near(found.timeline[0].2, fails.iter().sum(), 1e-12);
    // The common causes: half the cup leaves 57 N, of which the root needs 28; four fifths of the magnets leave 78.
    let used: Vec<f64> = found.scenarios.iter().filter_map(|row| row.trial.utilisation).collect();
    assert_near(used[0], ROOT_N[1] / 57.0, 1e-5);
    assert_near(used[2], ROOT_N[1] / 78.0, 1e-5);
    assert!(found.scenarios.iter().all(|row| row.trial.verdict == Verdict::Stands));
}

/// One module that stands a millimetre off changes the use of the bond below by w / (b A) = 0.00409 per millimetre (rolling, demo kind).
#[test]
fn a_misplaced_module_costs_its_lever() {
    let (mut problem, chain) = arm(1);
    problem.start = problem.start.with_holds(|_| Hold::Rolling);
    let per_mm = 0.5 * 9.80665 / (0.04 * MAGNET_N) * 1e-3;
    assert_near(per_mm, 0.00409, 1e-5);
    // The root holds two such deviations more than it needs, and nothing else scatters.
    let mean = (ROOT_N[0] + 2.0 * per_mm * MAGNET_N) / MAGNET_N;
    let (magnet, cup) = (Spread { mean, cv: 0.0 }, Spread { mean: 1.0, cv: 0.0 });
    let scatter = Scatter { magnet, cup, place_m: 1e-3, ..Scatter::default() };
    let found = found(&problem, &scatter);
    let root = found.bonds.iter().find(|bond| bond.module == chain[0]).expect("it is loaded");
    // Tilted by 3°, gravity has a cosine of 0.9986.
    assert!((root.chance / BELOW_TWO - 1.0).abs() < 0.02, "{}", root.chance);
}
