//! The structures of spans, each as a crew of its own: they do not load each other.

use super::{Course, Moment, Span};
use crate::control::uninterrupted;
use crate::model::{Body, ModuleId};
use crate::motion::Underway;
use crate::motion::structure_utilisations::{Gravity, Part, StructureUtilisations};
use crate::statics::{BondReport, DriveReport, LoadReport, assess};
use rayon::prelude::*;

/// The structures of all spans; each is worked out once where nothing moves in it.
pub(super) struct Parts<'a> {
    structures: StructureUtilisations<'a>,
    /// For each span its structures: their modules, in the order of the crew, and their numbers.
    of_span: Vec<Vec<(Vec<ModuleId>, usize)>>,
    /// The reports on those in which nothing moves.
    still: Vec<Option<LoadReport>>,
}

impl<'a> Parts<'a> {
    pub(super) fn new(course: &Course<'a>) -> Self {
        let mut structures = StructureUtilisations::new(course.problem);
        let of_span = course.spans.iter().map(|span| of(course, span, &mut structures)).collect();
        let numbers: Vec<usize> = (0..structures.len()).collect();
        let report = |&number: &usize| {
            let wanted = structures.get(number);
            (!wanted.moves()).then(|| assess(&wanted.problem, &wanted.still_load()))
        };
        let still = numbers.par_iter().map(report).collect();
        Self { structures, of_span, still }
    }

    /// The fraction of a span at which a structure in which something moves is worst.
    pub(super) fn worst_share(&self, span: usize) -> f64 {
        let moving = self.of_span[span].iter().map(|(_, number)| self.structures.get(*number));
        let worst = moving
            .filter(|wanted| wanted.moves())
            .map(|wanted| uninterrupted(|interrupt| wanted.stretch().worst_utilisation(interrupt)));
        let worst = worst.reduce(|a, b| if b.utilisation.is_worse_than(a.utilisation) { b } else { a });
        worst.map_or(0.0, |worst| worst.share)
    }

    /// The figures at a fraction of a span, as [`Course::moment`] gives them, but for the loads of structures that are not the worst: with touches they
    /// belong to an equilibrium that is best for each.
    pub(super) fn moment(&self, course: &Course<'_>, span: usize, share: f64) -> Moment {
        let mut figures = Figures::default();
        for (members, number) in &self.of_span[span] {
            let wanted = self.structures.get(*number);
            if let Some(report) = &self.still[*number] {
                let mut own = Figures::default();
                own.add(report.clone(), members);
                figures.join(own);
                continue;
            }
            let (stretch, mut own) = (wanted.stretch(), Figures::default());
            for hops_done in stretch.hop_variants() {
                own.add(assess(&wanted.problem, &stretch.load_at(share, hops_done)), members);
            }
            figures.join(own);
        }
        course.moment_of(&course.spans[span], share, figures)
    }
}

/// The structures of a span.
fn of(
    course: &Course<'_>,
    span: &Span,
    structures: &mut StructureUtilisations<'_>,
) -> Vec<(Vec<ModuleId>, usize)> {
    let gravity = Gravity::during(span.steps.iter().map(|&index| &course.plan.steps[index].action));
    let mut found = Vec::new();
    for members in span.clusters(course.problem, course.plan) {
        let is_in = |module: &ModuleId| members.binary_search(module).is_ok();
        let places: Vec<_> = members.iter().map(|&module| *span.begin.get(module)).collect();
        let moving: Vec<Underway> =
            span.underway(course.plan).filter(|u| is_in(&u.mover) && u.action.sweeps()).collect();
        let hops: Vec<_> = span.hop_ends.iter().copied().filter(|(mover, _)| is_in(mover)).collect();
        let part = Part { members: &members, places: &places, moving: &moving, hops: &hops };
        let number = structures.want(part, gravity);
        found.push((members, number));
    }
    found
}

/// Loads of one structure, with several sets of its hops done, or of several structures joined.
pub(super) struct Figures {
    pub(super) bonds: Vec<BondReport>,
    pub(super) drives: Vec<DriveReport>,
    pub(super) utilisation: Option<f64>,
}

impl Default for Figures {
    fn default() -> Self {
        Self { bonds: Vec::new(), drives: Vec::new(), utilisation: Some(0.0) }
    }
}

impl Figures {
    /// Adds the loads of another structure.
    fn join(&mut self, other: Self) {
        self.utilisation = self.utilisation.zip(other.utilisation).map(|(a, b)| a.max(b));
        self.bonds.extend(other.bonds);
        self.drives.extend(other.drives);
    }

    /// Adds the report on a structure with these modules: of each bond and each drive the worse counts.
    pub(super) fn add(&mut self, report: LoadReport, members: &[ModuleId]) {
        let named = |module: ModuleId| members.get(module.index()).copied().unwrap_or(module);
        let host = |body: Body| body.module().map_or(body, |module| Body::Module(named(module)));
        self.utilisation = self.utilisation.zip(report.utilisation).map(|(a, b)| a.max(b));
        for bond in report.bonds {
            let bond = BondReport { child: named(bond.child), host: host(bond.host), ..bond };
            match self.bonds.iter_mut().find(|known| known.child == bond.child) {
                Some(known) if is_worse(&bond, known) => *known = bond,
                Some(_) => {}
                None => self.bonds.push(bond),
            }
        }
        for drive in report.drives {
            let drive = DriveReport { child: named(drive.child), host: host(drive.host), ..drive };
            match self.drives.iter_mut().find(|known| known.child == drive.child) {
                Some(known) if drive.needs > known.needs => *known = drive,
                Some(_) => {}
                None => self.drives.push(drive),
            }
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
