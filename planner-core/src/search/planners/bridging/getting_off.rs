//! Modules that hang from a deck's modules get off onto that deck, held down meanwhile by a counterweight where one is needed.
//!
//! A search that counts the modules on the deck is misled here: a module that becomes a counterweight leaves the deck, which looks like a step back.

use super::crossing::Crossing;
use super::parking::{in_the_way, parking};
use super::site::CrossingSite;
use crate::control::Stopped;
use crate::model::{Body, Configuration, Gather, GroundId, ModuleId};
use crate::search::trips::trip_sequence::free_on;
use crate::travel::{Interest, Reach, Trip, reachable};

/// The trips by which one more module stands on the deck.
struct WayOff {
    trips: Vec<Trip>,
    time_s: f64,
}

impl Crossing<'_, '_> {
    /// Once the whole crew stands on the deck or hangs from it: one more module gets off onto it, by itself or while a free module weighs on the structure
    /// and then comes back; where nothing else helps, after those that stand near have stepped aside. The quickest of these ways; `false`, with nothing
    /// changed, when there is none.
    ///
    /// Complexity: for each module at the end of a chain one search for trips for each place on a shell that a free module can get to.
    pub(super) fn get_off(&mut self, gather: Gather) -> Result<bool, Stopped> {
        let deck = gather.ground;
        if !self.problem.module_ids().all(|module| self.root(module) == Some(deck)) {
            return Ok(false);
        }
        let kept = self.sequence.clone();
        let done =
            self.get_off_from_here(deck)? || (self.step_aside(deck)? && self.get_off_from_here(deck)?);
        if !done {
            self.sequence = kept;
        }
        Ok(done)
    }

    /// The same from where the others stand.
    fn get_off_from_here(&mut self, deck: GroundId) -> Result<bool, Stopped> {
        let (now, before) = (self.sequence.now(), self.there());
        let hanging: Vec<ModuleId> = self
            .problem
            .module_ids()
            .filter(|&m| now.get(m).host.module().is_some() && !now.is_stood_on(m))
            .collect();
        let mut ways: Vec<WayOff> = Vec::new();
        for &module in &hanging {
            ways.extend(self.way_off(now, module, deck)?.map(|(way, _)| way));
        }
        if ways.is_empty() {
            for weight in free_on(now, deck) {
                ways.extend(self.ways_off_beside(now, &hanging, weight, deck)?);
            }
        }
        ways.sort_by(|a, b| a.time_s.total_cmp(&b.time_s));
        let kept = self.sequence.clone();
        for way in ways {
            if self.sequence.go_all(&self.finder, way.trips)? && self.there() > before {
                return Ok(true);
            }
            self.sequence = kept.clone();
        }
        Ok(false)
    }

    /// Free modules that stand near a structure on the deck park away from it; whether any did.
    fn step_aside(&mut self, deck: GroundId) -> Result<bool, Stopped> {
        let problem = self.problem;
        let start = self.sequence.now().clone();
        let feet: Vec<ModuleId> =
            start.standing_on(Body::Ground(deck)).filter(|&m| start.is_stood_on(m)).collect();
        let mut any = false;
        for foot in feet {
            let site = CrossingSite::about(start.get(foot).position.truncate());
            for module in free_on(&start, deck) {
                if !in_the_way(problem, &site, self.sequence.now().get(module).position) {
                    continue;
                }
                let places = parking(problem, self.sequence.now(), module, deck, &site, 1);
                if let Some(end) = self.finder.trip_to_deck(self.sequence.now(), module, deck, &places)? {
                    any |= self.sequence.go(&self.finder, Trip::alone(module, end.waypoints))?;
                }
            }
        }
        Ok(any)
    }

    /// The ways off of all hanging modules while one free module weighs on a shell, which comes back at the end.
    fn ways_off_beside(
        &self,
        now: &Configuration,
        hanging: &[ModuleId],
        weight: ModuleId,
        deck: GroundId,
    ) -> Result<Vec<WayOff>, Stopped> {
        let mut ways = Vec::new();
        for end in self.ends(now, weight)? {
            if end.place.host.module().is_none() {
                continue;
            }
            let held = end.after(now, weight);
            let up = Trip::alone(weight, end.waypoints);
            for &module in hanging {
                let Some((off, after)) = self.way_off(&held, module, deck)? else { continue };
                let Some((back, _)) = self.way_off(&after, weight, deck)? else { continue };
                let trips = [vec![up.clone()], off.trips, back.trips].concat();
                ways.push(WayOff { trips, time_s: end.time_s + off.time_s + back.time_s });
            }
        }
        Ok(ways)
    }

    /// The quickest trip of a bare module to where it stands on the deck and counts, and where that leads.
    fn way_off(
        &self,
        now: &Configuration,
        module: ModuleId,
        deck: GroundId,
    ) -> Result<Option<(WayOff, Configuration)>, Stopped> {
        if now.is_stood_on(module) {
            return Ok(None);
        }
        let before = self.problem.gathered(now);
        let ends = self.ends(now, module)?.into_iter().filter(|end| end.place.host == Body::Ground(deck));
        let landed = ends.map(|end| (end.after(now, module), end));
        let best = landed
            .filter(|(after, _)| self.problem.gathered(after) > before)
            .min_by(|(_, a), (_, b)| a.time_s.total_cmp(&b.time_s));
        Ok(best.map(|(after, end)| {
            let trips = vec![Trip::alone(module, end.waypoints)];
            (WayOff { trips, time_s: end.time_s }, after)
        }))
    }

    fn ends(&self, now: &Configuration, module: ModuleId) -> Result<Vec<Reach>, Stopped> {
        self.finder.budget.go_on()?;
        if !self.problem.modules[module.index()].can_drive() {
            return Ok(Vec::new());
        }
        let limit = self.problem.limits.utilisation_to_plan_for();
        let interest = Interest::default();
        Ok(reachable(self.problem, now, module, &interest, limit, self.finder.budget.interrupt)?.ends)
    }
}
