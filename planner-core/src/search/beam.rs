//! Beam search over trips (Lowerre 1976, as in Zhang 1998): of all configurations that are one trip further, the best few are kept; when
//! none is left, again with twice as many.

use super::assignment::Targets;
use super::freeing::{Kept, free};
use super::goal::is_met_apart_from_holds;
use super::memory::{self, Waiting};
use super::planner::{HASTE, InputError, Observer, Options, Planner, Progress, validate};
use super::successors::{Expansion, braced, expand};
use super::symmetry::Symmetries;
use super::{Budget, Outcome, Statistics, Stop, Stoppers, impossible_goal};
use crate::math::tolerance;
use crate::model::{Configuration, ModuleId, Problem};
use crate::search::best_first::Found;
use crate::travel::Trip;
use indexmap::IndexSet;
use rayon::prelude::*;

/// Configurations kept of every number of trips, at first.
const NARROWEST: usize = 8;
/// Configurations expanded side by side, while there is memory: what is found waits there until all are done.
const SIDE_BY_SIDE: usize = 8;
/// Trips after which a beam is given up, for each module.
const LONGEST: usize = 8;

/// Beam search.
#[derive(Clone, Copy, Debug, Default)]
pub struct Beam;

impl Planner for Beam {
    fn name(&self) -> &'static str {
        "beam"
    }

    fn plan(
        &self,
        problem: &Problem,
        options: &Options,
        budget: &Budget<'_>,
        observer: &dyn Observer,
    ) -> Result<Outcome, InputError> {
        validate(problem, options)?;
        if let Some(proof) = impossible_goal(problem) {
            return Ok(Outcome::impossible(problem, &proof));
        }
        let targets = Targets::new(problem);
        let mut run = Run {
            problem,
            targets: &targets,
            symmetries: Symmetries::of(problem),
            greed: options.greed.unwrap_or(HASTE),
            worth_s: options.worth_s,
            nodes: Vec::new(),
            seen: IndexSet::new(),
            statistics: Statistics::default(),
            stoppers: Stoppers::default(),
            owned: 0,
            side_by_side: SIDE_BY_SIDE,
            nearest: (f64::INFINITY, 0),
            dropped: 0,
        };
        let mut width = NARROWEST;
        let found = loop {
            match run.sweep(width, budget, observer) {
                Ok(Some(goal)) => break run.found(goal, None),
                Ok(None) if run.dropped == 0 => break run.found(run.nearest.1, Some(None)),
                Ok(None) => width *= 2,
                Err(stop) => break run.found(run.nearest.1, Some(Some(stop))),
            }
            run.forget(budget);
        };
        run.forget(budget);
        Ok(Outcome::of_search(problem, found))
    }
}

struct Node {
    configuration: Configuration,
    parent: Option<(usize, Trip)>,
    time_s: f64,
    rank: f64,
}

type Key = Vec<[i32; 6]>;

/// All configurations, and the keys of those found.
struct Shapes {
    nodes: Vec<Node>,
    seen: IndexSet<Key>,
}

impl Kept for Shapes {
    fn shrink(&mut self, rows: usize) -> bool {
        self.nodes.truncate(self.nodes.len().saturating_sub(rows));
        self.seen.truncate(self.seen.len().saturating_sub(rows));
        !(self.nodes.is_empty() && self.seen.is_empty())
    }
}

struct Run<'a> {
    problem: &'a Problem,
    targets: &'a Targets,
    symmetries: Symmetries,
    greed: f64,
    worth_s: f64,
    nodes: Vec<Node>,
    seen: IndexSet<Key>,
    statistics: Statistics,
    stoppers: Stoppers,
    /// What nodes and keys own besides their rows and entries, in bytes.
    owned: usize,
    /// Configurations expanded side by side.
    side_by_side: usize,
    nearest: (f64, usize),
    /// Configurations left out because the beam was full.
    dropped: usize,
}

