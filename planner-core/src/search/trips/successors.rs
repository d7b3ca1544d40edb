//! All trips out of a configuration.

use super::carried_drives::carried_drives;
use super::carried_yaws::carried_yaws;
use super::successor::Successor;
use crate::control::memory::Waiting;
use crate::control::{Budget, Stopped};
use crate::model::{Configuration, Hold, ModuleId, Problem};
use crate::motion::Refused;
use crate::search::guidance::assignment::Targets;
use crate::travel::{Interest, Reuse, Trip, reachable};
use rayon::prelude::*;

/// The result of one expansion.
#[derive(Clone, Debug, Default)]
pub(crate) struct Expansion {
    pub(crate) successors: Vec<Successor>,
    pub(crate) refused_by_load: u64,
    pub(crate) reuse: Reuse,
    /// What each search for trips was refused.
    pub(crate) refused: Vec<Refused>,
}

/// The configuration as the search sees it: every module that can brace is braced.
pub(crate) fn braced(problem: &Problem, configuration: &Configuration) -> Configuration {
    configuration.with_holds(|id| {
        match &problem.modules[id.index()] {
            module if module.can_brace() => Hold::Braced,
            module if module.stuck => configuration.get(id).hold,
            // With a lost cup both holds are alike, and it moves only when rolling.
            _ => Hold::Rolling,
        }
    })
}

/// The configuration after a trip, holds unchanged; `None` when the trip cannot be made.
pub(crate) fn after_trip(problem: &Problem, before: &Configuration, trip: &Trip) -> Option<Configuration> {
    let start = trip.released(before);
    let moves = trip.moves(problem, &start).ok()?;
    let after = moves.into_iter().next_back().map_or(start, |(_, after)| after);
    Some(after.with_holds(|id| before.get(id).hold))
}

/// Trips of some modules: its own trips for a bare module; yaws and drives with what it carries for others; none for a stuck module. Modules are expanded
/// in parallel, and the budget is checked before each. [`Stopped::Full`] if the result takes too much memory beside what is `waiting` already.
pub(crate) fn expand(
    problem: &Problem,
    targets: &Targets,
    configuration: &Configuration,
    movers: &[ModuleId],
    budget: &Budget<'_>,
    waiting: &Waiting,
) -> Result<Expansion, Stopped> {
    let trips = |&mover: &ModuleId| {
        let found = trips_of(problem, targets, configuration, mover, budget)?;
        waiting.add(found.successors.iter().map(Successor::bytes).sum())?;
        Ok(found)
    };
    let parts: Result<Vec<Expansion>, Stopped> = movers.par_iter().map(trips).collect();
    let mut all = Expansion::default();
    for part in parts? {
        all.refused_by_load += part.refused_by_load;
        all.reuse = all.reuse.plus(part.reuse);
        all.refused.extend(part.refused);
        all.successors.extend(part.successors);
    }
    Ok(all)
}

fn trips_of(
    problem: &Problem,
    targets: &Targets,
    configuration: &Configuration,
    mover: ModuleId,
    budget: &Budget<'_>,
) -> Result<Expansion, Stopped> {
    budget.go_on()?;
    let limit = problem.limits.utilisation_to_plan_for();
    let mut expansion = Expansion::default();
    let module = &problem.modules[mover.index()];
    if !module.can_drive() && !module.can_yaw() {
        return Ok(expansion);
    }
    if configuration.is_stood_on(mover) {
        if module.can_yaw() {
            let (successors, refused) = carried_yaws(problem, targets, configuration, mover, limit, budget)?;
            expansion.successors = successors;
            expansion.refused_by_load = refused.count();
            expansion.refused.push(refused);
        }
        if module.can_drive() {
            let (successors, refused) =
                carried_drives(problem, targets, configuration, mover, limit, budget)?;
            expansion.successors.extend(successors);
            expansion.refused_by_load += refused.count();
            expansion.refused.push(refused);
        }
        return Ok(expansion);
    }
    if !module.can_drive() {
        return Ok(expansion);
    }
    let interest = interest(targets, mover);
    let found = reachable(problem, configuration, mover, &interest, limit, budget.interrupt)?;
    expansion.refused_by_load = found.refused_by_load as u64;
    expansion.reuse = found.reuse;
    expansion.refused.push(found.refused);
    for end in found.ends {
        let mut after = configuration.clone();
        let place = after.get_mut(mover);
        let hold = place.hold;
        *place = end.place;
        place.hold = hold;
        let trip = Trip::alone(mover, end.waypoints);
        expansion.successors.push(Successor { trip, after, time_s: end.time_s });
    }
    Ok(expansion)
}

fn interest(targets: &Targets, mover: ModuleId) -> Interest {
    Interest { places: targets.places_for(mover).collect(), beacons: targets.all_places().collect() }
}
