//! What would help where a failure is worst: to brace one more module, or one counterweight.

use crate::control::{Interrupt, Stopped};
use crate::math::{DVec3, angle_between, tolerance};
use crate::model::{Configuration, Hold, Kind, ModuleId, Placement, Problem};
use crate::motion::WorstUtilisation;
use crate::motion::structure_failures::Failed;
use crate::statics::Utilisation;

/// What would help where a failure is worst. Each part by itself; absent where nothing of its kind helps.
#[derive(Clone, Debug, Default, PartialEq)]
#[non_exhaustive]
pub struct Help {
    /// The module that is best braced as well, and the utilisation then, over the time in which the moves under way stay the same.
    pub brace: Option<(ModuleId, f64)>,
    /// One module more as a counterweight.
    pub counterweight: Option<Counterweight>,
}

/// One module more that stands where it balances the bond that fails.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Counterweight {
    /// The module it stands on.
    pub host: ModuleId,
    /// The direction from the host's centre to its own.
    pub toward: DVec3,
    /// Its mass: that of the module whose bond fails, without payload.
    pub mass_kg: f64,
    /// The utilisation at that instant.
    pub utilisation: f64,
}

/// Help counts if it takes away more than this of the utilisation.
const COUNTS: f64 = 1e-3;

/// What would help a failure at its worst; `child` is the module whose bond fails. Modules are those of the failed structure.
///
/// # Errors
/// When interrupted.
pub(super) fn help(
    failed: &Failed,
    worst: &WorstUtilisation,
    child: ModuleId,
    interrupt: Interrupt<'_>,
) -> Result<Help, Stopped> {
    Ok(Help {
        brace: best_brace(failed, worst, interrupt)?,
        counterweight: best_counterweight(failed, worst, child, interrupt)?,
    })
}

impl Help {
    /// The same with the modules of the crew.
    pub(super) fn named(self, name: impl Fn(ModuleId) -> ModuleId) -> Self {
        Self {
            brace: self.brace.map(|(module, used)| (name(module), used)),
            counterweight: self.counterweight.map(|c| Counterweight { host: name(c.host), ..c }),
        }
    }
}

/// Whether a utilisation is balanced and clearly less than what is known.
fn is_better(found: Utilisation, worst: &WorstUtilisation) -> bool {
    found.within(f64::INFINITY) && (worst.is_unbalanced() || found.value < worst.utilisation.value - COUNTS)
}

fn best_brace(
    failed: &Failed,
    worst: &WorstUtilisation,
    interrupt: Interrupt<'_>,
) -> Result<Option<(ModuleId, f64)>, Stopped> {
    let (problem, there) = (failed.problem(), failed.there(0.0, worst.hops_done));
    let under_way: Vec<ModuleId> = failed.movers().chain(failed.hopping()).collect();
    let mut best: Option<(ModuleId, f64)> = None;
    for (module, place) in there.iter() {
        let holds = |hold| problem.adhesion_n(module, place.host, hold);
        let can = problem.modules[module.index()].can_brace() && !under_way.contains(&module);
        if place.hold == Hold::Braced || !can || holds(Hold::Braced) <= holds(Hold::Rolling) {
            continue;
        }
        let found = failed.bracing(module).worse_than(WorstUtilisation::NOTHING, interrupt)?.utilisation;
        if is_better(found, worst) && best.is_none_or(|(_, used)| found.value < used) {
            best = Some((module, found.value));
        }
    }
    Ok(best)
}

fn best_counterweight(
    failed: &Failed,
    worst: &WorstUtilisation,
    child: ModuleId,
    interrupt: Interrupt<'_>,
) -> Result<Option<Counterweight>, Stopped> {
    let (problem, there) = (failed.problem(), failed.there(worst.share, worst.hops_done));
    let case = failed.case_at(worst.share, worst.hops_done);
    let kind = problem.kind(child);
    let Some(bond) = case.bonds.iter().find(|bond| bond.child == child) else { return Ok(None) };
    let level = DVec3::new(bond.moment_kgm.x, bond.moment_kgm.y, 0.0);
    let Some(away) = (-level).try_normalize() else { return Ok(None) };
    let mut best: Option<Counterweight> = None;
    for host in there.carried_with(child) {
        for toward in [away, (away + DVec3::Z).normalize()] {
            interrupt.go_on()?;
            let from = *there.get(host);
            let own = problem.kind(host);
            let centre = from.position + toward * kind.standing_distance(own);
            let is_within = angle_between(from.up(), toward) <= own.shell_reach_rad + tolerance::ANGLE_RAD;
            if !is_within || !is_free(problem, &there, kind, host, centre) {
                continue;
            }
            let point = centre + toward * kind.com_height_m;
            let found = case.clone().with_mass_at(&there, host, point, kind.mass_kg).worst();
            if is_better(found, worst) && best.is_none_or(|known| found.value < known.utilisation) {
                best = Some(Counterweight { host, toward, mass_kg: kind.mass_kg, utilisation: found.value });
            }
        }
    }
    Ok(best)
}

/// Whether a shell fits in somewhere beside its host.
fn is_free(problem: &Problem, there: &Configuration, kind: &Kind, host: ModuleId, centre: DVec3) -> bool {
    let overlaps = |(module, place): (ModuleId, &Placement)| {
        let radii = kind.shell_radius_m + problem.kind(module).shell_radius_m;
        module != host && place.position.distance(centre) < radii - tolerance::LENGTH_M
    };
    let is_above =
        |ground| problem.distance_to_ground(ground, centre) >= kind.shell_radius_m - tolerance::LENGTH_M;
    !there.iter().any(overlaps) && problem.ground_ids().all(is_above)
}
