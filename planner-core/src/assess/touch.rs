//! Touches that are not there: places are off by tenths of a millimetre, and a gap carries nothing.

use super::trial::{Trial, try_failure};
use super::verdict::Verdict;
use crate::check::Stances;
use crate::control::{Interrupt, Stopped};
use crate::model::{Body, ModuleId};
use crate::motion::Missing;
use crate::motion::structure_failures::Failed;
use rayon::prelude::*;

/// A touch that is not there.
#[derive(Clone, Debug, PartialEq)]
#[non_exhaustive]
pub struct TouchRow {
    /// The module.
    pub module: ModuleId,
    /// The body that it would touch.
    pub other: Body,
    /// The worst over all instants at which the touch would count.
    pub trial: Trial,
    /// The times in which the crew depends on it: without it some bond is used beyond the limit on plans. From and to, in seconds.
    pub depends_s: Vec<(f64, f64)>,
}

/// The rows of all touches that count at some instant.
///
/// # Errors
/// When interrupted; the interrupt is polled before every load case.
pub(super) fn touch_rows(
    stances: &Stances<'_>,
    limit: f64,
    interrupt: Interrupt<'_>,
) -> Result<Vec<TouchRow>, Stopped> {
    let touches: Vec<Vec<(ModuleId, Body)>> =
        stances.numbers().map(|number| named_touches(stances, number)).collect();
    let mut pairs: Vec<(ModuleId, Body)> = touches.iter().flatten().copied().collect();
    pairs.sort_unstable_by_key(|&(module, other)| (module, other.module(), other.ground()));
    pairs.dedup();
    let pieces = stances.pieces();
    let row = |&(module, other): &(ModuleId, Body)| {
        let without = |number: usize| {
            if !touches[number].contains(&(module, other)) {
                return Vec::new();
            }
            let members = stances.members(number);
            let own = |module: ModuleId| ModuleId::at(members.binary_search(&module).unwrap_or_default());
            let other = other.module().map_or(other, |m| Body::Module(own(m)));
            vec![Failed::touch(stances.get(number), Missing::One(own(module), other))]
        };
        let tried = try_failure(stances, limit, without, interrupt)?;
        let Some(worst) = tried.worst else { return Ok(None) };
        let mut depends = vec![false; pieces.len()];
        let beyond = tried.verdicts.iter().filter(|(_, verdict)| *verdict != Verdict::Stands);
        beyond.for_each(|&(number, _)| stances.pieces_of(number).for_each(|piece| depends[piece] = true));
        let trial = worst.tell(stances, interrupt)?;
        Ok(Some(TouchRow { module, other, trial, depends_s: runs(&pieces, &depends) }))
    };
    let rows: Result<Vec<Option<TouchRow>>, Stopped> = pairs.par_iter().map(row).collect();
    Ok(rows?.into_iter().flatten().collect())
}

/// What becomes of the crew without any touch; `None` where it has none.
///
/// # Errors
/// When interrupted; the interrupt is polled before every load case.
pub(super) fn without_touches(
    stances: &Stances<'_>,
    limit: f64,
    interrupt: Interrupt<'_>,
) -> Result<Option<Trial>, Stopped> {
    let without = |number: usize| {
        let wanted = stances.get(number);
        let touches = Failed::nothing(wanted).touches();
        if touches.is_empty() { Vec::new() } else { vec![Failed::touch(wanted, Missing::All)] }
    };
    let tried = try_failure(stances, limit, without, interrupt)?;
    tried.worst.map(|worst| worst.tell(stances, interrupt)).transpose()
}

/// The touches of a structure, by the modules of the crew.
fn named_touches(stances: &Stances<'_>, number: usize) -> Vec<(ModuleId, Body)> {
    let members = stances.members(number);
    let name = |module: ModuleId| members[module.index()];
    let own = Failed::nothing(stances.get(number)).touches().into_iter();
    own.map(|(module, other)| (name(module), other.module().map_or(other, |m| Body::Module(name(m)))))
        .collect()
}

/// The times covered by pieces that follow each other.
fn runs(pieces: &[(f64, f64)], which: &[bool]) -> Vec<(f64, f64)> {
    let mut found: Vec<(f64, f64)> = Vec::new();
    for (&(from_s, to_s), _) in pieces.iter().zip(which).filter(|(_, counts)| **counts) {
        match found.last_mut() {
            Some(last) if last.1 >= from_s => last.1 = to_s,
            _ => found.push((from_s, to_s)),
        }
    }
    found
}
