//! What there is to say about a scene, as it stands in JSON.

use clamber_core::unstable::model::BondGraph;
use clamber_core::unstable::model::touches;
use clamber_core::unstable::motion::{Fault, faults_at_rest, load_at_rest};
use clamber_core::unstable::scene::lint;
use clamber_core::unstable::search::impossible_goal;
use clamber_core::unstable::statics::{assess, describe_direction, tilt_survived_rad};
use clamber_core::{
    Body, BondReport, FailureMode, LoadReport, LostParts, Problem, Scenario, scenario_sha256,
};
use serde::Serialize;

/// The whole answer for one scene.
#[derive(Debug, Serialize)]
pub(crate) struct Inspection {
    format: &'static str,
    pub(crate) file: String,
    pub(crate) scene: String,
    pub(crate) scenario_sha256: String,
    pub(crate) sound: bool,
    pub(crate) problems: Vec<ProblemEntry>,
    /// The certificate of an impossible goal, in words.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub(crate) impossible: Option<String>,
    /// What looks like a mistake.
    pub(crate) remarks: Vec<String>,
    pub(crate) modules: Vec<ModuleEntry>,
    pub(crate) touches: Vec<TouchEntry>,
    pub(crate) load: LoadEntry,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub(crate) tilt_survived_deg: Option<f64>,
}

/// A rule that the start breaks.
#[derive(Debug, Serialize)]
pub(crate) struct ProblemEntry {
    pub(crate) rule: &'static str,
    pub(crate) message: String,
}

/// A module as it stands.
#[derive(Debug, Serialize)]
pub(crate) struct ModuleEntry {
    pub(crate) module: String,
    pub(crate) kind: String,
    pub(crate) on: String,
    pub(crate) hold: &'static str,
    pub(crate) stuck: bool,
    pub(crate) lost: Vec<&'static str>,
    pub(crate) payload_kg: f64,
    pub(crate) position_m: [f64; 3],
    orientation_xyzw: [f64; 4],
    pub(crate) carries: Vec<String>,
}

/// Two bodies that touch without a bond.
#[derive(Debug, Serialize)]
pub(crate) struct TouchEntry {
    pub(crate) a: String,
    pub(crate) b: String,
    pub(crate) gap_m: f64,
}

/// How the load is carried.
#[derive(Debug, Serialize)]
pub(crate) struct LoadEntry {
    pub(crate) status: &'static str,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub(crate) utilisation: Option<f64>,
    pub(crate) limit: f64,
    pub(crate) bonds: Vec<BondEntry>,
}

/// What one bond bears, in the worst direction of gravity.
#[derive(Debug, Serialize)]
pub(crate) struct BondEntry {
    pub(crate) module: String,
    pub(crate) host: String,
    pub(crate) hold: &'static str,
    pub(crate) adhesion_n: f64,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub(crate) utilisation: Option<f64>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub(crate) needs_n: Option<f64>,
    pub(crate) governs: &'static str,
    pub(crate) gravity: String,
}

/// Looks at the start of a scene.
pub(crate) fn inspection(file: String, scenario: &Scenario, problem: &Problem) -> Inspection {
    let faults = faults_at_rest(problem, &problem.start);
    let case = load_at_rest(problem, &problem.start);
    let tilt = tilt_survived_rad(problem, &case);
    let report = assess(problem, &case);
    let name = |body: Body| problem.name_of(body).to_owned();
    let found = touches(problem, &problem.start);
    Inspection {
        format: "clamber-inspection/1",
        file,
        scene: problem.name.clone(),
        scenario_sha256: scenario_sha256(scenario),
        sound: faults.is_empty(),
        impossible: impossible(problem, faults.is_empty()),
        remarks: lint(problem),
        problems: faults.iter().map(|fault| problem_entry(problem, fault)).collect(),
        modules: modules(problem),
        touches: found
            .iter()
            .map(|t| TouchEntry { a: name(Body::Module(t.module)), b: name(t.other), gap_m: t.gap_m })
            .collect(),
        load: load(problem, &report),
        tilt_survived_deg: tilt.map(f64::to_degrees),
    }
}

/// Why no plan can reach the goal, if a certificate says so. It is looked for only where the start is sound.
fn impossible(problem: &Problem, sound: bool) -> Option<String> {
    let proof = (sound && !problem.goal.is_empty()).then(|| impossible_goal(problem)).flatten();
    proof.map(|proof| proof.describe(problem))
}

fn lost(parts: LostParts) -> Vec<&'static str> {
    let all = [(parts.drive, "drive"), (parts.yaw, "yaw"), (parts.cup, "cup")];
    all.into_iter().filter_map(|(lost, part)| lost.then_some(part)).collect()
}

fn problem_entry(problem: &Problem, fault: &Fault) -> ProblemEntry {
    ProblemEntry { rule: fault.rule().name(), message: fault.describe(problem) }
}

fn modules(problem: &Problem) -> Vec<ModuleEntry> {
    let bonds = BondGraph::new(problem, &problem.start);
    let entry = |(id, place): (_, &clamber_core::Placement)| ModuleEntry {
        module: problem.module_name(id).to_owned(),
        kind: problem.kind(id).name.clone(),
        on: problem.name_of(place.host).to_owned(),
        hold: place.hold.word(),
        stuck: problem.modules[id.index()].stuck,
        lost: lost(problem.modules[id.index()].lost),
        payload_kg: problem.modules[id.index()].payload_kg,
        position_m: place.position.to_array(),
        orientation_xyzw: place.orientation.to_array(),
        carries: bonds
            .carried_by(Body::Module(id))
            .into_iter()
            .map(|carried| problem.module_name(carried).to_owned())
            .collect(),
    };
    problem.start.iter().map(entry).collect()
}

fn load(problem: &Problem, report: &LoadReport) -> LoadEntry {
    let mut bonds: Vec<&BondReport> = report.bonds.iter().collect();
    bonds.sort_by_key(|bond| bond.child);
    LoadEntry {
        status: report.status.word(),
        utilisation: report.utilisation.filter(|u| u.is_finite()),
        limit: problem.limits.utilisation(),
        bonds: bonds.into_iter().map(|bond| bond_entry(problem, bond)).collect(),
    }
}

fn bond_entry(problem: &Problem, bond: &BondReport) -> BondEntry {
    BondEntry {
        module: problem.module_name(bond.child).to_owned(),
        host: problem.name_of(bond.host).to_owned(),
        hold: problem.start.get(bond.child).hold.word(),
        adhesion_n: bond.adhesion_n,
        utilisation: bond.utilisation.filter(|u| u.is_finite()),
        needs_n: Some(bond.needs_n).filter(|n| n.is_finite()),
        governs: match bond.governs {
            FailureMode::Peel => "peel",
            FailureMode::Slip => "slip",
            FailureMode::Drive => "drive",
            FailureMode::Turn => "turn",
        },
        gravity: describe_direction(bond.direction, problem.limits.sway_rad),
    }
}
