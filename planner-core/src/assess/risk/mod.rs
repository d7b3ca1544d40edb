//! The chance that a plan holds, from the scatter of its holds, masses and places; and what common causes do to it.
//!
//! A plan holds if no bond ever needs more than it holds. Holds scatter from module to module, independently and normally. What a bond needs is linear
//! in small changes of masses and places (first order, at the instant that matters most). So each bond fails on a half-space of independent standard
//! normal numbers, and the plan on the union of those.
//!
//! Where bodies touch, forces can be shared in many ways. Then every bond gets the share of its rated hold that the best balance uses, which is enough
//! to stand: the chance is a bound, and masses and places count as given.

mod demands;
mod exact;
mod scatter;
mod scenario;
mod union;

pub use exact::chance_below;
pub use scatter::{Scatter, Spread};
pub use scenario::{COMMON_CAUSES, Scenario, ScenarioRow};
pub use union::{Estimate, HalfSpace, union_chance};

use crate::check::Stances;
use crate::control::{Interrupt, Stopped};
use crate::model::{ModuleId, Problem};
use crate::plan::Plan;
use demands::{Demand, demands};
use rayon::prelude::*;

/// The chance that a plan fails, and what carries it.
#[derive(Clone, Debug, PartialEq)]
#[non_exhaustive]
pub struct Risk {
    /// The chance that some bond fails at some instant.
    pub chance: Estimate,
    /// Whether the chance is a product over independent bonds, not an estimate from draws.
    pub is_exact: bool,
    /// Whether it is a bound that is not exceeded: where bodies touch.
    pub is_bound: bool,
    /// For each bond that is loaded, its own chance, the largest first.
    pub bonds: Vec<BondChance>,
    /// For each piece of time, a bound on the chance that some bond fails there: from and to in seconds, and the chance.
    pub timeline: Vec<(f64, f64, f64)>,
    /// What common causes do, in the order in which they were given.
    pub scenarios: Vec<ScenarioRow>,
}

/// The chance that one bond fails at the instant at which that is most likely.
#[derive(Clone, Copy, Debug, PartialEq)]
#[non_exhaustive]
pub struct BondChance {
    /// The module.
    pub module: ModuleId,
    /// The chance.
    pub chance: f64,
    /// What it needs, and what it holds on average, in newtons.
    pub needs_n: f64,
    /// What it holds on average, in newtons.
    pub holds_n: f64,
    /// When, in seconds.
    pub at_s: f64,
    /// Whether the cup is part of the hold.
    pub braced: bool,
    /// Whether the need is a bound: where bodies touch.
    pub is_bound: bool,
}

/// The chance that a sound plan fails.
///
/// The same seed gives the same answer on any number of threads. With common random numbers, two plans of one crew can be compared: the same draws
/// mean the same modules.
///
/// # Errors
/// When interrupted; the interrupt is polled before every load case and every thousand draws.
pub fn risk(
    problem: &Problem,
    plan: &Plan,
    scatter: &Scatter,
    scenarios: &[Scenario],
    (draws, seed): (usize, u64),
    interrupt: Interrupt<'_>,
) -> Result<Risk, Stopped> {
    let stances = Stances::new(problem, plan, interrupt)?;
    let each: Result<Vec<Vec<Demand>>, Stopped> =
        stances.numbers().into_par_iter().map(|n| demands(&stances, n, scatter, interrupt)).collect();
    let each = each?;
    let worst = worst_of_each(each.iter().flatten());
    let (chance, is_exact) = if scatter.demands_are_fixed() {
        (Estimate::exact(exact::chance_that_some_fail(&worst)), true)
    } else {
        let spaces: Vec<HalfSpace> = worst.iter().map(Demand::half_space).collect();
        (union_chance(&spaces, draws, seed, interrupt)?, false)
    };
    let mut bonds: Vec<BondChance> = worst.iter().map(Demand::told).collect();
    bonds.sort_by(|a, b| b.chance.total_cmp(&a.chance).then(a.module.cmp(&b.module)));
    let pieces = stances.pieces();
    let mut there: Vec<Vec<&Demand>> = vec![Vec::new(); pieces.len()];
    for (number, own) in each.iter().enumerate() {
        for piece in stances.pieces_of(number) {
            there[piece].extend(own);
        }
    }
    let sum =
        |own: Vec<&Demand>| worst_of_each(own.into_iter()).iter().map(Demand::chance).sum::<f64>().min(1.0);
    let timeline = pieces.iter().zip(there).map(|(&(from_s, to_s), own)| (from_s, to_s, sum(own))).collect();
    Ok(Risk {
        chance,
        is_exact,
        is_bound: worst.iter().any(|demand| demand.is_bound && demand.chance() > 0.0),
        bonds,
        timeline,
        scenarios: scenario::rows(problem, &stances, scenarios, interrupt)?,
    })
}

/// Of each bond and hold the demand that is most likely not met.
fn worst_of_each<'a>(all: impl Iterator<Item = &'a Demand>) -> Vec<Demand> {
    let mut worst: Vec<Demand> = Vec::new();
    for demand in all {
        match worst.iter_mut().find(|known| known.is_of(demand)) {
            Some(known) if known.margin() <= demand.margin() => {}
            Some(known) => *known = demand.clone(),
            None => worst.push(demand.clone()),
        }
    }
    worst
}
