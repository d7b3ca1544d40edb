//! The order in which a structure comes down, module by module; reversed, the order in which it is built.

use crate::control::Stopped;
use crate::math::{DVec3, tolerance};
use crate::model::{Body, BondForest, Configuration, GroundId, ModuleId, Problem, touches};
use crate::search::trips::trip_sequence::{AT_PLACE_M, TripFinder};
use crate::travel::{NoTrip, Trip, Waypoint, is_large};
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
    let confined = vec![None; standing.len()];
    let mut search = TakeDown { finder, hopeless: IndexSet::new(), confined };
    let mut descents = Vec::new();
    let done = search.deeper(standing, leaving, homes, &mut descents)?;
    Ok(done.then_some(descents))
}

struct TakeDown<'a, 'b, 'c> {
    finder: &'a TripFinder<'b, 'c>,
    hopeless: IndexSet<Vec<ModuleId>>,
    /// For modules that had no trip, why, as long as nothing has changed near what they could get to.
    confined: Vec<Option<NoTrip>>,
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
        let mut free = bare_from_outside(now);
        free.retain(|m| leaving.contains(m));
        if is_large(now) {
            // Whoever is confined, or others lean on, comes last.
            let is_covered = covered(self.finder.problem, now);
            free.sort_by_key(|m| (self.confined[m.index()].is_some(), is_covered[m.index()]));
        }
        for mover in free {
            let (descent, after) = match self.descent(now, mover, homes)? {
                Ok(found) => found,
                Err(why) => {
                    // Its load may be carried as soon as others have left, wherever they stood.
                    self.confined[mover.index()] = Some(why).filter(|why| !why.by_load);
                    continue;
                }
            };
            self.has_left(now, mover);
            let left: Vec<ModuleId> = leaving.iter().copied().filter(|&m| m != mover).collect();
            let open: Vec<Home> = homes.iter().copied().filter(|h| h.owner != descent.home.owner).collect();
            descents.push(descent);
            if self.deeper(&after, &left, &open, descents)? {
                return Ok(true);
            }
            descents.pop();
            // A place that was taken may be free again.
            self.confined.fill(None);
        }
        self.hopeless.insert(leaving.to_vec());
        Ok(false)
    }

    /// Forgets of modules that they had no trip where another has left a place near what they could get to.
    fn has_left(&mut self, before: &Configuration, mover: ModuleId) {
        let problem = self.finder.problem;
        let left = before.get(mover).position;
        let near_m = meets_within_m(problem, mover);
        for (index, why) in self.confined.iter_mut().enumerate() {
            let reach_m = near_m.max(meets_within_m(problem, ModuleId::at(index)));
            let is_near = |place: &DVec3| place.distance(left) <= reach_m;
            if why.as_ref().is_some_and(|why| why.reached.iter().any(is_near)) {
                *why = None;
            }
        }
    }

    /// The quickest trip of one module to its own home, or otherwise to another of its class, on the deck below it or one that it could cross to from
    /// there.
    fn descent(
        &self,
        now: &Configuration,
        mover: ModuleId,
        homes: &[Home],
    ) -> Result<Result<(Descent, Configuration), NoTrip>, Stopped> {
        let problem = self.finder.problem;
        let class = |m: ModuleId| problem.modules[m.index()].class;
        let Some(deck) = now.hosts_below(mover).find_map(Body::ground) else {
            return Ok(Err(NoTrip::default()));
        };
        let suits = |home: &&Home| problem.are_linked(home.deck, deck) && class(home.owner) == class(mover);
        let end = |home: &Home| (home.deck, home.place);
        // Its own place first: the assignment was chosen with care.
        let own: Vec<_> = homes.iter().filter(suits).filter(|h| h.owner == mover).map(end).collect();
        let any: Vec<_> = homes.iter().filter(suits).map(end).collect();
        let end = match self.finder.trip_to_any(now, mover, &own)? {
            Err(_) if any.len() > own.len() => self.finder.trip_to_any(now, mover, &any)?,
            found => found,
        };
        let end = match end {
            Ok(end) => end,
            Err(why) => return Ok(Err(why)),
        };
        let is_end = |home: &&Home| home.place.distance(end.place.position) < AT_PLACE_M;
        let Some(home) = homes.iter().filter(suits).find(is_end) else {
            return Ok(Err(NoTrip::default()));
        };
        let place = now.get(mover);
        let from = Waypoint::straight(place.host, place.position);
        let after = end.after(now, mover);
        let trip = Trip::alone(mover, end.waypoints);
        Ok(Ok((Descent { trip, from, home: *home }, after)))
    }
}

/// The bare modules, outermost first.
fn bare_from_outside(now: &Configuration) -> Vec<ModuleId> {
    let mut is_bare = vec![true; now.len()];
    for host in now.iter().filter_map(|(_, place)| place.host.module()) {
        is_bare[host.index()] = false;
    }
    BondForest::new(now).order.into_iter().rev().filter(|m| is_bare[m.index()]).collect()
}

/// For each module, whether another touches it from above.
fn covered(problem: &Problem, now: &Configuration) -> Vec<bool> {
    let mut is_covered = vec![false; now.len()];
    for touch in touches(problem, now) {
        if let Body::Module(other) = touch.other
            && touch.normal.z.abs() > LEVEL
        {
            is_covered[if touch.normal.z > 0.0 { other } else { touch.module }.index()] = true;
        }
    }
    is_covered
}

/// Two modules whose touch is as level as this lean on each other.
const LEVEL: f64 = 0.1;

/// Bodies farther than this from a place are not met by a mover on the shells that it stands on there, in metres.
fn meets_within_m(problem: &Problem, mover: ModuleId) -> f64 {
    let kind = problem.kind(mover);
    let largest_m = problem.kinds.iter().map(|other| kind.standing_distance(other)).fold(0.0, f64::max);
    3.0 * largest_m + tolerance::LENGTH_M
}

/// The trips by which the owners of the homes build what `descents` takes down: all reversed, each module renamed to the owner of the home at which
/// it came down.
pub(crate) fn raised(descents: &[Descent]) -> Vec<Trip> {
    let named =
        |id: ModuleId| descents.iter().find(|d| d.trip.module == id).map_or(id, |descent| descent.home.owner);
    let turned = |descent: &Descent| descent.trip.reversed(descent.from).renamed(named);
    descents.iter().rev().map(turned).collect()
}
