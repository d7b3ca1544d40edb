//! Searches for other trip sequences with a shorter makespan when the crew moves in parallel.
//!
//! A large neighbourhood search (Shaw 1998). Each change affects what is critical: which module goes to which place, in which order, or which steps
//! aside first. All trips are planned anew (`TripGoals`), and their moves timed. Sometimes a solution slightly worse than the best is accepted, so
//! that the search leaves local optima (record-to-record travel, Dueck 1993).

use super::changes::{Changed, SoFar, changed};
use super::other_crossings::crossed_anew;
use super::trip_goals::{KnownTrips, TripGoals};
use crate::control::{Budget, Stopped, memory};
use crate::math::SplitMix64;
use crate::model::{Configuration, ModuleId, Problem};
use crate::motion::Move;
use crate::schedule::arrangement::{Arrangement, arrangement};
use crate::schedule::known_loads::{KnownLoads, NewLoads};
use crate::schedule::sequence::{Made, moves_with_trips};
use crate::schedule::splitting::{cut, joined};
use crate::search::trips::successors::after_trip;
use crate::search::trips::trip_sequence::TripSequence;
use crate::travel::Trip;
use indexmap::IndexSet;
use rayon::prelude::*;

/// Changes that are tried in parallel. Fixed, so that the result does not depend on the number of threads.
const BATCH: usize = 8;
/// Number of these whose loads are checked in parallel.
const PAIR: usize = 2;
/// Relative excess over the best makespan at which a solution is still accepted.
const WORSE: f64 = 0.05;
/// From one offer of the best to the next the number of batches grows by this share of one.
const OFFERS: u64 = 4;
/// Number of batches without a better solution after which the search returns to the best.
const ASTRAY: u64 = 8;
/// The number of trips to which the patience refers.
const TRIPS: u64 = 10;
/// Exponents of times for the first assignments of modules to slots: 1 minimises the sum, larger ones reduce the longest times.
const POWERS: [i32; 4] = [1, 2, 4, 8];
/// Most trip sequences remembered; beyond that all are removed.
const MOST_SEEN: usize = 100_000;
/// Most splits of slides in one trip sequence.
const MOST_CUTS: usize = 64;
/// What ends later than this, in shares of the time allowed, is not helped by splits of slides.
const BEFORE_CUTS: f64 = 1.25;
/// Least gain for which a slide is split, in seconds.
const WORTH_S: f64 = 0.01;

/// Receives moves that end sooner than those before.
pub type Offer<'a> = dyn FnMut(&[(ModuleId, Move)]) + 'a;

/// The result of the search.
#[derive(Clone, Debug, PartialEq)]
pub struct Rearranged {
    /// Yaws, slides and hops of the shortest makespan, in a sequence; `None` if none were timed before the budget was spent.
    pub moves: Option<Vec<(ModuleId, Move)>>,
    /// The trips that these moves make.
    pub trips: Vec<Trip>,
    /// Their makespan, in seconds.
    pub makespan_s: f64,
    /// Number of trip sequences that were tried.
    pub tried: u64,
}

/// The moves of trips to the goal with a shorter makespan than that of any given solution.
///
/// Besides the solutions, direct trips to the slots are tried, and then changes of the best. Long slides are split where another module waits for
/// only a part of them. The search ends after `patience` changes in a row without gain, for ten trips; timing takes about the square of the number of
/// trips, so the limit is scaled accordingly. It also ends when the makespan reaches `least_s`. The same arguments give the same moves on any number
/// of threads. The budget may end the search with the best so far; its bytes bound the stored trips and loads, and with fewer bytes the search takes
/// longer. The best so far is passed to `offer` now and then, if it has improved since, and when the budget ends the search.
#[must_use]
pub fn rearrange(
    problem: &Problem,
    solutions: &[Vec<Trip>],
    seed: u64,
    patience: u64,
    least_s: f64,
    budget: &Budget<'_>,
    offer: &mut Offer<'_>,
) -> Rearranged {
    let mut search = Rearranging::new(problem, seed, budget);
    let ended = search.run(solutions, patience, least_s, offer).and_then(|()| search.join_parts());
    // An interruption leaves the best as it is.
    if let (Err(_), Some(best)) = (ended, &search.best) {
        offer(&plain(&best.arrangement.moves));
    }
    search.rearranged()
}

