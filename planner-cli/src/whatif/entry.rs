//! The answer of `whatif` as JSON.

use super::rocking::{Rocking, RockingEntry};
use crate::examine::Examined;
use clamber_core::FurtherTilt;
use clamber_core::unstable::assess::{Trial, WhatIf};
use clamber_core::{Body, ModuleId, Problem};
use schemars::JsonSchema;
use serde::Serialize;
use serde_json::Value;

/// What one failure does to a plan, at whatever instant it happens.
#[derive(Serialize, JsonSchema)]
pub(crate) struct WhatifEntry {
    format: &'static str,
    /// The plan.
    file: String,
    /// The worst verdict of all: `stands`, `uses_margin`, `not_proven` or `falls`.
    verdict: &'static str,
    /// The limit on utilisations in plans, `1 / hold_factor`.
    limit: f64,
    failures: Vec<FailureEntry>,
    stalls: Vec<StallEntry>,
    touches: Vec<TouchEntry>,
    /// No touch is there; absent if the plan has none.
    #[serde(skip_serializing_if = "Option::is_none")]
    without_touches: Option<TrialEntry>,
    further_tilt: TiltsEntry,
    /// Only if it is asked for.
    #[serde(skip_serializing_if = "Option::is_none")]
    rocking: Option<RockingEntry>,
    /// What the worst failure of one module does over the time of the plan, whichever failures are asked for.
    timeline: Vec<PieceEntry>,
}

/// One failure of one module.
#[derive(Serialize, JsonSchema)]
struct FailureEntry {
    module: String,
    /// `cup`, `bond` or `mass`.
    failure: &'static str,
    /// Absent if the module has nothing of this that could fail, or if nothing is left of its structure.
    #[serde(skip_serializing_if = "Option::is_none")]
    worst: Option<TrialEntry>,
    /// The most modules that are gone when the bond lets go, itself among them.
    #[serde(skip_serializing_if = "Option::is_none")]
    gone: Option<usize>,
}

/// A failure at its worst instant.
#[derive(Serialize, JsonSchema)]
struct TrialEntry {
    verdict: &'static str,
    /// The largest utilisation of a bond; absent where no forces balance the crew.
    #[serde(skip_serializing_if = "Option::is_none")]
    utilisation: Option<f64>,
    /// `exact`, or `bound`: not more than this.
    utilisation_is: &'static str,
    at_s: f64,
    /// The bond that is used most.
    #[serde(skip_serializing_if = "Option::is_none")]
    bond: Option<BondEntry>,
    /// The module that is best braced as well.
    #[serde(skip_serializing_if = "Option::is_none")]
    brace: Option<BraceEntry>,
    /// Where one module more would balance best.
    #[serde(skip_serializing_if = "Option::is_none")]
    counterweight: Option<CounterweightEntry>,
}

#[derive(Serialize, JsonSchema)]
struct BondEntry {
    module: String,
    on: String,
}

#[derive(Serialize, JsonSchema)]
struct BraceEntry {
    module: String,
    utilisation: f64,
}

#[derive(Serialize, JsonSchema)]
struct CounterweightEntry {
    on: String,
    toward: [f64; 3],
    mass_kg: f64,
    utilisation: f64,
}

/// A drive that stops.
#[derive(Serialize, JsonSchema)]
struct StallEntry {
    module: String,
    /// Absent if it neither slides nor yaws.
    #[serde(skip_serializing_if = "Option::is_none")]
    verdict: Option<&'static str>,
    /// No bond is used more than this.
    #[serde(skip_serializing_if = "Option::is_none")]
    utilisation: Option<f64>,
    #[serde(skip_serializing_if = "Option::is_none")]
    at_s: Option<f64>,
    /// The steps in which it hops: half-way, nothing is proven.
    hops: Vec<usize>,
}

/// A touch that is not there.
#[derive(Serialize, JsonSchema)]
struct TouchEntry {
    module: String,
    other: String,
    worst: TrialEntry,
    /// Times, from and to in seconds, in which the crew depends on the touch.
    depends_s: Vec<[f64; 2]>,
}

