//! Takes the start down to the ground and builds the target from there, both module by module.

use super::bridging::{CrossingSite, Home, parking, raised, take_down};
use crate::control::{Budget, Stopped};
use crate::math::{DVec2, tolerance};
use crate::model::{Body, Configuration, ModuleId, Problem};
use crate::search::trips::trip_sequence::{TripFinder, TripSequence};
use crate::travel::Trip;

/// Trips from the problem's start to `target`, a sound shape of the whole crew; `None` if there are none of this simple form: every module goes down
/// at most once and up at most once, by a sound trip while the others stand. A module that is in the right place already stays.
///
/// Complexity: without dead ends, one search for trips for each module and direction; see [`take_down`].
pub(crate) fn rebuild(
    problem: &Problem,
    target: &Configuration,
    budget: &Budget<'_>,
) -> Result<Option<Vec<Trip>>, Stopped> {
    let finder = TripFinder { problem, budget };
    let mut sequence = TripSequence::new(problem, &problem.start);
    let stays = staying(problem, sequence.now(), target);
    let moving: Vec<ModuleId> = problem.module_ids().filter(|m| !stays[m.index()]).collect();
    let up: Vec<ModuleId> =
        moving.iter().copied().filter(|m| sequence.now().get(*m).host.module().is_some()).collect();
    let Some(descents) =
        take_down(&finder, sequence.now(), &up, &free_places(problem, sequence.now(), target, &up))?
    else {
        return Ok(None);
    };
    if !sequence.go_all(&finder, descents.into_iter().map(|d| d.trip))? {
        return Ok(None);
    }
    let homes: Vec<Home> = moving
        .iter()
        .filter_map(|&owner| {
            let place = sequence.now().get(owner);
            Some(Home { deck: place.host.ground()?, place: place.position, owner })
        })
        .collect();
    let mut there = target.clone();
    for module in problem.module_ids().filter(|m| stays[m.index()]) {
        *there.get_mut(module) = *sequence.now().get(module);
    }
    let Some(descents) = take_down(&finder, &there, &moving, &homes)? else { return Ok(None) };
    let done = sequence.go_all(&finder, raised(&descents))?;
    Ok(done.then_some(sequence.trips))
}

/// For each module, whether it stands at the same place on the same host before and after, and so do all hosts below it.
fn staying(problem: &Problem, start: &Configuration, target: &Configuration) -> Vec<bool> {
    let same = |m: ModuleId| {
        let (a, b) = (start.get(m), target.get(m));
        a.host == b.host && a.position.distance(b.position) < tolerance::LENGTH_M
    };
    problem.module_ids().map(|m| same(m) && start.hosts_below(m).filter_map(Body::module).all(same)).collect()
}

/// Free places on the decks below, away from where the target will stand.
fn free_places(problem: &Problem, now: &Configuration, target: &Configuration, up: &[ModuleId]) -> Vec<Home> {
    let sum: DVec2 = target.iter().map(|(_, p)| p.position.truncate()).sum();
    let site = CrossingSite::about(sum / target.len().max(1) as f64);
    let mut homes = Vec::new();
    for deck in problem.ground_ids() {
        let below = |m: &ModuleId| now.hosts_below(*m).find_map(Body::ground) == Some(deck);
        let mine: Vec<ModuleId> = up.iter().copied().filter(below).collect();
        let Some(&first) = mine.first() else { continue };
        let places = parking(problem, now, first, deck, &site, mine.len());
        homes.extend(mine.into_iter().zip(places).map(|(owner, place)| Home { deck, place, owner }));
    }
    homes
}
