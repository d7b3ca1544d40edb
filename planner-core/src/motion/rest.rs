//! Soundness of a configuration at rest: bonds, reach, overlap, load.

use super::kinematics::normal_on;
use super::structure::{part_of, structures};
use super::{Fault, MoveError};
use crate::math::{angle_between, tolerance};
use crate::model::{Body, BondGraph, Configuration, ModuleId, Placement, Problem, touches};
use crate::statics::{LoadCase, LoadReport, LoadStatus, assess};

/// The load case of a configuration at rest: all touches, no motion factor.
#[must_use]
pub fn load_at_rest(problem: &Problem, configuration: &Configuration) -> LoadCase {
    LoadCase::new(problem, configuration, touches(problem, configuration))
}

/// The load case of the final shape with every slot's payload at the centre of the module that fills it; `filling` gives the module in each slot, if any.
#[must_use]
pub fn load_with_payloads(
    problem: &Problem,
    configuration: &Configuration,
    filling: &[Option<ModuleId>],
) -> LoadCase {
    problem
        .goal
        .slots
        .iter()
        .zip(filling)
        .filter(|(slot, _)| slot.payload_kg > 0.0)
        .filter_map(|(slot, filler)| filler.map(|module| (slot.payload_kg, module)))
        .fold(load_at_rest(problem, configuration), |case, (payload_kg, module)| {
            case.with_payload(configuration, module, payload_kg)
        })
}

/// Every rule that a configuration at rest violates, geometry first; the load is checked only if the bonds form a forest.
#[must_use]
pub fn faults_at_rest(problem: &Problem, configuration: &Configuration) -> Vec<Fault> {
    let mut faults = geometry_faults(problem, configuration);
    let is_adrift = faults.iter().any(|f| matches!(f, Fault::Adrift { .. }));
    if !is_adrift && !carries_at_rest(problem, configuration) {
        faults.extend(load_fault(&assess(problem, &load_at_rest(problem, configuration))));
    }
    faults
}

/// Whether a crew at rest carries its load: each structure by itself.
#[must_use]
pub(crate) fn carries_at_rest(problem: &Problem, configuration: &Configuration) -> bool {
    let parts = structures(problem, configuration, std::iter::empty(), std::iter::empty());
    parts.iter().all(|part| {
        let (alone, there) = part_of(problem, configuration, part);
        load_at_rest(&alone, &there).carries(problem.limits.utilisation())
    })
}

/// Whether a configuration at rest is sound; stops at the first fault.
#[must_use]
pub fn is_sound_at_rest(problem: &Problem, configuration: &Configuration) -> bool {
    geometry_faults(problem, configuration).is_empty() && carries_at_rest(problem, configuration)
}

/// The fault in a load report, if the load is not carried.
#[must_use]
pub fn load_fault(report: &LoadReport) -> Option<Fault> {
    (report.status != LoadStatus::Carried)
        .then_some(Fault::Load { reason: report.reason, utilisation: report.utilisation })
}

/// Bonds, connectivity, outline, reach and overlap of a configuration at rest.
#[must_use]
pub fn geometry_faults(problem: &Problem, configuration: &Configuration) -> Vec<Fault> {
    let adrift = BondGraph::new(problem, configuration).adrift();
    let mut faults: Vec<Fault> = adrift.into_iter().map(|module| Fault::Adrift { module }).collect();
    for id in problem.module_ids() {
        faults.extend(bond_fault(problem, configuration, id));
        faults.extend(stance_fault(problem, configuration, id));
    }
    for id in problem.module_ids() {
        push_overlaps(problem, configuration, id, &mut faults);
    }
    faults
}

/// Section 2: distance and direction of a bond.
pub(crate) fn bond_fault(
    problem: &Problem,
    configuration: &Configuration,
    module: ModuleId,
) -> Option<Fault> {
    let place = configuration.get(module);
    let (normal, off_m) = match normal_on(problem, configuration, module, place.position, place.host) {
        Ok(normal) => (normal, 0.0),
        Err(MoveError::WrongDistance { found_m, asked_m }) => (place.up(), (found_m - asked_m).abs()),
        Err(_) => (place.up(), 0.0),
    };
    let off_rad = angle_between(normal, place.up());
    (off_m > tolerance::LENGTH_M || off_rad > tolerance::ANGLE_RAD).then_some(Fault::Bond {
        module,
        host: place.host,
        off_m,
        off_rad,
    })
}

/// The foot on its deck, or within reach on its host's shell.
#[must_use]
pub(super) fn stance_fault(
    problem: &Problem,
    configuration: &Configuration,
    module: ModuleId,
) -> Option<Fault> {
    let place = configuration.get(module);
    let host = place.host.module().map(|host| configuration.get(host));
    stance_fault_after(problem, module, place, host)
}

/// The same for a placement, with that of its host.
#[must_use]
pub(crate) fn stance_fault_after(
    problem: &Problem,
    module: ModuleId,
    place: &Placement,
    below: Option<&Placement>,
) -> Option<Fault> {
    match place.host {
        Body::Ground(deck) => {
            let inset_m = problem.ground(deck).inset(place.position);
            let foot_m = problem.kind(module).foot_radius_m;
            (inset_m < foot_m - tolerance::LENGTH_M).then_some(Fault::Outline {
                module,
                deck: place.host,
                inset_m,
                foot_m,
            })
        }
        Body::Module(host) => {
            let angle_rad = angle_between(below?.up(), place.up());
            let limit_rad = problem.kind(host).shell_reach_rad;
            (angle_rad > limit_rad + tolerance::ANGLE_RAD).then_some(Fault::Reach {
                module,
                host: place.host,
                angle_rad,
                limit_rad,
            })
        }
        Body::Stone(_) => None,
    }
}

fn push_overlaps(problem: &Problem, configuration: &Configuration, id: ModuleId, faults: &mut Vec<Fault>) {
    let place = configuration.get(id);
    let radius = problem.kind(id).shell_radius_m;
    let mut consider = |other: Body, gap_m: f64| {
        if gap_m < -tolerance::LENGTH_M {
            faults.push(Fault::Overlap { module: id, other, gap_m });
        }
    };
    for deck in problem.ground_ids() {
        consider(Body::Ground(deck), problem.distance_to_ground(deck, place.position) - radius);
    }
    for stone in problem.stone_ids() {
        consider(Body::Stone(stone), problem.distance_to_stone(stone, place.position) - radius);
    }
    for (other, beside) in configuration.iter().skip(id.index() + 1) {
        let radii = radius + problem.kind(other).shell_radius_m;
        consider(Body::Module(other), place.position.distance(beside.position) - radii);
    }
}