#[derive(Serialize, JsonSchema)]
struct TiltsEntry {
    /// Until some bond is used beyond the limit on plans.
    margin: TiltEntry,
    /// Until some bond gives.
    falls: TiltEntry,
}

#[derive(Serialize, JsonSchema)]
struct TiltEntry {
    further_deg: f64,
    #[serde(skip_serializing_if = "Option::is_none")]
    at_s: Option<f64>,
    modules: Vec<String>,
}

#[derive(Serialize, JsonSchema)]
struct PieceEntry {
    from_s: f64,
    to_s: f64,
    verdict: &'static str,
}

/// JSON Schema (2020-12) of the answer.
pub(crate) fn schema() -> Value {
    crate::schema::schema_of::<WhatifEntry>("The answer of clamber whatif")
}

pub(super) fn entry(examined: &Examined, found: &WhatIf, rocking: Option<&Rocking>) -> WhatifEntry {
    let problem = &examined.problem;
    let name = |module: ModuleId| problem.module_name(module).to_owned();
    let tilt = |tilt: &FurtherTilt| TiltEntry {
        further_deg: tilt.further_rad.to_degrees(),
        at_s: tilt.at_s,
        modules: tilt.members.iter().map(|m| name(*m)).collect(),
    };
    let [margin, falls] = &found.further_tilt;
    WhatifEntry {
        format: "clamber-whatif/1",
        file: examined.file.clone(),
        verdict: found.verdict().word(),
        limit: problem.limits.utilisation(),
        failures: found
            .failures
            .iter()
            .map(|row| FailureEntry {
                module: name(row.module),
                failure: row.failure.word(),
                worst: row.trial.as_ref().map(|found| trial(problem, found)),
                gone: (row.gone > 0).then_some(row.gone),
            })
            .collect(),
        stalls: found
            .stalls
            .iter()
            .map(|row| StallEntry {
                module: name(row.module),
                verdict: row.verdict.map(|verdict| verdict.word()),
                utilisation: row.utilisation,
                at_s: row.verdict.map(|_| row.at_s),
                hops: row.hops.clone(),
            })
            .collect(),
        touches: found
            .touches
            .iter()
            .map(|row| TouchEntry {
                module: name(row.module),
                other: problem.name_of(row.other).to_owned(),
                worst: trial(problem, &row.trial),
                depends_s: row.depends_s.iter().map(|&(from_s, to_s)| [from_s, to_s]).collect(),
            })
            .collect(),
        without_touches: found.without_touches.as_ref().map(|found| trial(problem, found)),
        further_tilt: TiltsEntry { margin: tilt(margin), falls: tilt(falls) },
        rocking: rocking.map(|rocking| rocking.entry(problem)),
        timeline: found
            .timeline
            .iter()
            .map(|piece| PieceEntry { from_s: piece.from_s, to_s: piece.to_s, verdict: piece.verdict.word() })
            .collect(),
    }
}

fn trial(problem: &Problem, found: &Trial) -> TrialEntry {
    let name = |body: Body| problem.name_of(body).to_owned();
    TrialEntry {
        verdict: found.verdict.word(),
        utilisation: found.utilisation,
        utilisation_is: if found.is_bound { "bound" } else { "exact" },
        at_s: found.at_s,
        bond: found
            .bond
            .map(|(module, host)| BondEntry { module: name(Body::Module(module)), on: name(host) }),
        brace: found
            .help
            .brace
            .map(|(module, utilisation)| BraceEntry { module: name(Body::Module(module)), utilisation }),
        counterweight: found.help.counterweight.map(|counterweight| CounterweightEntry {
            on: name(Body::Module(counterweight.host)),
            toward: counterweight.toward.to_array(),
            mass_kg: counterweight.mass_kg,
            utilisation: counterweight.utilisation,
        }),
    }
}
