//! The loads of each span, dense enough to draw them as straight lines between samples.

use super::{Course, Span};
use crate::control::uninterrupted;
use crate::math::tolerance;
use crate::model::{Body, ModuleId};
use crate::motion::structure_utilisations::{Gravity, StructureUtilisations, Wanted};
use crate::statics::{BondReport, DriveReport, LoadReport, WarmStart, assess};
use rayon::prelude::*;

/// Greatest error of any drawn utilisation halfway between two samples, unless they are less than a 64th of the span apart.
pub const UTILISATION_DRIFT: f64 = 2.5e-3;
/// Fractions of a span nearer than this are one instant: a millionth of a span is invisible.
const SAME_SHARE: f64 = 1e-6;
/// Most halvings of the time between two samples.
const DEEPEST: u32 = 6;

/// The loads of a structure at one instant.
#[derive(Clone, Debug, PartialEq)]
pub struct Moment {
    /// The instant, in seconds.
    pub at_s: f64,
    /// How gravity counts.
    pub gravity: Gravity,
    /// The report on the bond of every member that has one, in the order of the crew, worst over the directions of gravity. For a hopping module, the
    /// worse of its old and its new bond. Empty for a large structure.
    pub bonds: Vec<BondReport>,
    /// The drive forces and yaw torques that movers need. Empty for a large structure.
    pub drives: Vec<DriveReport>,
    /// The least possible largest utilisation, of a large structure a bound on it; `None` without equilibrium.
    pub utilisation: Option<f64>,
    /// Whether the utilisation is a bound.
    pub is_bound: bool,
}

impl Course<'_> {
    /// The loads of each span at samples of it. Where something moves in it, they are in the order of time, dense enough for straight lines between them,
    /// and include the instant of the worst load. Of another span there is one for each way in which gravity counts during it.
    ///
    /// Of a large structure only a bound is worked out: how its load is shared among touches is open, and each bond has a worst case of its own.
    ///
    /// Complexity: nine cone programmes a sample where bodies touch, once for each structure that is different.
    #[must_use]
    pub fn moments(&self) -> Vec<Vec<Moment>> {
        let mut structures = StructureUtilisations::new(self.problem);
        let numbers: Vec<Vec<(usize, Gravity)>> =
            self.spans.iter().map(|span| self.wanted(span, &mut structures)).collect();
        let all: Vec<usize> = (0..structures.len()).collect();
        let samples = |&number: &usize| samples(structures.get(number));
        let samples: Vec<Vec<(f64, Sample)>> = all.par_iter().map(samples).collect();
        let of = |(span, numbers): (&Span, &Vec<(usize, Gravity)>)| {
            let each = numbers.iter().flat_map(|&(number, gravity)| {
                samples[number].iter().map(move |(share, sample)| {
                    let at_s = span.from_s + share * (span.to_s - span.from_s);
                    sample.clone().moment(at_s, gravity, &span.members)
                })
            });
            each.collect()
        };
        self.spans.iter().zip(&numbers).map(of).collect()
    }

    /// The loads of a span at a fraction (0 to 1) of it, while gravity counts in one way.
    #[must_use]
    pub fn moment(&self, span: &Span, share: f64, gravity: Gravity) -> Moment {
        let mut structures = StructureUtilisations::new(self.problem);
        let number = self.want(span, gravity, &mut structures);
        let at_s = span.from_s + share * (span.to_s - span.from_s);
        sample_at(structures.get(number), share).moment(at_s, gravity, &span.members)
    }

    /// The ways in which gravity counts between two instants.
    #[must_use]
    pub fn gravities(&self, from_s: f64, to_s: f64) -> Vec<Gravity> {
        let begun = |instant: &f64| *instant <= from_s + tolerance::TIME_S;
        let first = self.instants.partition_point(begun).saturating_sub(1);
        let ends = self.instants[first..].iter().take_while(|i| **i < to_s - tolerance::TIME_S).count();
        let mut found = self.gravity[first..first + ends.max(1)].to_vec();
        found.sort_unstable();
        found.dedup();
        found
    }

    fn wanted(&self, span: &Span, structures: &mut StructureUtilisations<'_>) -> Vec<(usize, Gravity)> {
        let gravities = if span.moves(self.plan) {
            vec![Gravity::UnderWay]
        } else {
            self.gravities(span.from_s, span.to_s)
        };
        gravities.into_iter().map(|gravity| (self.want(span, gravity, structures), gravity)).collect()
    }

    fn want(&self, span: &Span, gravity: Gravity, structures: &mut StructureUtilisations<'_>) -> usize {
        let moving = span.sweeping(self.plan);
        let number = structures.want(span.part(&moving), gravity);
        if span.payloads.is_empty() {
            return number;
        }
        let own = |module: &ModuleId| span.members.binary_search(module).unwrap_or_default();
        let payloads =
            span.payloads.iter().map(|(module, payload_kg)| (ModuleId::at(own(module)), *payload_kg));
        structures.want_loaded(number, &payloads.collect::<Vec<_>>())
    }
}