impl Run<'_> {
    /// Forgets all configurations.
    fn forget(&mut self, budget: &Budget<'_>) {
        let (nodes, seen) = (std::mem::take(&mut self.nodes), std::mem::take(&mut self.seen));
        free(Shapes { nodes, seen }, budget);
        (self.dropped, self.owned) = (0, 0);
        self.nearest = (f64::INFINITY, 0);
    }

    /// One beam of a given width from the start; the goal's node if it gets there.
    fn sweep(
        &mut self,
        width: usize,
        budget: &Budget<'_>,
        observer: &dyn Observer,
    ) -> Result<Option<usize>, Stop> {
        let all: Vec<ModuleId> = self.problem.module_ids().collect();
        let start = braced(self.problem, &self.problem.start);
        let mut layer: Vec<usize> = self.offer(start, None, 0.0).into_iter().collect();
        for _ in 0..LONGEST * self.problem.modules.len() {
            if let Some(&goal) =
                layer.iter().find(|&&n| is_met_apart_from_holds(self.problem, &self.nodes[n].configuration))
            {
                return Ok(Some(goal));
            }
            let expanded = self.statistics.expanded + layer.len() as u64;
            if let Some(stop) = budget.spent(expanded, self.bytes()) {
                return Err(stop);
            }
            let mut next: Vec<usize> = Vec::new();
            let mut left = &layer[..];
            while !left.is_empty() {
                let (part, rest) = left.split_at(self.side_by_side.min(left.len()));
                match self.expand_all(part, &all, budget) {
                    // One after the other needs less memory, and finds the same.
                    Err(Stop::Full) if part.len() > 1 => self.side_by_side = 1,
                    expansions => {
                        for (&parent, expansion) in part.iter().zip(expansions?) {
                            self.take(&mut next, parent, expansion, budget)?;
                        }
                        left = rest;
                    }
                }
            }
            next.sort_by(|&a, &b| self.nodes[a].rank.total_cmp(&self.nodes[b].rank).then(a.cmp(&b)));
            self.dropped += next.len().saturating_sub(width);
            next.truncate(width);
            layer = next;
            if layer.is_empty() {
                break;
            }
            observer.progress(&Progress { statistics: self.statistics(), nearest_s: self.nearest.0 });
        }
        Ok(None)
    }

    fn expand_all(
        &self,
        part: &[usize],
        movers: &[ModuleId],
        budget: &Budget<'_>,
    ) -> Result<Vec<Expansion>, Stop> {
        let waiting = Waiting::beside(self.bytes(), budget);
        let expand_one = |&node: &usize| {
            let here = &self.nodes[node].configuration;
            expand(self.problem, self.targets, here, movers, budget, &waiting)
        };
        part.par_iter().map(expand_one).collect()
    }

    /// Takes in what an expansion found.
    fn take(
        &mut self,
        next: &mut Vec<usize>,
        parent: usize,
        expansion: Expansion,
        budget: &Budget<'_>,
    ) -> Result<(), Stop> {
        self.statistics.expanded += 1;
        self.statistics.refused_by_load += expansion.refused_by_load;
        self.statistics.reuse = self.statistics.reuse.plus(expansion.reuse);
        self.stoppers.sample(self.problem, &expansion.refused, budget);
        for successor in expansion.successors {
            if let Some(stop) = budget.spent(0, self.bytes()) {
                return Err(stop);
            }
            self.statistics.generated += 1;
            let time_s = self.nodes[parent].time_s + successor.time_s;
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
        let key = configuration.shape_key(self.problem, tolerance::SAME_PLACE_M);
        if self.seen.contains(&key) {
            self.statistics.duplicates += 1;
            return None;
        }
        if self.symmetries.image_keys(self.problem, &configuration).any(|image| self.seen.contains(&image)) {
            self.statistics.duplicates += 1;
            self.statistics.mirrored += 1;
            return None;
        }
        let modules = configuration.len();
        self.owned += memory::list::<[i32; 6]>(modules);
        self.seen.insert(key);
        let estimate = self.targets.estimate_s(self.problem, &configuration, self.greed);
        if parent.is_some() && (!estimate.is_finite() || time_s >= self.worth_s) {
            return None;
        }
        let index = self.nodes.len();
        if estimate < self.nearest.0 - 1e-9 {
            self.nearest = (estimate, index);
        }
        self.owned +=
            memory::configuration(modules) + parent.as_ref().map_or(0, |(_, trip)| memory::trip(trip));
        self.nodes.push(Node { configuration, parent, time_s, rank: time_s + self.greed * estimate });
        Some(index)
    }

    fn statistics(&self) -> Statistics {
        Statistics { kept: self.nodes.len() as u64, bytes: self.bytes(), ..self.statistics }
    }

    /// What is kept, in bytes.
    fn bytes(&self) -> u64 {
        let (node, key) = (memory::row::<Node>(), memory::entry::<Key>());
        (self.nodes.len() * node + self.seen.len() * key + self.owned) as u64
    }

    fn found(&self, index: usize, unfinished: Option<Option<Stop>>) -> Found {
        let mut trips = Vec::new();
        let mut at = index;
        while let Some((parent, trip)) = &self.nodes[at].parent {
            trips.push(trip.clone());
            at = *parent;
        }
        trips.reverse();
        let last = self.nodes[index].configuration.clone();
        Found { trips, last, unfinished, statistics: self.statistics(), stoppers: self.stoppers.clone() }
    }
}
