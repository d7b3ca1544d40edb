//! Best-first search over shapes, in batches of fixed size so that the number of threads changes nothing. Of a configuration first those modules
//! are looked at that the estimate would move next. If they come nearer to the goal, the others wait until the configuration is the best once
//! more (partial expansion, Yoshizumi, Miura & Ishida, AAAI 2000).

use super::assignment::Targets;
use super::freeing::{Kept, free};
use super::memory::{self, Waiting};
use super::novelty::Novelty;
use super::successors::{Expansion, braced, expand};
use super::symmetry::Symmetries;
use super::{Budget, Observer, Progress, Statistics, Stop, Stoppers};
use crate::math::{LeastFirst, mix, tolerance};
use crate::model::{Configuration, ModuleId, Placement, Problem};
use crate::travel::Trip;
use indexmap::IndexMap;
use rayon::prelude::*;

/// Configurations expanded side by side. Fixed: results must not depend on the machine. Some variety also helps past dead ends.
const BATCH: usize = 4;

/// What to look for and how eagerly.
pub(super) struct Search<'a> {
    pub(super) problem: &'a Problem,
    pub(super) seed: u64,
    /// Which configuration to expand next.
    pub(super) order: Order,
    /// Trips that take longer than this all told are of no use.
    pub(super) worth_s: f64,
    /// Whether a configuration will do, apart from its holds.
    pub(super) is_goal: &'a (dyn Fn(&Configuration) -> bool + Sync),
    /// Estimated time to go.
    pub(super) estimate: &'a (dyn Fn(&Configuration) -> f64 + Sync),
}

/// In which order configurations are expanded.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum Order {
    /// By the time so far and this many times the estimate.
    Cost(f64),
    /// The most novel first, see [`Novelty`]; the estimate decides among equals.
    Novelty,
}

/// How the search over shapes ended.
pub(super) struct Found {
    /// Trips to the goal, or to the configuration nearest to it.
    pub(super) trips: Vec<Trip>,
    pub(super) last: Configuration,
    /// `None`: the goal. `Some(None)`: nothing left to try. `Some(Some(_))`: stopped.
    pub(super) unfinished: Option<Option<Stop>>,
    pub(super) statistics: Statistics,
    pub(super) stoppers: Stoppers,
}

struct Node {
    configuration: Configuration,
    parent: Option<(usize, Trip)>,
    time_s: f64,
    ranks: [f64; 2],
    /// Modules whose trips are found already; none at first.
    done: Vec<ModuleId>,
}

impl Search<'_> {
    pub(super) fn run(&self, targets: &Targets, budget: &Budget<'_>, observer: &dyn Observer) -> Found {
        let mut run = Run {
            search: self,
            symmetries: Symmetries::of(self.problem),
            nodes: Vec::new(),
            seen: IndexMap::new(),
            open: LeastFirst::default(),
            statistics: Statistics::default(),
            stoppers: Stoppers::default(),
            owned: 0,
            nearest: (f64::INFINITY, 0),
            novelty: Novelty::default(),
        };
        run.offer(braced(self.problem, &self.problem.start), None, 0.0);
        loop {
            let mut batch: Vec<usize> = Vec::with_capacity(BATCH);
            while batch.len() < BATCH {
                match run.next() {
                    Next::Expand(index) => batch.push(index),
                    Next::Nothing => break,
                    // What came before it ranks no worse and is expanded first.
                    Next::Goal(index) if batch.is_empty() => return run.finish(index, None, budget),
                    Next::Goal(index) => {
                        run.push(index);
                        break;
                    }
                }
            }
            if batch.is_empty() {
                let nearest = run.nearest.1;
                return run.finish(nearest, Some(None), budget);
            }
            if let Some(stop) = budget.spent(run.statistics.expanded, run.bytes()) {
                return run.stopped(stop, budget);
            }
            run.statistics.expanded += batch.len() as u64;
            // Where those whom the goal wants elsewhere come no nearer to it, the others are looked at as well at once.
            let mut stuck = batch.clone();
            while !stuck.is_empty() {
                match run.expand_all(targets, &stuck, budget) {
                    Ok(still_stuck) => stuck = still_stuck,
                    Err(stop) => return run.stopped(stop, budget),
                }
            }
            batch.into_iter().for_each(|index| run.again(index));
            observer.progress(&Progress { statistics: run.statistics(), nearest_s: run.nearest.0 });
        }
    }
}

