//! Shortens any sequence of trips: leaves out detours of single modules, and solves short windows again to optimality.

use super::assignment::Targets;
use super::best_first::{Order, Search};
use super::errand::{Done, Errand, is_sound, trip_time_s};
use super::goal::is_met_apart_from_holds;
use super::planner::NoObserver;
use super::successors::{after_trip, braced};
use super::taking_apart::shape_as_slots;
use super::{Budget, Stop};
use crate::math::tolerance;
use crate::model::{Body, Configuration, Goal, ModuleId, Problem};
use crate::travel::Trip;

/// Trips in a window that is solved again.
const WINDOWS: [usize; 3] = [2, 3, 4];
/// Configurations expanded for one window.
const WINDOW_EXPANSIONS: u64 = 12;

/// A sequence of trips that leads from the start to the same goal in no more time than `trips`, all one after the other.
///
/// First, whenever a module makes two trips, it tries to make one of them only: to the end of the second at once, or to wait for the second.
/// Then windows of a few trips are searched again by A* with a lower bound, so that each is as short as the spots tried allow. Both go on
/// until nothing gets shorter, `effort` searches for trips of one module are spent, or the budget stops them; what was found so far counts.
/// The same trips and effort give the same answer on any number of threads.
#[must_use]
pub fn improve(problem: &Problem, trips: &[Trip], effort: u64, budget: &Budget<'_>) -> Vec<Trip> {
    let Ok(Some(mut tour)) = Tour::new(problem, trips, budget) else { return trips.to_vec() };
    let mut work = Work { problem, budget, left: effort };
    // An interruption leaves the tour as good as it is.
    let _ = work.shorten(&mut tour);
    tour.trips
}

/// Sound trips with the configurations between them.
#[derive(Clone, Debug)]
struct Tour {
    trips: Vec<Trip>,
    /// Before each trip, and after the last.
    stops: Vec<Configuration>,
    times_s: Vec<f64>,
}

impl Tour {
    /// `None` if a trip is not sound.
    fn new(problem: &Problem, trips: &[Trip], budget: &Budget<'_>) -> Result<Option<Self>, Stop> {
        let mut stops = vec![braced(problem, &problem.start)];
        let mut times_s = Vec::with_capacity(trips.len());
        for trip in trips {
            let now = &stops[stops.len() - 1];
            if !is_sound(problem, now, trip, budget)? {
                return Ok(None);
            }
            times_s.push(trip_time_s(problem, now, trip));
            let Some(after) = after_trip(problem, now, trip) else { return Ok(None) };
            stops.push(after);
        }
        Ok(Some(Self { trips: trips.to_vec(), stops, times_s }))
    }

    fn time_s(&self, from: usize, to: usize) -> f64 {
        self.times_s[from..to].iter().sum()
    }

    fn errand(&self, index: usize) -> Errand {
        Errand::of(&self.trips[index], &self.stops[index + 1])
    }

    /// The same with other trips in the place of those from `from` to before `to`; `None` if a later one is not sound any more, as headings
    /// may have changed.
    fn with(
        &self,
        work: &Work<'_, '_>,
        from: usize,
        to: usize,
        done: Vec<Done>,
    ) -> Result<Option<Self>, Stop> {
        let mut trips = self.trips.clone();
        trips.splice(from..to, done.into_iter().map(|d| d.trip));
        Self::new(work.problem, &trips, work.budget)
    }
}

struct Work<'a, 'b> {
    problem: &'a Problem,
    budget: &'a Budget<'b>,
    left: u64,
}

impl Work<'_, '_> {
    fn shorten(&mut self, tour: &mut Tour) -> Result<(), Stop> {
        loop {
            while self.leave_out_trips(tour)? {}
            if !self.solve_windows_again(tour)? {
                return Ok(());
            }
        }
    }

    fn spend(&mut self, searches: u64) -> Result<(), Stop> {
        self.left = self.left.checked_sub(searches).ok_or(Stop::Spent)?;
        Ok(())
    }

    /// One pass over all pairs of trips of one module. Returns whether anything got shorter.
    fn leave_out_trips(&mut self, tour: &mut Tour) -> Result<bool, Stop> {
        let mut shorter = false;
        let mut first = 0;
        while first < tour.trips.len() {
            let module = tour.trips[first].module;
            let next = (first + 1..tour.trips.len()).find(|&t| tour.trips[t].module == module);
            let end = next.map_or(tour.trips.len(), |n| n + 1);
            if self.try_without(tour, first, next, end)? {
                shorter = true;
            } else {
                first += 1;
            }
        }
        Ok(shorter)
    }

