//! Shortens any trip sequence: removes detours of single modules, and solves short windows again to optimality.

use super::frontier::best_first::{Order, Search};
use super::guidance::assignment::Targets;
use super::guidance::goal::is_met_apart_from_holds;
use super::guidance::shape_goal::shape_as_slots;
use super::outcome::Ended;
use super::planner::NoObserver;
use super::shortcuts::{Shortcut, shortcuts};
use super::trips::trip_goal::{Done, TripGoal, sequence_time_s};
use super::trips::trip_sequence::TripSequence;
use crate::control::{Budget, Stopped};
use crate::math::tolerance;
use crate::model::{Body, Configuration, Goal, ModuleId, Problem};
use crate::travel::Trip;
use std::ops::Range;

/// Lengths of the windows that are solved again, in trips.
const WINDOWS: [usize; 3] = [2, 3, 4];
/// Most expansions for one window.
const WINDOW_EXPANSIONS: u64 = 12;
/// Shortcuts lead past more trips than this; shorter detours are left to windows.
const LONGEST_WINDOW: usize = WINDOWS[WINDOWS.len() - 1];
/// Most shortcuts that are tried before other changes.
const SHORTCUTS: usize = 60;

/// A trip sequence that leads from the start to the same goal in no more total time than `trips`.
///
/// First it looks for shortcuts past many trips, between stops that hardly differ. Then, whenever a module makes two trips, it tries to make only one of
/// them: directly to the end of the second, or to wait for the second. Then
/// windows of a few trips are searched again by A* with a lower bound, so that each is as short as the spots tried allow. Both continue until nothing
/// gets shorter, `effort` searches for trips of one module are spent, or the budget stops them. An interruption returns the best sequence so far. The
/// same trips and effort give the same answer on any number of threads.
#[must_use]
pub fn shorten(problem: &Problem, trips: &[Trip], effort: u64, budget: &Budget<'_>) -> Vec<Trip> {
    let Ok(Some(mut sequence)) = TripSequence::checked(problem, trips, budget) else { return trips.to_vec() };
    let mut work = Work { problem, budget, left: effort };
    // After an interruption the sequence is the best so far.
    let _ = work.shorten(&mut sequence);
    sequence.trips
}

/// Several solutions, each shortened with that much effort, and the first one unchanged as well; without duplicates, the least total time first.
#[must_use]
pub fn shorten_all(
    problem: &Problem,
    found: Vec<Vec<Trip>>,
    effort: u64,
    budget: &Budget<'_>,
) -> Vec<Vec<Trip>> {
    let mut solutions: Vec<Vec<Trip>> =
        found.iter().map(|trips| shorten(problem, trips, effort, budget)).collect();
    solutions.extend(found.into_iter().next());
    let times_s: Vec<f64> = solutions.iter().map(|trips| sequence_time_s(problem, trips)).collect();
    let shortest = (0..solutions.len()).min_by(|&a, &b| times_s[a].total_cmp(&times_s[b]));
    let mut all: Vec<Vec<Trip>> = shortest.map(|index| solutions.remove(index)).into_iter().collect();
    for trips in solutions {
        if !all.contains(&trips) {
            all.push(trips);
        }
    }
    all
}

struct Work<'a, 'b> {
    problem: &'a Problem,
    budget: &'a Budget<'b>,
    left: u64,
}

impl Work<'_, '_> {
    fn shorten(&mut self, sequence: &mut TripSequence) -> Result<(), Stopped> {
        loop {
            let mut left_s = f64::INFINITY;
            while let Some(time_s) = self.take_a_shortcut(sequence, left_s)? {
                left_s = time_s;
            }
            while self.leave_out_trips(sequence)? {}
            if !self.solve_windows_again(sequence)? {
                return Ok(());
            }
        }
    }

    fn spend(&mut self, searches: u64) -> Result<(), Stopped> {
        self.left = self.left.checked_sub(searches).ok_or(Stopped::Spent)?;
        Ok(())
    }