enum Next {
    Goal(usize),
    Nothing,
    Expand(usize),
}

type Key = Vec<[i32; 6]>;

struct Run<'a> {
    search: &'a Search<'a>,
    symmetries: Symmetries,
    nodes: Vec<Node>,
    seen: IndexMap<Key, usize>,
    open: LeastFirst<usize>,
    statistics: Statistics,
    stoppers: Stoppers,
    /// What nodes and keys own besides their rows and entries, in bytes.
    owned: usize,
    nearest: (f64, usize),
    novelty: Novelty,
}

impl Run<'_> {
    /// Keeps a configuration if it is new, or come by in less time; its estimate if so.
    fn offer(
        &mut self,
        configuration: Configuration,
        parent: Option<(usize, Trip)>,
        time_s: f64,
    ) -> Option<f64> {
        let key = configuration.shape_key(self.search.problem, tolerance::SAME_PLACE_M);
        let index = self.nodes.len();
        if self.is_known(&key, &configuration, time_s) {
            return None;
        }
        let estimate = (self.search.estimate)(&configuration);
        let least_s = if matches!(self.search.order, Order::Cost(1.0)) { time_s + estimate } else { time_s };
        if parent.is_some() && (!estimate.is_finite() || least_s >= self.search.worth_s) {
            return None;
        }
        let modules = configuration.len();
        self.owned += memory::configuration(modules)
            + memory::list::<[i32; 6]>(modules)
            + memory::list::<ModuleId>(modules)
            + parent.as_ref().map_or(0, |(_, trip)| memory::trip(trip));
        self.seen.insert(key, index);
        if estimate < self.nearest.0 - 1e-9 {
            self.nearest = (estimate, index);
        }
        let rank = match self.search.order {
            Order::Cost(greed) => time_s + greed * estimate,
            Order::Novelty => f64::from(self.novelty.width_of(self.search.problem, &configuration)),
        };
        let tie = mix(self.search.seed ^ index as u64);
        let ranks = [rank, estimate];
        self.nodes.push(Node { configuration, parent, time_s, ranks, done: Vec::new() });
        self.open.push(ranks, [tie, index as u64], index);
        Some(estimate)
    }

    /// Whether a configuration, or an image of it, was come by in no more time before. From an image the goal is as far, so it does not matter which
    /// of them is followed up.
    fn is_known(&mut self, key: &Key, configuration: &Configuration, time_s: f64) -> bool {
        let problem = self.search.problem;
        let no_later = |&known: &usize| self.nodes[known].time_s <= time_s + 1e-9;
        if let Some(known) = self.seen.get(key).copied().filter(no_later) {
            let far = |(a, b): ((ModuleId, &Placement), (ModuleId, &Placement))| {
                a.1.position.distance(b.1.position) > tolerance::SAME_PLACE_M
            };
            let renamed = configuration.iter().zip(self.nodes[known].configuration.iter()).any(far);
            self.statistics.duplicates += 1;
            self.statistics.renamed += u64::from(renamed);
            return true;
        }
        let mut images = self.symmetries.image_keys(problem, configuration);
        let mirrored = images.any(|image| image != *key && self.seen.get(&image).is_some_and(no_later));
        drop(images);
        self.statistics.duplicates += u64::from(mirrored);
        self.statistics.mirrored += u64::from(mirrored);
        mirrored
    }

    fn statistics(&self) -> Statistics {
        Statistics { kept: self.seen.len() as u64, bytes: self.bytes(), ..self.statistics }
    }

    /// What is kept, in bytes.
    fn bytes(&self) -> u64 {
        let node = memory::row::<Node>() + memory::entry::<(Key, usize)>() + memory::row::<[u64; 5]>();
        (self.nodes.len() * node + self.owned) as u64 + self.novelty.bytes()
    }

    /// The best configuration that is not yet expanded in full.
    fn next(&mut self) -> Next {
        while let Some(index) = self.open.pop() {
            let node = &self.nodes[index];
            let key = node.configuration.shape_key(self.search.problem, tolerance::SAME_PLACE_M);
            if self.seen.get(&key).is_some_and(|&best| best != index) {
                continue; // a shorter way to this shape was found since
            }
            let is_new = node.done.is_empty();
            return if is_new && (self.search.is_goal)(&node.configuration) {
                Next::Goal(index)
            } else {
                Next::Expand(index)
            };
        }
        Next::Nothing
    }

    /// Expands configurations by the next of their modules; those that this leads no nearer to the goal and that have modules left.
    fn expand_all(
        &mut self,
        targets: &Targets,
        indices: &[usize],
        budget: &Budget<'_>,
    ) -> Result<Vec<usize>, Stop> {
        let (run, waiting) = (&*self, Waiting::beside(self.bytes(), budget));
        let expand_one = |&index: &usize| {
            let movers = run.movers(targets, index);
            let here = &run.nodes[index].configuration;
            let found = expand(run.search.problem, targets, here, &movers, budget, &waiting)?;
            Ok((movers, found))
        };
        let expansions: Result<Vec<_>, Stop> = indices.par_iter().map(expand_one).collect();
        let mut stuck = Vec::new();
        match expansions {
            // One after the other needs less memory, and finds the same.
            Err(Stop::Full) if indices.len() > 1 => {
                for index in indices {
                    stuck.extend(self.expand_all(targets, std::slice::from_ref(index), budget)?);
                }
            }
            expansions => {
                for (&index, (movers, expansion)) in indices.iter().zip(expansions?) {
                    if !self.take(index, movers, expansion, budget)? {
                        stuck.push(index);
                    }
                }
            }
        }
        Ok(stuck)
    }

    /// Takes in what an expansion found. Returns whether it leads nearer to the goal or nothing is left to expand.
    fn take(
        &mut self,
        index: usize,
        movers: Vec<ModuleId>,
        expansion: Expansion,
        budget: &Budget<'_>,
    ) -> Result<bool, Stop> {
        self.statistics.refused_by_load += expansion.refused_by_load;
        self.statistics.reuse = self.statistics.reuse.plus(expansion.reuse);
        self.stoppers.sample(self.search.problem, &expansion.refused, budget);
        let mut nearer = false;
        for successor in expansion.successors {
            if let Some(stop) = budget.spent(0, self.bytes()) {
                return Err(stop);
            }
            self.statistics.generated += 1;
            let time_s = self.nodes[index].time_s + successor.time_s;
            let offered = self.offer(successor.after, Some((index, successor.trip)), time_s);
            nearer |= offered.is_some_and(|estimate| estimate < self.nodes[index].ranks[1] - 1e-9);
        }
        let node = &mut self.nodes[index];
        node.done.extend(movers);
        Ok(nearer || node.done.len() >= self.search.problem.modules.len())
    }

    /// Whose trips to find next: those whom the goal wants elsewhere soonest, then all that are left.
    fn movers(&self, targets: &Targets, index: usize) -> Vec<ModuleId> {
        let (problem, node) = (self.search.problem, &self.nodes[index]);
        if node.done.is_empty() {
            let wanted = targets.wanted_next(problem, &node.configuration);
            if !wanted.is_empty() {
                return wanted;
            }
        }
        problem.module_ids().filter(|id| !node.done.contains(id)).collect()
    }

    /// Puts a configuration back whose modules are not all done.
    fn again(&mut self, index: usize) {
        if self.nodes[index].done.len() < self.search.problem.modules.len() {
            self.push(index);
        }
    }

    fn push(&mut self, index: usize) {
        let tie = mix(self.search.seed ^ index as u64);
        self.open.push(self.nodes[index].ranks, [tie, index as u64], index);
    }

    fn stopped(self, stop: Stop, budget: &Budget<'_>) -> Found {
        let nearest = self.nearest.1;
        self.finish(nearest, Some(Some(stop)), budget)
    }

    fn finish(self, index: usize, unfinished: Option<Option<Stop>>, budget: &Budget<'_>) -> Found {
        let mut trips = Vec::new();
        let mut at = index;
        while let Some((parent, trip)) = &self.nodes[at].parent {
            trips.push(trip.clone());
            at = *parent;
        }
        trips.reverse();
        let last = self.nodes[index].configuration.clone();
        let statistics = self.statistics();
        free(Shapes { nodes: self.nodes, seen: self.seen }, budget);
        Found { trips, last, unfinished, statistics, stoppers: self.stoppers }
    }
}

/// All configurations, and the keys by which they are known.
struct Shapes {
    nodes: Vec<Node>,
    seen: IndexMap<Key, usize>,
}

impl Kept for Shapes {
    fn shrink(&mut self, rows: usize) -> bool {
        self.nodes.truncate(self.nodes.len().saturating_sub(rows));
        self.seen.truncate(self.seen.len().saturating_sub(rows));
        !(self.nodes.is_empty() && self.seen.is_empty())
    }
}