/// Direct trips to the slots, for one assignment after the other, as far as they can be made.
pub(super) fn direct_trips<'a>(
    problem: &'a Problem,
    budget: &'a Budget<'a>,
) -> impl Iterator<Item = Vec<Trip>> + 'a {
    let known = KnownTrips::within(budget.bytes / 3);
    POWERS.iter().filter_map(move |&power| {
        let goals = TripGoals::to_slots(problem, power)?;
        let (_, sequence) = goals.reach(problem, &known, budget).ok()??;
        Some(sequence.trips)
    })
}

/// The moves of given trips, with long slides split where another module waits for only a part of them; `None` if they cannot be timed.
///
/// # Errors
/// When interrupted.
pub(super) fn with_slides_split(
    problem: &Problem,
    trips: &[Trip],
    budget: &Budget<'_>,
) -> Result<Option<Vec<(ModuleId, Move)>>, Stopped> {
    let mut search = Rearranging::new(problem, 0, budget);
    let Some(goals) = TripGoals::of(problem, trips) else { return Ok(None) };
    let mut sequence = TripSequence::new(problem, &problem.start);
    for trip in trips {
        let Some(after) = after_trip(problem, sequence.now(), trip) else { return Ok(None) };
        sequence.push(trip.clone(), after);
    }
    let Some(hoped) = search.timed_without_loads(goals, sequence, f64::INFINITY)? else { return Ok(None) };
    let (best, loads) = search.timed(&hoped, f64::INFINITY)?;
    search.loads.add(loads);
    search.best = best;
    search.join_parts()?;
    Ok(search.best.map(|best| plain(&best.arrangement.moves)))
}

fn plain(moves: &[Made]) -> Vec<(ModuleId, Move)> {
    moves.iter().map(|made| (made.module, made.action)).collect()
}

/// Trips and the schedule of their moves.
#[derive(Clone, Debug)]
struct Timed {
    goals: TripGoals,
    sequence: TripSequence,
    arrangement: Arrangement,
}

impl Timed {
    fn is_better_than(&self, other: &Self) -> bool {
        self.arrangement.is_better_than(&other.arrangement)
    }

    const fn so_far(&self) -> SoFar<'_> {
        SoFar { goals: &self.goals, sequence: &self.sequence, critical: self.arrangement.critical.as_slice() }
    }
}

/// A module and its destination, bit by bit.
type Step = (ModuleId, [u64; 3]);

/// One such search, which can be carried on in parts.
pub(super) struct Rearranging<'a> {
    problem: &'a Problem,
    budget: &'a Budget<'a>,
    known: KnownTrips,
    loads: KnownLoads,
    random: SplitMix64,
    /// The steps of all trip sequences that were tried.
    seen: IndexSet<Vec<Step>>,
    /// Upper bound on their memory, in bytes.
    most_seen: u64,
    best: Option<Timed>,
    /// What is changed next: the best, or another that is hardly worse.
    now: Option<Timed>,
    /// Work since the last gain.
    idle: u64,
    /// Batches since the last gain.
    pub(super) idle_batches: u64,
    /// Batches since the last gain or since the search returned to the best.
    astray: u64,
    tried: u64,
}

