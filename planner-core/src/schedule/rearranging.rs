//! Looks for other trips that end sooner when the crew moves side by side.
//!
//! A search in a large neighbourhood (Shaw 1998): who goes to which place, in which order, and who steps aside first is changed where it
//! is critical; all trips are found anew (`Itinerary`), and their moves timed. What is kept is a little worse than the best at times, so
//! that the search gets out of dead ends (record-to-record travel, Dueck 1993).

use super::arrangement::{Arrangement, arrangement};
use super::known_loads::{Fingerprint, KnownLoads};
use super::sequence::{Made, moves_with_trips};
use super::splitting::{cut, joined};
use crate::math::{DVec3, SplitMix64};
use crate::model::{Configuration, ModuleId, Problem};
use crate::motion::Move;
use crate::search::{Budget, Errand, Itinerary, KnownTrips, Route, Stop, memory};
use crate::travel::Trip;
use indexmap::IndexSet;
use rayon::prelude::*;

/// Changes that are tried at once. Fixed, so that the number of threads changes nothing.
const BATCH: usize = 8;
/// Of these the loads of so many are looked at together.
const PAIR: usize = 2;
/// How much later than the best the trips that the search goes on from may end, as a share.
const WORSE: f64 = 0.05;
/// Batches without anything better after which it goes back to the best.
const ASTRAY: u64 = 8;
/// The number of trips that patience is counted for.
const TRIPS: u64 = 10;
/// Powers of times for the first assignments of modules to slots: the least way all told, and the farthest spared more and more.
const POWERS: [i32; 4] = [1, 2, 4, 8];
/// Sets of trips that are known again; then all are forgotten.
const MOST_SEEN: usize = 100_000;
/// Cuts of slides in one set of trips.
const MOST_CUTS: usize = 24;
/// Less gained by a cut is not worth it, in seconds.
const WORTH_S: f64 = 0.01;
/// How far somebody steps aside, in shell radii.
const ASIDE: (f64, f64) = (2.0, 8.0);

/// What came of it.
#[derive(Clone, Debug, PartialEq)]
pub struct Rearranged {
    /// Yaws, slides and hops that end first, one after the other; `None` if none were timed before the budget ended the search.
    pub moves: Option<Vec<(ModuleId, Move)>>,
    /// Sets of trips that were looked at.
    pub tried: u64,
}

/// The moves of trips to the goal that end sooner than any of some solutions.
///
/// Besides the solutions, trips straight to the slots are tried, and then changes of the best. Long slides are cut where somebody else
/// waits for a part of them only. The search ends after `patience` changes in a row without gain, where there are ten trips; timing takes
/// about the square of the trips, and so many more or fewer are allowed. It ends also when nothing can be sooner than `least_s`. The
/// same arguments give the same moves on any number of threads; the budget may end the search with the best so far, and its bytes are the
/// most that is remembered of trips and loads: with less the search takes longer.
#[must_use]
pub fn rearrange(
    problem: &Problem,
    solutions: &[Vec<Trip>],
    seed: u64,
    patience: u64,
    least_s: f64,
    budget: &Budget<'_>,
) -> Rearranged {
    // Each of three kinds of things remembered may take as much.
    let part = budget.bytes / 3;
    let mut search = Rearranging {
        problem,
        budget,
        known: KnownTrips::within(part),
        loads: KnownLoads::within(part),
        most_seen: part,
        random: SplitMix64::new(seed),
        seen: IndexSet::new(),
        best: None,
        tried: 0,
    };
    // An interruption leaves the best as it is.
    let _ = search.run(solutions, patience, least_s).and_then(|()| search.join_parts());
    let moves = search.best.map(|best| best.arrangement.moves);
    let plain = |moves: Vec<Made>| moves.into_iter().map(|made| (made.module, made.action)).collect();
    Rearranged { moves: moves.map(plain), tried: search.tried }
}

/// Trips and how their moves go side by side.
#[derive(Clone, Debug)]
struct Timed {
    route: Route,
    arrangement: Arrangement,
}

impl Timed {
    fn is_better_than(&self, other: &Self) -> bool {
        self.arrangement.is_better_than(&other.arrangement)
    }
}

/// Who goes where, bit by bit.
type Step = (ModuleId, [u64; 3]);

/// Answers about loads that were not known before.
type NewLoads = Vec<(Fingerprint, bool)>;

struct Rearranging<'a> {
    problem: &'a Problem,
    budget: &'a Budget<'a>,
    known: KnownTrips,
    loads: KnownLoads,
    random: SplitMix64,
    /// Who went where in which order in all sets of trips that were looked at.
    seen: IndexSet<Vec<Step>>,
    /// What these may take, in bytes.
    most_seen: u64,
    best: Option<Timed>,
    tried: u64,
}

