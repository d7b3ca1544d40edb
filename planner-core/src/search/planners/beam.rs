//! Beam search over trips (Lowerre 1976, with restarts as in Zhang 1998): of all configurations that are one trip further, only the best are kept.
//! When none is left, the search restarts with a beam twice as wide.

use crate::control::memory::Waiting;
use crate::control::{Budget, Stopped};
use crate::model::{Configuration, ModuleId, Problem};
use crate::search::frontier::closed_list::{ClosedList, SearchNode};
use crate::search::guidance::assignment::Targets;
use crate::search::guidance::goal::is_met_apart_from_holds;
use crate::search::outcome::{Ended, Found};
use crate::search::planner::{FAST_WEIGHT, Task};
use crate::search::trips::successors::{Expansion, braced, expand};
use crate::search::{Observer, Outcome, Planner, SearchProgress, Statistics, Stoppers};
use crate::travel::Trip;
use rayon::prelude::*;

/// Initial width of the beam: configurations kept for each number of trips.
const NARROWEST: usize = 8;
/// Configurations expanded in parallel, while memory allows: their successors are held until all are done.
const SIDE_BY_SIDE: usize = 8;
/// Depth limit of a beam, in trips per module.
const LONGEST: usize = 8;

/// Beam search.
#[derive(Clone, Copy, Debug, Default)]
pub struct Beam;

impl Planner for Beam {
    fn name(&self) -> &'static str {
        "beam"
    }

    fn search(&self, task: &Task<'_>) -> Outcome {
        let problem = task.problem;
        let targets = Targets::new(problem);
        let mut beam = BeamSearch {
            problem,
            targets: &targets,
            weight: task.options.weight.unwrap_or(FAST_WEIGHT),
            worth_s: task.options.worth_s,
            closed: ClosedList::new(problem),
            statistics: Statistics::default(),
            stoppers: Stoppers::default(),
            side_by_side: SIDE_BY_SIDE,
            dropped: 0,
        };
        let mut width = NARROWEST;
        let found = loop {
            let nearest = |beam: &BeamSearch<'_>| beam.closed.nearest().1;
            match beam.sweep(width, task.budget, task.observer) {
                Ok(Some(goal)) => break beam.found(goal, Ended::AtGoal),
                Ok(None) if beam.dropped == 0 => break beam.found(nearest(&beam), Ended::Exhausted),
                Ok(None) => width *= 2,
                Err(stop) => break beam.found(nearest(&beam), Ended::Stopped(stop)),
            }
            beam.forget(task.budget);
        };
        beam.forget(task.budget);
        Outcome::of_search(problem, found)
    }
}

struct BeamSearch<'a> {
    problem: &'a Problem,
    targets: &'a Targets,
    weight: f64,
    worth_s: f64,
    /// The closed list; each configuration is stored with its rank.
    closed: ClosedList<f64>,
    statistics: Statistics,
    stoppers: Stoppers,
    /// Configurations expanded in parallel.
    side_by_side: usize,
    /// Number of configurations dropped because the beam was full.
    dropped: usize,
}

impl BeamSearch<'_> {
    /// Removes all configurations.
    fn forget(&mut self, budget: &Budget<'_>) {
        self.closed.forget(budget);
        self.dropped = 0;
    }

    /// One beam of a given width from the start; returns the goal's node if it is reached.
    fn sweep(
        &mut self,
        width: usize,
        budget: &Budget<'_>,
        observer: &dyn Observer,
    ) -> Result<Option<usize>, Stopped> {
        let all: Vec<ModuleId> = self.problem.module_ids().collect();
        let start = braced(self.problem, &self.problem.start);
        let mut layer: Vec<usize> = self.offer(start, None, 0.0).into_iter().collect();
        for _ in 0..LONGEST * self.problem.modules.len() {
            if let Some(&goal) = layer
                .iter()
                .find(|&&n| is_met_apart_from_holds(self.problem, &self.closed.node(n).configuration))
            {
                return Ok(Some(goal));
            }
            let expanded = self.statistics.expanded + layer.len() as u64;
            if let Some(stop) = budget.spent(expanded, self.closed.bytes()) {
                return Err(stop);
            }
            let mut next: Vec<usize> = Vec::new();
            let mut left = &layer[..];
            while !left.is_empty() {
                let (part, rest) = left.split_at(self.side_by_side.min(left.len()));
                match self.expand_all(part, &all, budget) {
                    // Sequential expansion needs less memory and finds the same.
                    Err(Stopped::Full) if part.len() > 1 => self.side_by_side = 1,
                    expansions => {
                        for (&parent, expansion) in part.iter().zip(expansions?) {
                            self.take(&mut next, parent, expansion, budget)?;
                        }
                        left = rest;
                    }
                }
            }
            next.sort_by(|&a, &b| {
                self.closed.node(a).note.total_cmp(&self.closed.node(b).note).then(a.cmp(&b))
            });
            self.dropped += next.len().saturating_sub(width);
            next.truncate(width);
            layer = next;
            if layer.is_empty() {
                break;
            }
            observer.progress(&SearchProgress {
                statistics: self.statistics(),
                nearest_s: self.closed.nearest().0,
            });
        }
        Ok(None)
    }

    fn expand_all(
        &self,
        part: &[usize],
        movers: &[ModuleId],
        budget: &Budget<'_>,
    ) -> Result<Vec<Expansion>, Stopped> {
        let waiting = Waiting::beside(self.closed.bytes(), budget);
        let expand_one = |&node: &usize| {
            let here = &self.closed.node(node).configuration;
            expand(self.problem, self.targets, here, movers, budget, &waiting)
        };
        part.par_iter().map(expand_one).collect()
    }

    /// Adds the successors of one expansion.
    fn take(
        &mut self,
        next: &mut Vec<usize>,
        parent: usize,
        expansion: Expansion,
        budget: &Budget<'_>,
    ) -> Result<(), Stopped> {
        self.statistics.expanded += 1;
        self.statistics.refused_by_load += expansion.refused_by_load;
        self.statistics.reuse = self.statistics.reuse.plus(expansion.reuse);
        self.stoppers.sample(self.problem, &expansion.refused, budget);
        for successor in expansion.successors {
            if let Some(stop) = budget.spent(0, self.closed.bytes()) {
                return Err(stop);
            }
            self.statistics.generated += 1;
            let time_s = self.closed.node(parent).time_s + successor.time_s;
            next.extend(self.offer(successor.after, Some((parent, successor.trip)), time_s));
        }
        Ok(())
    }

    fn offer(
        &mut self,
        configuration: Configuration,
        parent: Option<(usize, Trip)>,
        time_s: f64,
    ) -> Option<usize> {
        let known = self.closed.known(&configuration, |_| true);
        let key = self.statistics.count(known)?;
        let estimate = self.targets.estimate_s(self.problem, &configuration, self.weight);
        if parent.is_some() && (!estimate.is_finite() || time_s >= self.worth_s) {
            self.closed.pass_over(key);
            return None;
        }
        let note = time_s + self.weight * estimate;
        Some(self.closed.keep(key, SearchNode { configuration, parent, time_s, note }, estimate))
    }

    fn statistics(&self) -> Statistics {
        Statistics { kept: self.closed.len() as u64, bytes: self.closed.bytes(), ..self.statistics }
    }

    fn found(&self, index: usize, ended: Ended) -> Found {
        let (trips, last) = (self.closed.trips_to(index), self.closed.node(index).configuration.clone());
        Found { trips, last, ended, statistics: self.statistics(), stoppers: self.stoppers.clone() }
    }
}
