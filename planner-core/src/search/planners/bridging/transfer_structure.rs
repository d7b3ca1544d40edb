//! Transfer structures (nicknamed *keystones*): structures from which the crew can go both ways, for crews that reach a dead end when they cross one
//! by one.
//!
//! The number of modules on the far deck is a misleading guide: a module that has crossed is missing where the last one's ladder needs support from
//! below. So the planner chooses a structure that hangs on the far deck and lets the last module cross, whichever modules are in it. Two searches
//! begin there: all modules to the far deck, and all back to where the crew stands. The way back, reversed, builds the structure.

use super::crossing::{Crossing, LANDINGS, LONGEST, kinds_in_use, skips};
use super::parking::parking;
use super::site::CrossingSite;
use super::span::Spans;
use super::staging::staged;
use crate::control::{Budget, Interrupt, Stopped};
use crate::math::{DVec3, steps_of};
use crate::model::{Configuration, Gather, Goal, GroundId, KindId, ModuleId, Problem};
use crate::motion::is_sound_at_rest;
use crate::search::guidance::leads_over::leads_over;
use crate::search::planners::rebuilding::rebuild;
use crate::search::shortening::{names_by_place, shorten};
use crate::search::trips::trip_sequence::{TripSequence, turned_round};
use crate::search::{NoObserver, Statistics, Stoppers};
use std::cell::Cell;
use std::sync::atomic::{AtomicU64, Ordering};

/// Most transfer structures tried in the first round; in each later one twice as many.
const TRIED: usize = 4;
/// Effort for shortening the way back from a transfer structure, in searches for trips.
const POLISH: u64 = 200;
/// Most expansions of a search for the way over from a transfer structure in the first round: a good one leads over soon. In each later one twice as many.
const OVER: u64 = 64;
/// Factor on the expansions of the search for the way back once the way over is found.
const BACK: u64 = 12;

/// The result for one transfer structure.
struct Tried {
    way: Result<Option<TripSequence>, Stopped>,
    /// Number of times that its interrupt was polled.
    asks: u64,
    statistics: Statistics,
    stoppers: Stoppers,
}

impl Tried {
    fn leads_over(&self) -> bool {
        matches!(self.way, Ok(Some(_)))
    }
}

impl Crossing<'_, '_> {
    /// Moves all modules over through a transfer structure, with a number of expansions for each search; `false`, with nothing changed, when none is
    /// found. From round to round, counted from 0, ties are broken otherwise, and more is tried.
    pub(super) fn through_a_transfer_structure(
        &mut self,
        target: GroundId,
        expansions: u64,
        round: u32,
    ) -> Result<bool, Stopped> {
        if !self.may_transfer {
            return Ok(false);
        }
        let source = all_on_one_deck(&self.problem.start).filter(|source| *source != target);
        let Some(source) = source else { return Ok(false) };
        let mut structures = Vec::new();
        for kind in kinds_in_use(self.problem) {
            structures.extend(self.transfer_structures(kind, source, target, TRIED << round)?);
        }
        structures.retain(|_| !skips(&mut self.variety));
        let mut tried = self.try_all(&structures, [source, target], expansions, round);
        let easiest = (0..tried.len()).filter(|&i| tried[i].leads_over()).min_by_key(|&i| tried[i].asks);
        if let Some(easiest) = easiest {
            tried = vec![tried.swap_remove(easiest)];
        }
        for Tried { way, statistics, stoppers, .. } in tried {
            self.statistics = self.statistics.plus(statistics);
            self.stoppers.merge(&stoppers);
            if let Some(sequence) = way? {
                self.sequence = sequence;
                return Ok(true);
            }
        }
        Ok(false)
    }

