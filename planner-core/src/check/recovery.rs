//! Recovery: how much the bonds of each structure may be used while a plan that begins above the limit comes back within it (section 5 of the model).
//!
//! A structure is found to have recovered at rests and at the ends of stretches.

use super::structures::{Span, Structures};
use crate::model::{Configuration, ModuleId, Problem, touches};
use crate::motion::structure::{part_of, structures};
use crate::motion::structure_utilisations::Gravity;
use crate::statics::{LoadCase, Utilisation};

/// The limit on the utilisation of the structure of each span. `worked_out` are the worst utilisations of the structures by their numbers.
pub(super) fn limits(problem: &Problem, known: &Structures<'_>, worked_out: &[Utilisation]) -> Vec<f64> {
    let usual = problem.limits.utilisation();
    let mut found = vec![usual; known.spans.len()];
    let mut ill = ill_at_start(problem);
    if ill.is_empty() {
        return found;
    }
    // Structures of the same modules do not overlap in time, and spans end in the order in which they are listed.
    let last = known.gravity.len().saturating_sub(2);
    for (index, span) in known.spans.iter().enumerate() {
        let ill_here: Vec<ModuleId> = span.members.iter().filter(|m| ill.contains(m)).copied().collect();
        let stays_to_the_end = span.gravity == Some(Gravity::AtRest) && span.places.1 >= last;
        if ill_here.is_empty() || stays_to_the_end {
            continue;
        }
        let gravity = span.gravity.unwrap_or(Gravity::UnderWay);
        found[index] = ill_here.iter().map(|m| at_start(problem, *m, gravity)).fold(usual, f64::max);
        let ends_within = |span: &Span| known.loads.get(span.part).ends_within(usual);
        if worked_out[span.part].within(usual) || ends_within(span) {
            ill.retain(|m| !span.members.contains(m));
        }
    }
    found
}

/// The modules whose structures are used beyond the limit at the start, and no more than recovery allows.
fn ill_at_start(problem: &Problem) -> Vec<ModuleId> {
    let Some(factor) = problem.limits.recover_factor else { return Vec::new() };
    let parts = structures(problem, &problem.start, std::iter::empty(), std::iter::empty());
    let is_ill = |part: &Vec<ModuleId>| {
        let used = worst(problem, part, Gravity::AtRest);
        !used.within(problem.limits.utilisation()) && used.within(1.0 / factor)
    };
    parts.into_iter().filter(is_ill).flatten().collect()
}

/// How much the bonds of a module's structure are used at the start, under the gravity of some moves; infinite where nothing balances it.
fn at_start(problem: &Problem, module: ModuleId, gravity: Gravity) -> f64 {
    let parts = structures(problem, &problem.start, std::iter::empty(), std::iter::empty());
    let own = parts.iter().find(|part| part.contains(&module));
    own.map_or(0.0, |part| {
        let used = worst(problem, part, gravity);
        if used.within(f64::INFINITY) { used.value } else { f64::INFINITY }
    })
}

fn worst(problem: &Problem, part: &[ModuleId], gravity: Gravity) -> Utilisation {
    let (alone, there): (Problem, Configuration) = part_of(problem, &problem.start, part);
    let case = LoadCase::new(&alone, &there, touches(&alone, &there));
    match gravity {
        Gravity::AtRest => case.worst(),
        Gravity::Still => case.in_motion(&alone, false).worst(),
        Gravity::UnderWay => case.in_motion(&alone, true).worst(),
    }
}