impl<'a> Rearranging<'a> {
    pub(super) fn new(problem: &'a Problem, seed: u64, budget: &'a Budget<'a>) -> Self {
        // Each of three kinds of stored data may take as much.
        let part = budget.bytes / 3;
        Self {
            problem,
            budget,
            known: KnownTrips::within(part),
            loads: KnownLoads::within(part),
            most_seen: part,
            random: SplitMix64::new(seed),
            seen: IndexSet::new(),
            best: None,
            now: None,
            idle: 0,
            idle_batches: 0,
            astray: 0,
            tried: 0,
        }
    }

    fn run(
        &mut self,
        solutions: &[Vec<Trip>],
        patience: u64,
        least_s: f64,
        offer: &mut Offer<'_>,
    ) -> Result<(), Stopped> {
        self.begin(solutions)?;
        let (mut batches, mut offered_s) = (0, f64::INFINITY);
        while self.change(patience, least_s, 1 + batches / OFFERS)? {
            batches += 1 + batches / OFFERS;
            if self.best_s() < offered_s {
                offered_s = self.best_s();
                offer(&self.moves());
            }
        }
        Ok(())
    }

    /// Starts from the best of some solutions and of direct trips to the slots.
    pub(super) fn begin(&mut self, solutions: &[Vec<Trip>]) -> Result<(), Stopped> {
        let found: Vec<TripGoals> =
            solutions.iter().filter_map(|trips| TripGoals::of(self.problem, trips)).collect();
        let straight = POWERS.iter().filter_map(|&power| TripGoals::to_slots(self.problem, power));
        let first: Vec<TripGoals> = straight.chain(found.iter().cloned()).collect();
        let hoped = self.hoped(first, f64::INFINITY)?;
        self.best = self.first_to_end(&hoped, f64::INFINITY)?;
        if self.best.is_none() {
            // The quickest trips may end with other headings than those of a solution, and leave a later one no way.
            solutions.iter().for_each(|trips| self.known.remember(self.problem, trips));
            let hoped = self.hoped(found, f64::INFINITY)?;
            self.best = self.first_to_end(&hoped, f64::INFINITY)?;
        }
        self.now.clone_from(&self.best);
        Ok(())
    }

    /// Tries batches of changes; `false` once patience is lost or the makespan reaches `least_s`.
    pub(super) fn change(&mut self, patience: u64, least_s: f64, batches: u64) -> Result<bool, Stopped> {
        let patience = patience.saturating_mul(TRIPS * TRIPS);
        for _ in 0..batches {
            let (Some(best), Some(now)) = (&self.best, &mut self.now) else { return Ok(false) };
            if self.idle >= patience || best.arrangement.makespan_s <= least_s {
                return Ok(false);
            }
            // Where all trips and all answers are known, nothing else polls the interrupt.
            self.budget.go_on()?;
            if self.astray >= ASTRAY {
                now.clone_from(best);
                self.astray = 0;
            }
            let (best_s, trips) = (best.arrangement.makespan_s, best.sequence.trips.len() as u64);
            let so_far = now.so_far();
            let changes: Vec<Changed> =
                (0..BATCH).map(|_| changed(self.problem, &so_far, &mut self.random)).collect();
            let made = changes.into_par_iter().map(|changed| match changed {
                Changed::Goals(goals) => Some(goals),
                Changed::Crossing(from, seed) => {
                    crossed_anew(self.problem, (so_far.goals, so_far.sequence), from, seed, self.budget)
                }
            });
            let changed: Vec<TripGoals> = made.flatten().collect();
            self.idle += BATCH as u64 * trips.pow(2).max(1);
            self.idle_batches += 1;
            self.astray += 1;
            let within_s = best_s * (1.0 + WORSE);
            let mut hoped = self.hoped(changed, within_s)?;
            // Where modules gather, loads decide what can be done at once, so what is accepted has been timed with them.
            let gathers = self.gathers();
            let found = self.first_to_end(&hoped, if gathers { within_s } else { best_s })?;
            let is_better = |found: &Timed| self.best.as_ref().is_none_or(|best| found.is_better_than(best));
            match found {
                Some(found) if is_better(&found) => {
                    (self.idle, self.idle_batches, self.astray) = (0, 0, 0);
                    self.now = Some(found.clone());
                    self.best = Some(found);
                }
                Some(found) if gathers => self.now = Some(found),
                _ if !gathers && !hoped.is_empty() => self.now = Some(hoped.swap_remove(0)),
                _ => {}
            }
        }
        Ok(true)
    }