impl Rearranging<'_> {
    fn run(&mut self, solutions: &[Vec<Trip>], patience: u64, least_s: f64) -> Result<(), Stop> {
        let found = solutions.iter().filter_map(|trips| Itinerary::of(self.problem, trips));
        let straight = POWERS.iter().filter_map(|&power| Itinerary::to_slots(self.problem, power));
        let first: Vec<Itinerary> = straight.chain(found).collect();
        let hoped = self.hoped(first)?;
        let Some(mut now) = self.first_to_end(&hoped, f64::INFINITY)? else { return Ok(()) };
        let mut best = now.clone();
        self.best = Some(best.clone());
        // Work since the last gain, and batches since then or since the search went back to the best.
        let (mut idle, mut astray) = (0, 0);
        let patience = patience.saturating_mul(TRIPS * TRIPS);
        while idle < patience && best.arrangement.makespan_s > least_s {
            // Where all trips and all answers are known nobody else asks.
            self.budget.go_on()?;
            if astray >= ASTRAY {
                (now, astray) = (best.clone(), 0);
            }
            let within_s = best.arrangement.makespan_s * (1.0 + WORSE);
            let changed: Vec<Itinerary> = (0..BATCH).map(|_| self.changed(&now)).collect();
            idle += BATCH as u64 * (best.route.trips.len() as u64).pow(2).max(1);
            astray += 1;
            let mut hoped = self.hoped(changed)?;
            hoped.retain(|timed| timed.arrangement.makespan_s <= within_s);
            let found = self.first_to_end(&hoped, best.arrangement.makespan_s)?;
            match found.filter(|found| found.is_better_than(&best)) {
                Some(found) => {
                    best = found.clone();
                    self.best = Some(found.clone());
                    (now, idle, astray) = (found, 0, 0);
                }
                None if !hoped.is_empty() => now = hoped.swap_remove(0),
                None => {}
            }
        }
        Ok(())
    }

    /// Those that can be made and are new, timed with loads left aside, which is quick and makes them end sooner rather than later; the first
    /// to end first.
    fn hoped(&mut self, itineraries: Vec<Itinerary>) -> Result<Vec<Timed>, Stop> {
        self.tried += itineraries.len() as u64;
        let routes: Result<Vec<Option<Route>>, Stop> = itineraries
            .par_iter()
            .map(|itinerary| itinerary.route(self.problem, &self.known, self.budget))
            .collect();
        let mut routes: Vec<Route> = routes?.into_iter().flatten().collect();
        let trips = routes.iter().map(|route| route.trips.len()).max().unwrap_or(0);
        let each = memory::entry::<Vec<Step>>() + memory::list::<Step>(trips);
        if self.seen.len() > MOST_SEEN || (self.seen.len() * each) as u64 > self.most_seen {
            self.seen.clear();
        }
        routes.retain(|route| self.seen.insert(steps_of(route)));
        let hoped: Result<Vec<Option<Timed>>, Stop> =
            routes.into_par_iter().map(|route| self.weightless(route)).collect();
        let mut hoped: Vec<Timed> = hoped?.into_iter().flatten().collect();
        hoped.sort_by(|a, b| a.arrangement.makespan_s.total_cmp(&b.arrangement.makespan_s));
        Ok(hoped)
    }

    /// The first to end with the loads looked at, of those that hope to end within a time: the most promising first, until none of the others
    /// can end sooner.
    fn first_to_end(&mut self, hoped: &[Timed], within_s: f64) -> Result<Option<Timed>, Stop> {
        let mut best: Option<Timed> = None;
        for pair in hoped.chunks(PAIR) {
            let ends_s = best.as_ref().map_or(within_s, |best| best.arrangement.makespan_s);
            if pair.iter().all(|timed| timed.arrangement.makespan_s > ends_s) {
                break;
            }
            let timed: Result<Vec<Option<(Timed, NewLoads)>>, Stop> =
                pair.par_iter().map(|hoped| self.timed(hoped)).collect();
            for (timed, loads) in timed?.into_iter().flatten() {
                self.loads.add(loads);
                if best.as_ref().is_none_or(|best| timed.is_better_than(best)) {
                    best = Some(timed);
                }
            }
        }
        Ok(best)
    }

    /// Trips, timed with loads left aside, and their slides cut where that helps.
    fn weightless(&self, route: Route) -> Result<Option<Timed>, Stop> {
        let Ok(moves) = moves_with_trips(self.problem, &route.trips) else { return Ok(None) };
        let Some((mut best, _)) = self.arranged(moves, None)? else { return Ok(None) };
        for _ in 0..MOST_CUTS {
            let Some(shorter) = self.with_a_cut(&best)? else { break };
            best = shorter;
        }
        Ok(Some(Timed { route, arrangement: best }))
    }

    /// The same moves with the first cut of a slide that is worth it, loads left aside.
    fn with_a_cut(&self, whole: &Arrangement) -> Result<Option<Arrangement>, Stop> {
        for at in &whole.cuts {
            let Some((with_cut, _)) = self.arranged(cut(&whole.moves, at), None)? else { continue };
            let gain_s = whole.makespan_s - with_cut.makespan_s;
            if gain_s > WORTH_S || (gain_s >= 0.0 && with_cut.ends_s < whole.ends_s - WORTH_S) {
                return Ok(Some(with_cut));
            }
        }
        Ok(None)
    }

    /// Moves side by side; `None` if they cannot be made.
    fn arranged(
        &self,
        moves: Vec<Made>,
        hearsay: Option<&KnownLoads>,
    ) -> Result<Option<(Arrangement, NewLoads)>, Stop> {
        self.budget.go_on()?;
        let found = arrangement(self.problem, moves, hearsay, self.budget).ok();
        self.budget.go_on()?;
        Ok(found)
    }

    fn timed(&self, hoped: &Timed) -> Result<Option<(Timed, NewLoads)>, Stop> {
        let arrangement = self.arranged(hoped.arrangement.moves.clone(), Some(&self.loads))?;
        let route = || hoped.route.clone();
        Ok(arrangement.map(|(arrangement, loads)| (Timed { route: route(), arrangement }, loads)))
    }

    /// Puts parts of slides together again where nobody has gained from the cut.
    fn join_parts(&mut self) -> Result<(), Stop> {
        let count = self.best.as_ref().map_or(0, |best| best.arrangement.moves.len());
        for index in (0..count).rev() {
            let joined = self.best.as_ref().and_then(|best| joined(&best.arrangement.moves, index));
            let Some(moves) = joined else { continue };
            let found = self.arranged(moves, Some(&self.loads))?;
            if let (Some((whole, loads)), Some(best)) = (found, &mut self.best) {
                self.loads.add(loads);
                if whole.makespan_s <= best.arrangement.makespan_s + WORTH_S {
                    best.arrangement = whole;
                }
            }
        }
        Ok(())
    }

    /// A change of one thing, most often of something critical.
    fn changed(&mut self, timed: &Timed) -> Itinerary {
        let itinerary = &timed.route.itinerary;
        let count = itinerary.errands.len();
        if count == 0 {
            return itinerary.clone();
        }
        let critical = &timed.arrangement.critical;
        let any = self.random.below(count);
        let at = if critical.is_empty() || self.random.below(8) == 0 {
            any
        } else {
            critical[self.random.below(critical.len())]
        };
        match self.random.below(10) {
            0..4 => self.exchanged(itinerary, itinerary.errands[at].module()),
            4..8 => self.moved(itinerary, at),
            8 => self.stepped_aside(timed, at),
            _ => self.left_out(itinerary, at),
        }
    }

    /// Another module of the same class in the place of one.
    fn exchanged(&mut self, itinerary: &Itinerary, module: ModuleId) -> Itinerary {
        let class = |m: ModuleId| self.problem.modules[m.index()].class;
        let like: Vec<ModuleId> =
            self.problem.module_ids().filter(|&m| m != module && class(m) == class(module)).collect();
        if like.is_empty() {
            return itinerary.clone();
        }
        itinerary.exchanged(module, like[self.random.below(like.len())])
    }

    /// One errand sooner or later in the order.
    fn moved(&mut self, itinerary: &Itinerary, at: usize) -> Itinerary {
        let mut changed = itinerary.clone();
        let errand = changed.errands.remove(at);
        let to = self.random.below(changed.errands.len() + 1);
        changed.errands.insert(to, errand);
        changed
    }

    /// Before an errand somebody on a deck steps aside.
    fn stepped_aside(&mut self, timed: &Timed, at: usize) -> Itinerary {
        let mut changed = timed.route.itinerary.clone();
        let stop = &timed.route.stops[at];
        let on_decks: Vec<ModuleId> = self
            .problem
            .module_ids()
            .filter(|&m| stop.get(m).host.deck().is_some() && !stop.is_stood_on(m))
            .collect();
        if on_decks.is_empty() {
            return changed;
        }
        let module = on_decks[self.random.below(on_decks.len())];
        let (angle, share) = (self.random.between(0.0, std::f64::consts::TAU), self.random.between(0.0, 1.0));
        let way_m = (ASIDE.0 + (ASIDE.1 - ASIDE.0) * share) * self.problem.kind(module).shell_radius_m;
        let place = stop.get(module);
        let position = place.position + DVec3::new(angle.cos(), angle.sin(), 0.0) * way_m;
        changed.errands.insert(at, Errand::Go { module, host: place.host, position });
        changed
    }

    /// Without an errand, if its module has another one later.
    fn left_out(&mut self, itinerary: &Itinerary, at: usize) -> Itinerary {
        let mut changed = itinerary.clone();
        let errand = changed.errands.remove(at);
        if changed.errands[at..].iter().any(|later| later.module() == errand.module()) {
            return changed;
        }
        self.moved(itinerary, at)
    }
}

/// Who goes where in which order.
fn steps_of(route: &Route) -> Vec<Step> {
    let end = |(trip, after): (&Trip, &Configuration)| {
        (trip.module, after.get(trip.module).position.to_array().map(f64::to_bits))
    };
    route.trips.iter().zip(&route.stops[1..]).map(end).collect()
}