    /// Tries transfer structures one after the other. The one that takes the least effort is wanted, so an attempt that exceeds the least effort so far
    /// stops. Effort is the number of times that the interrupt is polled, which does not depend on the clock; nor does the effort of all together, as
    /// it would side by side. After the first round the first one that leads over is taken.
    fn try_all(
        &self,
        structures: &[Configuration],
        decks: [GroundId; 2],
        expansions: u64,
        round: u32,
    ) -> Vec<Tried> {
        let seed = self.seed.wrapping_add(u64::from(round));
        let least = Cell::new(u64::MAX);
        let follow_up = |structure: &Configuration| {
            let (asks, bound) = (AtomicU64::new(0), least.get());
            let interrupt = || {
                let beaten = asks.fetch_add(1, Ordering::Relaxed) >= bound;
                self.finder.budget.interrupt.asked().or(beaten.then_some(Stopped::Spent))
            };
            let bytes = self.finder.budget.bytes / TRIED as u64;
            let budget = Budget { bytes, interrupt: Interrupt::new(&interrupt), ..*self.finder.budget };
            let mut crossing = Crossing::new(self.problem, seed, &budget);
            let way = crossing.both_ways(structure, decks, expansions, OVER << round);
            let asks = asks.load(Ordering::Relaxed);
            let (statistics, stoppers) = (crossing.statistics, std::mem::take(&mut crossing.stoppers));
            let tried = Tried { way, asks, statistics, stoppers };
            if tried.leads_over() {
                least.set(least.get().min(asks));
            }
            tried
        };
        let mut tried = Vec::new();
        for structure in structures {
            tried.push(follow_up(structure));
            // Later rounds are dear.
            if round > 0 && least.get() < u64::MAX {
                break;
            }
        }
        tried
    }

    /// The first few structures that let a module cross.
    fn transfer_structures(
        &self,
        kind: KindId,
        source: GroundId,
        target: GroundId,
        most: usize,
    ) -> Result<Vec<Configuration>, Stopped> {
        let own = &self.problem.kinds[kind.index()];
        let rest = TripSequence::new(self.problem, &self.problem.start).now().clone();
        let mut found = Vec::new();
        for site in CrossingSite::between(self.problem, &rest, own, [source, target]) {
            let Some((mover, mut crew)) = self.nearest_first(&rest, &site) else { continue };
            crew.retain(|m| self.problem.modules[m.index()].kind == kind);
            let landing = parking(self.problem, &rest, mover, target, &site, LANDINGS);
            let spans = Spans { problem: self.problem, site, kind: own, asides: true };
            for (near, far) in sizes(crew.len()) {
                let (on_lower, on_upper) = if source == site.lower { (near, far) } else { (far, near) };
                for posts in spans.of_size(on_lower, on_upper, self.finder.budget)? {
                    let structure = staged(&rest, &posts, &crew);
                    if self.lets_over(&structure, mover, target, &landing)? {
                        found.push(structure);
                    }
                    if found.len() >= most {
                        return Ok(found);
                    }
                }
            }
        }
        Ok(found)
    }

    /// The module farthest from a site, and the others, nearest first.
    fn nearest_first(&self, crew: &Configuration, site: &CrossingSite) -> Option<(ModuleId, Vec<ModuleId>)> {
        let mut free: Vec<ModuleId> =
            self.problem.module_ids().filter(|m| self.problem.modules[m.index()].can_drive()).collect();
        let distance = |m: &ModuleId| site.distance(crew.get(*m).position);
        free.sort_by_key(|m| (steps_of(distance(m)), *m));
        Some((free.pop()?, free))
    }

    /// Whether a configuration is sound and lets a module cross.
    fn lets_over(
        &self,
        crew: &Configuration,
        mover: ModuleId,
        target: GroundId,
        landing: &[DVec3],
    ) -> Result<bool, Stopped> {
        self.finder.budget.go_on()?;
        let stands = leads_over(self.problem, crew, mover, target) && is_sound_at_rest(self.problem, crew);
        Ok(stands && self.finder.trip_to_deck(crew, mover, target, landing)?.is_some())
    }