    /// Whether modules gather: then trips are many, and what takes long to time is given up sooner.
    const fn gathers(&self) -> bool {
        self.problem.goal.gather.is_some()
    }

    /// The makespan of the best, in seconds; infinite if there is none.
    pub(super) fn best_s(&self) -> f64 {
        self.best.as_ref().map_or(f64::INFINITY, |best| best.arrangement.makespan_s)
    }

    /// The moves of the best.
    pub(super) fn moves(&self) -> Vec<(ModuleId, Move)> {
        self.best.as_ref().map_or_else(Vec::new, |best| plain(&best.arrangement.moves))
    }

    /// The result.
    pub(super) fn rearranged(self) -> Rearranged {
        let makespan_s = self.best_s();
        let moves = self.best.as_ref().map(|best| plain(&best.arrangement.moves));
        Rearranged {
            moves,
            trips: self.best.map_or_else(Vec::new, |best| best.sequence.trips),
            makespan_s,
            tried: self.tried,
        }
    }

    /// The candidates that can be made, are new, and end within a time, timed without loads: fast, with an optimistic makespan. The first to end comes
    /// first.
    fn hoped(&mut self, candidates: Vec<TripGoals>, within_s: f64) -> Result<Vec<Timed>, Stopped> {
        self.tried += candidates.len() as u64;
        let reached: Result<Vec<Option<(TripGoals, TripSequence)>>, Stopped> =
            candidates.par_iter().map(|goals| goals.reach(self.problem, &self.known, self.budget)).collect();
        let mut reached: Vec<(TripGoals, TripSequence)> = reached?.into_iter().flatten().collect();
        let trips = reached.iter().map(|(_, sequence)| sequence.trips.len()).max().unwrap_or(0);
        let each = memory::entry::<Vec<Step>>() + memory::list::<Step>(trips);
        if self.seen.len() > MOST_SEEN || (self.seen.len() * each) as u64 > self.most_seen {
            self.seen.clear();
        }
        reached.retain(|(_, sequence)| self.seen.insert(steps_of(sequence)));
        let hoped: Result<Vec<Option<Timed>>, Stopped> = reached
            .into_par_iter()
            .map(|(goals, sequence)| self.timed_without_loads(goals, sequence, within_s))
            .collect();
        let mut hoped: Vec<Timed> = hoped?.into_iter().flatten().collect();
        hoped.retain(|timed| timed.arrangement.makespan_s <= within_s);
        hoped.sort_by(|a, b| a.arrangement.makespan_s.total_cmp(&b.arrangement.makespan_s));
        Ok(hoped)
    }

    /// The first to end with loads checked, of those that end within a time: the most promising first, until none of the others can end sooner.
    fn first_to_end(&mut self, hoped: &[Timed], within_s: f64) -> Result<Option<Timed>, Stopped> {
        let mut best: Option<Timed> = None;
        for pair in hoped.chunks(PAIR) {
            let ends_s = best.as_ref().map_or(within_s, |best| best.arrangement.makespan_s);
            if pair.iter().all(|timed| timed.arrangement.makespan_s > ends_s) {
                break;
            }
            let timed: Result<Vec<(Option<Timed>, NewLoads)>, Stopped> =
                pair.par_iter().map(|hoped| self.timed(hoped, ends_s)).collect();
            for (timed, loads) in timed? {
                self.loads.add(loads);
                best = match (timed, best) {
                    (Some(timed), Some(best)) if !timed.is_better_than(&best) => Some(best),
                    (Some(timed), _) => Some(timed),
                    (None, best) => best,
                };
            }
        }
        Ok(best)
    }