    /// Tries to do without trip `first`, without `next`, the next of the same module, or without both.
    fn try_without(
        &mut self,
        tour: &mut Tour,
        first: usize,
        next: Option<usize>,
        end: usize,
    ) -> Result<bool, Stop> {
        let errands: Vec<Errand> = (first..end).map(|t| tour.errand(t)).collect();
        let between = &errands[1..errands.len() - usize::from(next.is_some())];
        let mut plans: Vec<Vec<Errand>> = vec![between.to_vec()];
        if next.is_some() {
            let last = errands[errands.len() - 1];
            plans.push([between, &[last]].concat());
            plans.push([&[last], between].concat());
        }
        for plan in plans {
            let Some(done) = self.run_all(&tour.stops[first], &plan, tour.time_s(first, end))? else {
                continue;
            };
            let after = done.last().map_or(&tour.stops[first], |d| &d.after);
            let same = is_same(after, &tour.stops[end]);
            let good = same || (end == tour.trips.len() && is_met_apart_from_holds(self.problem, after));
            let changed = if good { tour.with(self, first, end, done)? } else { None };
            if let Some(changed) = changed {
                *tour = changed;
                return Ok(true);
            }
        }
        Ok(false)
    }

    /// All errands one after the other in less than a time, or `None`.
    fn run_all(
        &mut self,
        from: &Configuration,
        errands: &[Errand],
        within_s: f64,
    ) -> Result<Option<Vec<Done>>, Stop> {
        let mut all: Vec<Done> = Vec::with_capacity(errands.len());
        let mut time_s = 0.0;
        for errand in errands {
            self.spend(1)?;
            let now = all.last().map_or(from, |d| &d.after);
            let Some(done) = errand.run(self.problem, now, self.budget)? else { return Ok(None) };
            time_s += done.time_s;
            if time_s > within_s - WORTHWHILE_S {
                return Ok(None);
            }
            all.push(done);
        }
        Ok((time_s <= within_s - WORTHWHILE_S).then_some(all))
    }

    /// One pass over all windows. Returns whether anything got shorter.
    fn solve_windows_again(&mut self, tour: &mut Tour) -> Result<bool, Stop> {
        for width in WINDOWS {
            for from in 0..(tour.trips.len() + 1).saturating_sub(width) {
                if self.solve_again(tour, from, from + width)? {
                    return Ok(true);
                }
            }
        }
        Ok(false)
    }

    fn solve_again(&mut self, tour: &mut Tour, from: usize, to: usize) -> Result<bool, Stop> {
        self.spend(WINDOW_EXPANSIONS * self.problem.modules.len() as u64)?;
        let mut window = self.problem.clone();
        window.start = tour.stops[from].clone();
        let shape = &tour.stops[to];
        window.goal = Goal { slots: shape_as_slots(self.problem, shape), gather: None };
        let targets = Targets::new(&window);
        let search = Search {
            problem: &window,
            seed: 0,
            order: Order::Cost(1.0),
            worth_s: tour.time_s(from, to) - WORTHWHILE_S,
            is_goal: &|c| c.same_shape(shape, self.problem, tolerance::SAME_PLACE_M),
            estimate: &|c| targets.time_to_go_s(&window, c),
        };
        let budget = Budget { expansions: WINDOW_EXPANSIONS, ..*self.budget };
        let found = search.run(&targets, &budget, &NoObserver);
        if let Some(Some(Stop::Cancelled)) = found.unfinished {
            return Err(Stop::Cancelled);
        }
        if found.unfinished.is_some() {
            return (self.budget.interrupt)().map_or(Ok(false), Err);
        }
        // Like modules may have changed places: from here on each goes by the name of the one whose place it has.
        let Some(names) = names_by_place(shape, &found.last) else { return Ok(false) };
        let mut trips = tour.trips[..from].to_vec();
        trips.extend(found.trips);
        trips.extend(tour.trips[to..].iter().map(|t| t.clone().renamed(|m| names[m.index()])));
        let old_s = tour.time_s(0, tour.trips.len());
        let changed = Tour::new(self.problem, &trips, self.budget)?.filter(|changed| {
            changed.time_s(0, changed.trips.len()) < old_s - WORTHWHILE_S
                && changed.stops.last().is_some_and(|last| is_met_apart_from_holds(self.problem, last))
        });
        Ok(changed.is_some_and(|changed| {
            *tour = changed;
            true
        }))
    }
}

/// Less gained is not worth it, in seconds.
const WORTHWHILE_S: f64 = 1e-3;

/// Whether everybody stands at the same place on the same host, headings aside.
fn is_same(a: &Configuration, b: &Configuration) -> bool {
    a.iter().zip(b.iter()).all(|((_, p), (_, q))| p.host == q.host && p.position.distance(q.position) < 1e-7)
}

/// For each module of `shape`, the one that has its place in `other`.
pub(super) fn names_by_place(shape: &Configuration, other: &Configuration) -> Option<Vec<ModuleId>> {
    shape
        .iter()
        .map(|(_, place)| {
            let near = |(_, p): &(ModuleId, &crate::model::Placement)| {
                p.position.distance(place.position) <= tolerance::SAME_PLACE_M
                    && matches!(
                        (p.host, place.host),
                        (Body::Deck(_), Body::Deck(_)) | (Body::Module(_), Body::Module(_))
                    )
            };
            other.iter().find(near).map(|(id, _)| id)
        })
        .collect()
}