    /// From the start through the transfer structure to the far deck.
    fn both_ways(
        &mut self,
        structure: &Configuration,
        [source, target]: [GroundId; 2],
        most: u64,
        over: u64,
    ) -> Result<Option<TripSequence>, Stopped> {
        let problem = self.problem;
        if self.all_gather(structure, target, most.min(over))?.is_none() {
            return Ok(None);
        }
        let Some(back) = self.all_gather(structure, source, most.saturating_mul(BACK))? else {
            return Ok(None);
        };
        // A shorter sequence is easier to reverse.
        let mut shorter = TripSequence::new(problem, structure);
        let all_back = Gather { ground: source, within: None, count: structure.len() };
        let part = gathered(problem, structure, all_back);
        let trips = shorten(&part, &back.trips, POLISH, self.finder.budget);
        let back = if shorter.go_all(&self.finder, trips)? { shorter } else { back };
        let built = turned_round(problem, structure, &back.trips);
        let (Some(built), Some(first)) = (built, rebuild(problem, back.now(), self.finder.budget)?) else {
            return Ok(None);
        };
        let mut sequence = TripSequence::new(problem, &problem.start);
        if !sequence.go_all(&self.finder, first)? {
            return Ok(None);
        }
        // Like modules may have been interchanged on the way to where the building begins.
        let Some(names) = names_by_place(back.now(), sequence.now()) else { return Ok(None) };
        let built = built.into_iter().map(|(trip, heading)| (trip.renamed(|m| names[m.index()]), heading));
        if !sequence.go_all_turned(&self.finder, built)? {
            return Ok(None);
        }
        // The modules that stand there now have other headings than in the transfer structure searched from.
        let Some(over) = self.all_gather(sequence.now(), target, most)? else { return Ok(None) };
        Ok(sequence.go_all(&self.finder, over.trips)?.then_some(sequence))
    }

    /// The trip sequence of all modules onto a deck, each with the deck as its host, with a number of expansions for each search.
    fn all_gather(
        &mut self,
        crew: &Configuration,
        deck: GroundId,
        expansions: u64,
    ) -> Result<Option<TripSequence>, Stopped> {
        self.gather_from(crew, Gather { ground: deck, within: None, count: crew.len() }, expansions)
    }

    /// The trip sequence by which so many modules gather, without a transfer structure, with a number of expansions for each search.
    pub(super) fn gather_from(
        &mut self,
        crew: &Configuration,
        gather: Gather,
        expansions: u64,
    ) -> Result<Option<TripSequence>, Stopped> {
        let part = gathered(self.problem, crew, gather);
        let budget = Budget { expansions, ..*self.finder.budget };
        let mut crossing = Crossing::new(&part, self.seed, &budget);
        crossing.may_transfer = false;
        let done = crossing.reach_goal(&NoObserver);
        self.statistics = self.statistics.plus(crossing.statistics);
        self.stoppers.merge(&crossing.stoppers);
        if !done? {
            return Ok(None);
        }
        Ok(Some(crossing.sequence))
    }
}

/// A problem in which modules only gather.
fn gathered(problem: &Problem, start: &Configuration, gather: Gather) -> Problem {
    let goal = Goal { slots: Vec::new(), gather: Some(gather) };
    Problem { start: start.clone(), goal, ..problem.clone() }
}

/// The deck on which all modules stand, each bare.
fn all_on_one_deck(crew: &Configuration) -> Option<GroundId> {
    let mut decks = crew.iter().map(|(_, place)| place.host.ground());
    let first = decks.next()??;
    decks.all(|deck| deck == Some(first)).then_some(first)
}

/// Numbers of posts rooted on the near deck and on the far deck (at least one), fewest on the near deck first.
fn sizes(crew: usize) -> Vec<(usize, usize)> {
    let most = crew.min(LONGEST);
    let mut sizes: Vec<(usize, usize)> = (0..=most)
        .flat_map(|near| (1..=most).map(move |far| (near, far)))
        .filter(|(near, far)| near + far <= crew)
        .collect();
    sizes.sort_unstable();
    sizes
}