    /// Trips, timed without loads, with their slides split where that helps.
    fn timed_without_loads(
        &self,
        goals: TripGoals,
        sequence: TripSequence,
        within_s: f64,
    ) -> Result<Option<Timed>, Stopped> {
        let Ok(moves) = moves_with_trips(self.problem, &sequence.trips) else { return Ok(None) };
        let within_s = if self.gathers() { within_s * BEFORE_CUTS } else { f64::INFINITY };
        let (first, _) = self.arranged(moves, None, within_s)?;
        let Some(mut best) = first else { return Ok(None) };
        for _ in 0..MOST_CUTS {
            let Some(shorter) = self.with_a_cut(&best)? else { break };
            best = shorter;
        }
        Ok(Some(Timed { goals, sequence, arrangement: best }))
    }

    /// The same moves with slides split where that is worth it, without loads: the first critical one that gains something, or all at once, as where
    /// several paths are critical. Where modules gather there are many, and all at once come first.
    fn with_a_cut(&self, whole: &Arrangement) -> Result<Option<Arrangement>, Stopped> {
        let all = (whole.cuts.len() > 1).then_some(whole.cuts.as_slice());
        let (first, last) = if self.gathers() { (all, None) } else { (None, all) };
        for cuts in first.into_iter().chain(whole.cuts.chunks(1)).chain(last) {
            let moves = cut(&whole.moves, cuts);
            let (Some(with_cut), _) = self.arranged(moves, None, whole.makespan_s)? else { continue };
            let gain_s = whole.makespan_s - with_cut.makespan_s;
            if gain_s > WORTH_S || (gain_s >= 0.0 && with_cut.ends_s < whole.ends_s - WORTH_S) {
                return Ok(Some(with_cut));
            }
        }
        Ok(None)
    }

    /// The schedule of moves in parallel; `None` if they cannot be made, or do not end within a time.
    fn arranged(
        &self,
        moves: Vec<Made>,
        known: Option<&KnownLoads>,
        within_s: f64,
    ) -> Result<(Option<Arrangement>, NewLoads), Stopped> {
        self.budget.go_on()?;
        let found = arrangement(self.problem, moves, known, within_s, self.budget);
        self.budget.go_on()?;
        Ok(found.unwrap_or_default())
    }

    fn timed(&self, hoped: &Timed, within_s: f64) -> Result<(Option<Timed>, NewLoads), Stopped> {
        let moves = hoped.arrangement.moves.clone();
        let (arrangement, loads) = self.arranged(moves, Some(&self.loads), within_s)?;
        let (goals, sequence) = (hoped.goals.clone(), hoped.sequence.clone());
        Ok((arrangement.map(|arrangement| Timed { goals, sequence, arrangement }), loads))
    }

    /// Joins parts of slides again where the split brings no gain.
    pub(super) fn join_parts(&mut self) -> Result<(), Stopped> {
        let count = self.best.as_ref().map_or(0, |best| best.arrangement.moves.len());
        for index in (0..count).rev() {
            let joined = self.best.as_ref().and_then(|best| joined(&best.arrangement.moves, index));
            let Some(moves) = joined else { continue };
            let (whole, loads) = self.arranged(moves, Some(&self.loads), self.best_s() + WORTH_S)?;
            self.loads.add(loads);
            if let (Some(whole), Some(best)) = (whole, &mut self.best) {
                best.arrangement = whole;
            }
        }
        Ok(())
    }
}

/// Modules and destinations of a sequence, in order.
fn steps_of(sequence: &TripSequence) -> Vec<Step> {
    let end = |(trip, after): (&Trip, &Configuration)| {
        (trip.module, after.get(trip.module).position.to_array().map(f64::to_bits))
    };
    sequence.trips.iter().zip(&sequence.stops[1..]).map(end).collect()
}