    /// The same with some trips replaced; `None` if a later one is no longer sound, as headings may have changed.
    fn with(
        &self,
        sequence: &TripSequence,
        range: Range<usize>,
        done: Vec<Done>,
    ) -> Result<Option<TripSequence>, Stopped> {
        let mut trips = sequence.trips.clone();
        trips.splice(range, done.into_iter().map(|d| d.trip));
        TripSequence::checked(self.problem, &trips, self.budget)
    }

    /// Takes the first shortcut past no more than a time that can be made. Returns the time past which it leads, in seconds.
    fn take_a_shortcut(&mut self, sequence: &mut TripSequence, most_s: f64) -> Result<Option<f64>, Stopped> {
        let mut all = shortcuts(self.problem, sequence, LONGEST_WINDOW);
        all.retain(|shortcut| shortcut.time_s <= most_s);
        for shortcut in all.into_iter().take(SHORTCUTS) {
            let turned: Vec<TripGoal> = shortcut.goals.iter().rev().cloned().collect();
            let orders =
                if turned.len() > 1 { vec![&shortcut.goals, &turned] } else { vec![&shortcut.goals] };
            for goals in orders {
                let from = &sequence.stops[shortcut.from];
                let Some(done) = self.run_all(from, goals, shortcut.time_s)? else { continue };
                if let Some(shorter) = self.past(sequence, &shortcut, done)? {
                    *sequence = shorter;
                    return Ok(Some(shortcut.time_s));
                }
            }
        }
        Ok(None)
    }

    /// The sequence with a shortcut; `None` if a later trip is no longer sound.
    fn past(
        &self,
        sequence: &TripSequence,
        shortcut: &Shortcut,
        done: Vec<Done>,
    ) -> Result<Option<TripSequence>, Stopped> {
        let mut trips = sequence.trips[..shortcut.from].to_vec();
        trips.extend(done.into_iter().map(|done| done.trip));
        let later = sequence.trips[shortcut.to..].iter().cloned();
        trips.extend(later.map(|trip| trip.renamed(|m| shortcut.names[m.index()])));
        let changed = TripSequence::checked(self.problem, &trips, self.budget)?;
        Ok(changed.filter(|changed| is_met_apart_from_holds(self.problem, changed.now())))
    }

    /// One pass over all pairs of trips of one module. Returns whether anything got shorter.
    fn leave_out_trips(&mut self, sequence: &mut TripSequence) -> Result<bool, Stopped> {
        let mut shorter = false;
        let mut first = 0;
        while first < sequence.trips.len() {
            let module = sequence.trips[first].module;
            let next = (first + 1..sequence.trips.len()).find(|&t| sequence.trips[t].module == module);
            let end = next.map_or(sequence.trips.len(), |n| n + 1);
            if self.try_without(sequence, first, next, end)? {
                shorter = true;
            } else {
                first += 1;
            }
        }
        Ok(shorter)
    }

    /// Tries to leave out trip `first`, or `next`, the next of the same module, or both.
    fn try_without(
        &mut self,
        sequence: &mut TripSequence,
        first: usize,
        next: Option<usize>,
        end: usize,
    ) -> Result<bool, Stopped> {
        let goals: Vec<TripGoal> = (first..end).map(|t| sequence.goal(t)).collect();
        let between = &goals[1..goals.len() - usize::from(next.is_some())];
        let mut plans: Vec<Vec<TripGoal>> = vec![between.to_vec()];
        if next.is_some() {
            let last = &goals[goals.len() - 1..];
            plans.push([between, last].concat());
            plans.push([last, between].concat());
        }
        for plan in plans {
            let Some(done) =
                self.run_all(&sequence.stops[first], &plan, sequence.time_s(self.problem, first, end))?
            else {
                continue;
            };
            let after = done.last().map_or(&sequence.stops[first], |d| &d.after);
            let same = is_same(after, &sequence.stops[end]);
            let good = same || (end == sequence.trips.len() && is_met_apart_from_holds(self.problem, after));
            let changed = if good { self.with(sequence, first..end, done)? } else { None };
            if let Some(changed) = changed {
                *sequence = changed;
                return Ok(true);
            }
        }
        Ok(false)
    }

