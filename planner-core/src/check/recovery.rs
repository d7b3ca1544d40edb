//! Recovery: how much the bonds of each structure may be used while a plan that begins above the limit comes back within it (section 5 of the model).
//!
//! A structure is found to have recovered at rests and at the ends of stretches.

use super::judge::Look;
use crate::model::{Configuration, ModuleId, Problem, touches};
use crate::motion::structure::{part_of, structures};
use crate::motion::structure_utilisations::StructureUtilisations;
use crate::statics::{LoadCase, Utilisation};

/// What is under way in the crew, on which its gravity depends.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Underway {
    Nothing,
    Holds,
    Drives,
}

/// For each look, the limit on the utilisation of each of its structures, in the order of its parts. `worked_out` are the worst utilisations of the
/// structures by their numbers, and `at_end` says how much one is used at the end of a stretch.
pub(super) fn limits(
    problem: &Problem,
    looks: &[(usize, Look<'_>)],
    loads: &StructureUtilisations<'_>,
    worked_out: &[Utilisation],
) -> Vec<Vec<f64>> {
    let usual = problem.limits.utilisation();
    let mut ill = ill_at_start(problem);
    let last = looks.len().saturating_sub(1);
    let mut found = Vec::with_capacity(looks.len());
    for (index, (_, look)) in looks.iter().enumerate() {
        let underway = match look {
            Look::Rest { .. } => Underway::Nothing,
            Look::Stretch { stretch, .. } if stretch.drives() => Underway::Drives,
            Look::Stretch { .. } => Underway::Holds,
        };
        let ill_here = |part: &usize| loads.members(*part).iter().any(|m| ill.contains(m));
        let limit = |part: &usize| {
            let members = loads.members(*part);
            let still_ill = members.iter().filter(|m| index < last && ill.contains(m));
            still_ill.map(|m| at_start(problem, *m, underway)).fold(usual, f64::max)
        };
        found.push(look.parts().iter().map(limit).collect());
        let recovered: Vec<ModuleId> = look
            .parts()
            .iter()
            .filter(|part| {
                ill_here(part)
                    && (worked_out[**part].within(usual) || look.ends_within(usual, loads.members(**part)))
            })
            .flat_map(|part| loads.members(*part).iter().copied())
            .collect();
        ill.retain(|m| !recovered.contains(m));
    }
    found
}

/// The modules whose structures are used beyond the limit at the start, and no more than recovery allows.
fn ill_at_start(problem: &Problem) -> Vec<ModuleId> {
    let Some(factor) = problem.limits.recover_factor else { return Vec::new() };
    let parts = structures(problem, &problem.start, std::iter::empty(), std::iter::empty());
    let is_ill = |part: &Vec<ModuleId>| {
        let used = worst(problem, part, Underway::Nothing);
        !used.within(problem.limits.utilisation()) && used.within(1.0 / factor)
    };
    parts.into_iter().filter(is_ill).flatten().collect()
}

/// How much the bonds of a module's structure are used at the start, under the gravity of some moves; infinite where nothing balances it.
fn at_start(problem: &Problem, module: ModuleId, underway: Underway) -> f64 {
    let parts = structures(problem, &problem.start, std::iter::empty(), std::iter::empty());
    let own = parts.iter().find(|part| part.contains(&module));
    own.map_or(0.0, |part| {
        let used = worst(problem, part, underway);
        if used.within(f64::INFINITY) { used.value } else { f64::INFINITY }
    })
}

fn worst(problem: &Problem, part: &[ModuleId], underway: Underway) -> Utilisation {
    let (alone, there): (Problem, Configuration) = part_of(problem, &problem.start, part);
    let case = LoadCase::new(&alone, &there, touches(&alone, &there));
    match underway {
        Underway::Nothing => case.worst(),
        Underway::Holds => case.in_motion(&alone, false).worst(),
        Underway::Drives => case.in_motion(&alone, true).worst(),
    }
}
