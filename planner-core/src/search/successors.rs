//! All trips out of a configuration.

use super::assignment::Targets;
use super::carrying::carried_yaws;
use super::{Budget, Stop};
use crate::model::{Configuration, Hold, ModuleId, Problem};
use crate::travel::{Interest, Trip, Way, reachable};

/// A trip and where it leads.
#[derive(Clone, Debug)]
pub(super) struct Successor {
    pub(super) trip: Trip,
    pub(super) after: Configuration,
    pub(super) time_s: f64,
}

/// What one expansion gave.
#[derive(Clone, Debug, Default)]
pub(super) struct Expansion {
    pub(super) successors: Vec<Successor>,
    pub(super) refused_by_load: u64,
}

/// The configuration as the search sees it: whoever can brace is braced.
pub(super) fn braced(problem: &Problem, configuration: &Configuration) -> Configuration {
    configuration.with_holds(|id| {
        if problem.modules[id.index()].stuck { configuration.get(id).hold } else { Hold::Braced }
    })
}

/// How the crew stands after a trip, holds left as they are; `None` when it cannot be made.
pub(super) fn after_trip(problem: &Problem, before: &Configuration, trip: &Trip) -> Option<Configuration> {
    let mut start = before.clone();
    if matches!(trip.way, Way::Alone(_)) {
        start.get_mut(trip.module).hold = Hold::Rolling;
    }
    let moves = trip.moves(problem, &start).ok()?;
    let mut after = moves.into_iter().next_back().map_or(start, |(_, after)| after);
    after.get_mut(trip.module).hold = before.get(trip.module).hold;
    Some(after)
}

/// Trips of every module that is not stuck: its own where nothing stands on it, else yaws that carry along what does. The budget is asked before
/// each module.
pub(super) fn expand(
    problem: &Problem,
    targets: &Targets,
    configuration: &Configuration,
    budget: &Budget<'_>,
) -> Result<Expansion, Stop> {
    let limit = problem.limits.utilisation() - 1e-6;
    let mut expansion = Expansion::default();
    for mover in problem.module_ids() {
        if problem.modules[mover.index()].stuck {
            continue;
        }
        if let Some(stop) = (budget.interrupt)() {
            return Err(stop);
        }
        if configuration.is_stood_on(mover) {
            expansion.successors.extend(carried_yaws(problem, targets, configuration, mover, limit));
            continue;
        }
        let interest = interest(targets, mover);
        let found = reachable(problem, configuration, mover, &interest, limit);
        expansion.refused_by_load += found.refused_by_load as u64;
        for end in found.ends {
            let mut after = configuration.clone();
            let place = after.get_mut(mover);
            let hold = place.hold;
            *place = end.place;
            place.hold = hold;
            let trip = Trip::alone(mover, end.waypoints);
            expansion.successors.push(Successor { trip, after, time_s: end.time_s });
        }
    }
    Ok(expansion)
}

fn interest(targets: &Targets, mover: ModuleId) -> Interest {
    Interest { places: targets.places_for(mover).collect(), beacons: targets.all_places().collect() }
}