    /// All trip goals one after the other within a time limit, or `None`.
    fn run_all(
        &mut self,
        from: &Configuration,
        goals: &[TripGoal],
        within_s: f64,
    ) -> Result<Option<Vec<Done>>, Stopped> {
        let mut all: Vec<Done> = Vec::with_capacity(goals.len());
        let mut time_s = 0.0;
        for goal in goals {
            self.spend(1)?;
            let now = all.last().map_or(from, |d| &d.after);
            let Some(done) = goal.run(self.problem, now, self.budget)? else { return Ok(None) };
            time_s += done.time_s;
            if time_s > within_s - WORTHWHILE_S {
                return Ok(None);
            }
            all.push(done);
        }
        Ok((time_s <= within_s - WORTHWHILE_S).then_some(all))
    }

    /// One pass over all windows. Returns whether anything got shorter.
    fn solve_windows_again(&mut self, sequence: &mut TripSequence) -> Result<bool, Stopped> {
        for width in WINDOWS {
            for from in 0..(sequence.trips.len() + 1).saturating_sub(width) {
                if self.solve_again(sequence, from, from + width)? {
                    return Ok(true);
                }
            }
        }
        Ok(false)
    }

    fn solve_again(&mut self, sequence: &mut TripSequence, from: usize, to: usize) -> Result<bool, Stopped> {
        self.spend(WINDOW_EXPANSIONS * self.problem.modules.len() as u64)?;
        let mut window = self.problem.clone();
        window.start = sequence.stops[from].clone();
        let shape = &sequence.stops[to];
        window.goal = Goal { slots: shape_as_slots(self.problem, shape), gather: None };
        let targets = Targets::new(&window);
        let search = Search {
            problem: &window,
            seed: 0,
            order: Order::Cost(1.0),
            worth_s: sequence.time_s(self.problem, from, to) - WORTHWHILE_S,
            is_goal: &|c| c.same_shape(shape, self.problem, tolerance::SAME_PLACE_M),
            estimate: &|c| targets.time_to_go_s(&window, c),
        };
        let budget = Budget { expansions: WINDOW_EXPANSIONS, ..*self.budget };
        let found = search.run(&targets, &budget, &NoObserver);
        match found.ended {
            Ended::AtGoal => {}
            Ended::Stopped(Stopped::Cancelled) => return Err(Stopped::Cancelled),
            _ => return self.budget.go_on().map(|()| false),
        }
        // Like modules may have been interchanged: from here on each is renamed to the one whose place it has.
        let Some(names) = names_by_place(shape, &found.last) else { return Ok(false) };
        let mut trips = sequence.trips[..from].to_vec();
        trips.extend(found.trips);
        trips.extend(sequence.trips[to..].iter().map(|t| t.clone().renamed(|m| names[m.index()])));
        let old_s = sequence.time_s(self.problem, 0, sequence.trips.len());
        let changed = TripSequence::checked(self.problem, &trips, self.budget)?.filter(|changed| {
            changed.time_s(self.problem, 0, changed.trips.len()) < old_s - WORTHWHILE_S
                && is_met_apart_from_holds(self.problem, changed.now())
        });
        Ok(changed.is_some_and(|changed| {
            *sequence = changed;
            true
        }))
    }
}

/// Centres nearer than this are at the same place, in metres: trips to one place differ by rounding.
const SAME_M: f64 = 1e-7;
/// Least gain that counts, in seconds.
const WORTHWHILE_S: f64 = 1e-3;

/// Whether all modules stand at the same places on the same hosts; headings are ignored.
fn is_same(a: &Configuration, b: &Configuration) -> bool {
    a.iter()
        .zip(b.iter())
        .all(|((_, p), (_, q))| p.host == q.host && p.position.distance(q.position) < SAME_M)
}

/// For each module of `shape`, the one that has its place in `other`.
pub(crate) fn names_by_place(shape: &Configuration, other: &Configuration) -> Option<Vec<ModuleId>> {
    shape
        .iter()
        .map(|(_, place)| {
            let near = |(_, p): &(ModuleId, &crate::model::Placement)| {
                p.position.distance(place.position) <= tolerance::SAME_PLACE_M
                    && matches!(
                        (p.host, place.host),
                        (Body::Ground(_), Body::Ground(_)) | (Body::Module(_), Body::Module(_))
                    )
            };
            other.iter().find(near).map(|(id, _)| id)
        })
        .collect()
}
