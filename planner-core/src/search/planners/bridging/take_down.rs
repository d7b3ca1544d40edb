//! The order in which a structure comes down, module by module; reversed, the order in which it is built.

use crate::control::Stopped;
use crate::math::DVec3;
use crate::model::{Body, BondForest, Configuration, GroundId, ModuleId};
use crate::search::trips::trip_sequence::{AT_PLACE_M, TripFinder};
use crate::travel::{Trip, Waypoint};
use indexmap::IndexSet;

/// A place on a deck for a module that comes down.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Home {
    pub(crate) deck: GroundId,
    pub(crate) place: DVec3,
    /// The module that this place belongs to before or after.
    pub(crate) owner: ModuleId,
}

/// One module's trip down.
#[derive(Clone, Debug)]
pub(crate) struct Descent {
    pub(crate) trip: Trip,
    /// The waypoint where it began.
    pub(crate) from: Waypoint,
    pub(crate) home: Home,
}

/// Depth-first search for an order in which the modules `leaving` go to homes, each by a sound trip while the others stand, outermost first.
///
/// A set of modules that was found to be a dead end is not tried again, whichever homes its members took. Complexity: at most one search for trips
/// for each subset and each bare module; without dead ends, one for each module.
pub(crate) fn take_down(
    finder: &TripFinder<'_, '_>,
    standing: &Configuration,
    leaving: &[ModuleId],
    homes: &[Home],
) -> Result<Option<Vec<Descent>>, Stopped> {
    let mut search = TakeDown { finder, hopeless: IndexSet::new() };
    let mut descents = Vec::new();
    let done = search.deeper(standing, leaving, homes, &mut descents)?;
    Ok(done.then_some(descents))
}

struct TakeDown<'a, 'b, 'c> {
    finder: &'a TripFinder<'b, 'c>,
    hopeless: IndexSet<Vec<ModuleId>>,
}

impl TakeDown<'_, '_, '_> {
    fn deeper(
        &mut self,
        now: &Configuration,
        leaving: &[ModuleId],
        homes: &[Home],
        descents: &mut Vec<Descent>,
    ) -> Result<bool, Stopped> {
        if leaving.is_empty() {
            return Ok(true);
        }
        if self.hopeless.contains(leaving) {
            return Ok(false);
        }
        let order = BondForest::new(now).order;
        let outermost = |m: &ModuleId| std::cmp::Reverse(order.iter().position(|o| o == m));
        let mut free: Vec<ModuleId> = leaving.iter().copied().filter(|&m| !now.is_stood_on(m)).collect();
        free.sort_by_key(outermost);
        for mover in free {
            let Some((descent, after)) = self.descent(now, mover, homes)? else { continue };
            let left: Vec<ModuleId> = leaving.iter().copied().filter(|&m| m != mover).collect();
            let open: Vec<Home> = homes.iter().copied().filter(|h| h.owner != descent.home.owner).collect();
            descents.push(descent);
            if self.deeper(&after, &left, &open, descents)? {
                return Ok(true);
            }
            descents.pop();
        }
        self.hopeless.insert(leaving.to_vec());
        Ok(false)
    }

    /// The quickest trip of one module to its own home, or otherwise to another of its class, on the deck below it or one that it could cross to from
    /// there.
    fn descent(
        &self,
        now: &Configuration,
        mover: ModuleId,
        homes: &[Home],
    ) -> Result<Option<(Descent, Configuration)>, Stopped> {
        let problem = self.finder.problem;
        let class = |m: ModuleId| problem.modules[m.index()].class;
        let Some(deck) = now.hosts_below(mover).find_map(Body::ground) else { return Ok(None) };
        let suits = |home: &&Home| problem.are_linked(home.deck, deck) && class(home.owner) == class(mover);
        let end = |home: &Home| (home.deck, home.place);
        // Its own place first: the assignment was chosen with care.
        let own: Vec<_> = homes.iter().filter(suits).filter(|h| h.owner == mover).map(end).collect();
        let any: Vec<_> = homes.iter().filter(suits).map(end).collect();
        let end = match self.finder.trip_to_any(now, mover, &own)? {
            None if any.len() > own.len() => self.finder.trip_to_any(now, mover, &any)?,
            found => found,
        };
        let Some(end) = end else { return Ok(None) };
        let Some(home) =
            homes.iter().filter(suits).find(|h| h.place.distance(end.place.position) < AT_PLACE_M)
        else {
            return Ok(None);
        };
        let place = now.get(mover);
        let from = Waypoint::straight(place.host, place.position);
        let after = end.after(now, mover);
        let trip = Trip::alone(mover, end.waypoints);
        Ok(Some((Descent { trip, from, home: *home }, after)))
    }
}

/// The trips by which the owners of the homes build what `descents` takes down: all reversed, each module renamed to the owner of the home at which
/// it came down.
pub(crate) fn raised(descents: &[Descent]) -> Vec<Trip> {
    let named =
        |id: ModuleId| descents.iter().find(|d| d.trip.module == id).map_or(id, |descent| descent.home.owner);
    let turned = |descent: &Descent| descent.trip.reversed(descent.from).renamed(named);
    descents.iter().rev().map(turned).collect()
}
