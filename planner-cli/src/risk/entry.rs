//! The answer of `risk` as JSON.

use crate::args::RiskArgs;
use crate::examine::Examined;
use clamber_core::unstable::assess::{Risk, Scatter};
use schemars::JsonSchema;
use serde::Serialize;
use serde_json::Value;

/// The chance that a plan fails, and what common causes do to it.
#[derive(Serialize, JsonSchema)]
pub(crate) struct RiskEntry {
    format: &'static str,
    /// The plan.
    file: String,
    scatter: ScatterEntry,
    chance: ChanceEntry,
    /// For each bond and hold its own chance, the largest first.
    bonds: Vec<BondEntry>,
    /// For each piece of time a bound on the chance.
    timeline: Vec<PieceEntry>,
    scenarios: Vec<ScenarioEntry>,
}

#[derive(Serialize, JsonSchema)]
struct ScatterEntry {
    magnet_mean: f64,
    magnet_cv: f64,
    cup_mean: f64,
    cup_cv: f64,
    mass_cv: f64,
    place_mm: f64,
    place_deg: f64,
}

/// The chance that some bond fails at some instant.
#[derive(Serialize, JsonSchema)]
struct ChanceEntry {
    fails: f64,
    /// `product`: exact; `draws`: estimated.
    by: &'static str,
    /// Whether the plan is safer than this says, because bodies touch.
    is_bound: bool,
    /// With a confidence of 95 %.
    low: f64,
    high: f64,
    #[serde(skip_serializing_if = "Option::is_none")]
    draws: Option<u32>,
    #[serde(skip_serializing_if = "Option::is_none")]
    seed: Option<u64>,
}

#[derive(Serialize, JsonSchema)]
struct BondEntry {
    module: String,
    braced: bool,
    fails: f64,
    is_bound: bool,
    needs_n: f64,
    holds_n: f64,
    at_s: f64,
}

#[derive(Serialize, JsonSchema)]
struct PieceEntry {
    from_s: f64,
    to_s: f64,
    fails_at_most: f64,
}

#[derive(Serialize, JsonSchema)]
struct ScenarioEntry {
    name: String,
    /// `stands`, `uses_margin` or `falls`.
    verdict: &'static str,
    /// Absent where nothing balances the crew.
    #[serde(skip_serializing_if = "Option::is_none")]
    utilisation: Option<f64>,
    at_s: f64,
    #[serde(skip_serializing_if = "Option::is_none")]
    probability: Option<f64>,
}

/// JSON Schema (2020-12) of the answer.
pub(crate) fn schema() -> Value {
    crate::schema::schema_of::<RiskEntry>("The answer of clamber risk")
}

pub(super) fn entry(examined: &Examined, scatter: &Scatter, args: &RiskArgs, found: &Risk) -> RiskEntry {
    let name = |module| examined.problem.module_name(module).to_owned();
    RiskEntry {
        format: "clamber-risk/1",
        file: examined.file.clone(),
        scatter: ScatterEntry {
            magnet_mean: scatter.magnet.mean,
            magnet_cv: scatter.magnet.cv,
            cup_mean: scatter.cup.mean,
            cup_cv: scatter.cup.cv,
            mass_cv: scatter.mass_cv,
            place_mm: scatter.place_m * 1e3,
            place_deg: scatter.place_rad.to_degrees(),
        },
        chance: ChanceEntry {
            fails: found.chance.value,
            by: if found.is_exact { "product" } else { "draws" },
            is_bound: found.is_bound,
            low: found.chance.low,
            high: found.chance.high,
            draws: (!found.is_exact).then_some(args.draws),
            seed: (!found.is_exact).then_some(args.seed),
        },
        bonds: found
            .bonds
            .iter()
            .map(|bond| BondEntry {
                module: name(bond.module),
                braced: bond.braced,
                fails: bond.chance,
                is_bound: bond.is_bound,
                needs_n: bond.needs_n,
                holds_n: bond.holds_n,
                at_s: bond.at_s,
            })
            .collect(),
        timeline: found
            .timeline
            .iter()
            .map(|&(from_s, to_s, fails_at_most)| PieceEntry { from_s, to_s, fails_at_most })
            .collect(),
        scenarios: found
            .scenarios
            .iter()
            .map(|row| ScenarioEntry {
                name: row.scenario.name.clone(),
                verdict: row.trial.verdict.word(),
                utilisation: row.trial.utilisation,
                at_s: row.trial.at_s,
                probability: row.scenario.probability,
            })
            .collect(),
    }
}