/// A load of a structure by itself, with several sets of its hops done.
#[derive(Clone)]
struct Sample {
    bonds: Vec<BondReport>,
    drives: Vec<DriveReport>,
    utilisation: Option<f64>,
    is_bound: bool,
}

/// The samples of a structure, with the fractions of its time.
fn samples(wanted: &Wanted) -> Vec<(f64, Sample)> {
    if wanted.is_large {
        let utilisation = uninterrupted(|interrupt| wanted.at_most(&mut WarmStart::default(), interrupt));
        let utilisation = utilisation.is_finite().then_some(utilisation);
        return vec![(0.0, Sample { bonds: Vec::new(), drives: Vec::new(), utilisation, is_bound: true })];
    }
    if !wanted.sweeps() {
        return vec![(0.0, sample_at(wanted, 0.0))];
    }
    let worst = uninterrupted(|interrupt| wanted.stretch().worst_utilisation(interrupt));
    let mut shares = vec![0.0, worst.share, 1.0];
    shares.dedup_by(|late, early| *late - *early < SAME_SHARE);
    let mut found = Vec::new();
    let mut ends = shares.into_iter().map(|share| (share, sample_at(wanted, share)));
    let Some(mut from) = ends.next() else { return found };
    for to in ends {
        refine(wanted, &from, &to, DEEPEST, &mut found);
        from = to;
    }
    found.push(from);
    found
}

/// Adds the beginning of an interval, and samples inside it.
fn refine(
    wanted: &Wanted,
    from: &(f64, Sample),
    to: &(f64, Sample),
    depth: u32,
    found: &mut Vec<(f64, Sample)>,
) {
    let share = 0.5 * (from.0 + to.0);
    let middle = (share, sample_at(wanted, share));
    if depth == 0 || lies_between(&from.1, &middle.1, &to.1) {
        found.push(from.clone());
        return;
    }
    refine(wanted, from, &middle, depth - 1, found);
    refine(wanted, &middle, to, depth - 1, found);
}

/// Whether linear interpolation is accurate enough at the middle.
fn lies_between(from: &Sample, middle: &Sample, to: &Sample) -> bool {
    let used = |sample: &Sample, index: usize| sample.bonds.get(index).and_then(|bond| bond.utilisation);
    (0..middle.bonds.len()).all(|index| match (used(from, index), used(middle, index), used(to, index)) {
        (Some(a), Some(m), Some(b)) => (0.5 * (a + b) - m).abs() <= UTILISATION_DRIFT,
        _ => true,
    })
}

/// The load at a fraction of the time of a structure.
fn sample_at(wanted: &Wanted, share: f64) -> Sample {
    let mut sample =
        Sample { bonds: Vec::new(), drives: Vec::new(), utilisation: Some(0.0), is_bound: false };
    if wanted.moves() {
        let stretch = wanted.stretch();
        for hops_done in stretch.hop_variants() {
            sample.add(assess(&wanted.problem, &stretch.load_at(share, hops_done)));
        }
    } else {
        sample.add(assess(&wanted.problem, &wanted.still_load()));
    }
    sample.bonds.sort_by_key(|bond| bond.child);
    sample
}

impl Sample {
    /// Adds a report: of each bond and each drive the worse counts.
    fn add(&mut self, report: LoadReport) {
        self.utilisation = self.utilisation.zip(report.utilisation).map(|(a, b)| a.max(b));
        for bond in report.bonds {
            match self.bonds.iter_mut().find(|known| known.child == bond.child) {
                Some(known) if is_worse(&bond, known) => *known = bond,
                Some(_) => {}
                None => self.bonds.push(bond),
            }
        }
        for drive in report.drives {
            match self.drives.iter_mut().find(|known| known.child == drive.child) {
                Some(known) if drive.needs > known.needs => *known = drive,
                Some(_) => {}
                None => self.drives.push(drive),
            }
        }
    }

    /// The sample at an instant, with the names of the crew.
    fn moment(self, at_s: f64, gravity: Gravity, members: &[ModuleId]) -> Moment {
        let named = |module: ModuleId| members.get(module.index()).copied().unwrap_or(module);
        let host = |body: Body| body.module().map_or(body, |module| Body::Module(named(module)));
        let bond = |bond: BondReport| BondReport { child: named(bond.child), host: host(bond.host), ..bond };
        let drive =
            |drive: DriveReport| DriveReport { child: named(drive.child), host: host(drive.host), ..drive };
        Moment {
            at_s,
            gravity,
            bonds: self.bonds.into_iter().map(bond).collect(),
            drives: self.drives.into_iter().map(drive).collect(),
            utilisation: self.utilisation,
            is_bound: self.is_bound,
        }
    }
}

/// A bond without adhesion that needs some is the worst; a bond with adhesion is worse than one that needs none.
fn is_worse(a: &BondReport, b: &BondReport) -> bool {
    let rank = |bond: &BondReport| match bond.utilisation {
        None if bond.needs_n > 0.0 => (2, bond.needs_n),
        Some(used) => (1, used),
        None => (0, bond.needs_n),
    };
    rank(a) > rank(b)
}
