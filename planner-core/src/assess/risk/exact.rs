//! The exact chance that some bond fails, where what bonds need is fixed and their holds are independent.

use super::demands::Demand;
use crate::math::{normal_below, normal_density};
use crate::model::ModuleId;

/// The chance that some demand is not met. The magnet and the cup of a module are independent, and modules are too.
pub(super) fn chance_that_some_fail(demands: &[Demand]) -> f64 {
    let mut modules: Vec<ModuleId> = demands.iter().map(Demand::module).collect();
    modules.sort_unstable();
    modules.dedup();
    let fails = modules.into_iter().map(|module| {
        let own: Vec<&Demand> = demands.iter().filter(|demand| demand.module() == module).collect();
        let most = |which: &dyn Fn(&Demand) -> bool| {
            own.iter().filter(|d| which(d)).map(|d| d.need_n).fold(f64::NEG_INFINITY, f64::max)
        };
        let part = |which: &dyn Fn(&Demand) -> [f64; 2]| {
            own.iter().map(|d| which(d)).find(|part| part[0] > 0.0).unwrap_or_default()
        };
        let (magnet, cup) = (part(&|d| d.magnet), part(&|d| d.cup));
        let needs = [
            most(&|d| d.cup[0] <= 0.0),
            most(&|d| d.magnet[0] > 0.0 && d.cup[0] > 0.0),
            most(&|d| d.magnet[0] <= 0.0),
        ];
        chance_below(magnet, cup, needs)
    });
    // 1 − Π(1 − p), without loss of accuracy for small chances.
    fails.fold(0.0, |some, fails| some + fails - some * fails)
}

/// The chance that a magnet is below the first of three needs, or magnet and cup together below the second, or the cup below the third. Magnet and cup
/// are independent normal forces, given by mean and standard deviation.
///
/// The chance is an integral over the magnet's force, by Simpson's rule with an error below 1e-9 of the chance, or 1e-30.
#[must_use]
pub fn chance_below(magnet: [f64; 2], cup: [f64; 2], [alone, both, only_cup]: [f64; 3]) -> f64 {
    let below = |[mean, deviation]: [f64; 2], need: f64| {
        if need == f64::NEG_INFINITY {
            0.0
        } else if deviation > 0.0 {
            normal_below((need - mean) / deviation)
        } else if need > mean {
            1.0
        } else {
            0.0
        }
    };
    if magnet[1] <= 0.0 {
        return if alone > magnet[0] { 1.0 } else { below(cup, only_cup.max(both - magnet[0])) };
    }
    if cup[1] <= 0.0 {
        return if only_cup > cup[0] { 1.0 } else { below(magnet, alone.max(both - cup[0])) };
    }
    let from = ((alone - magnet[0]) / magnet[1]).max(-REACH);
    if from >= REACH {
        return 1.0;
    }
    let step = (REACH - from) / STEPS as f64;
    let at = |k: usize| {
        let number = from + step * k as f64;
        normal_density(number) * below(cup, only_cup.max(both - magnet[0] - magnet[1] * number))
    };
    let inner: f64 = (1..STEPS).map(|k| at(k) * if k % 2 == 1 { 4.0 } else { 2.0 }).sum();
    below(magnet, alone) + (at(0) + inner + at(STEPS)) * step / 3.0
}

/// Standard deviations beyond which the density counts as nothing.
const REACH: f64 = 38.0;
/// Steps of Simpson's rule, an even number.
const STEPS: usize = 8000;
