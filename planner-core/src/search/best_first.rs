//! Best-first search over shapes, in batches of fixed size so that the number of threads changes nothing.

use super::assignment::Targets;
use super::novelty::Novelty;
use super::successors::{Expansion, braced, expand};
use super::{Budget, Observer, Progress, Statistics, Stop};
use crate::math::{LeastFirst, tolerance};
use crate::model::{Configuration, Problem};
use crate::travel::Trip;
use indexmap::IndexMap;
use rayon::prelude::*;

/// Configurations expanded side by side. Fixed: results must not depend on the machine.
const BATCH: usize = 8;

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
}

struct Node {
    configuration: Configuration,
    parent: Option<(usize, Trip)>,
    time_s: f64,
}

impl Search<'_> {
    pub(super) fn run(&self, targets: &Targets, budget: &Budget<'_>, observer: &dyn Observer) -> Found {
        let mut run = Run {
            search: self,
            nodes: Vec::new(),
            seen: IndexMap::new(),
            open: LeastFirst::default(),
            statistics: Statistics::default(),
            nearest: (f64::INFINITY, 0),
            novelty: Novelty::default(),
        };
        run.offer(braced(self.problem, &self.problem.start), None, 0.0);
        loop {
            let batch = match run.next_batch() {
                Next::Goal(index) => return run.finish(index, None),
                Next::Nothing => return run.finish(run.nearest.1, Some(None)),
                Next::Batch(batch) => batch,
            };
            if let Some(stop) = budget.spent(run.statistics.expanded, run.nodes.len()) {
                return run.finish(run.nearest.1, Some(Some(stop)));
            }
            let expansions: Result<Vec<Expansion>, Stop> = batch
                .par_iter()
                .map(|&index| expand(self.problem, targets, &run.nodes[index].configuration, budget))
                .collect();
            let expansions = match expansions {
                Ok(expansions) => expansions,
                Err(stop) => return run.finish(run.nearest.1, Some(Some(stop))),
            };
            for (index, expansion) in batch.into_iter().zip(expansions) {
                run.statistics.expanded += 1;
                run.statistics.refused_by_load += expansion.refused_by_load;
                for successor in expansion.successors {
                    run.statistics.generated += 1;
                    let time_s = run.nodes[index].time_s + successor.time_s;
                    run.offer(successor.after, Some((index, successor.trip)), time_s);
                }
            }
            run.statistics.kept = run.seen.len() as u64;
            observer.progress(&Progress { statistics: run.statistics, nearest_s: run.nearest.0 });
        }
    }
}

enum Next {
    Goal(usize),
    Nothing,
    Batch(Vec<usize>),
}

struct Run<'a> {
    search: &'a Search<'a>,
    nodes: Vec<Node>,
    seen: IndexMap<Vec<[i32; 6]>, usize>,
    open: LeastFirst<usize>,
    statistics: Statistics,
    nearest: (f64, usize),
    novelty: Novelty,
}

impl Run<'_> {
    fn offer(&mut self, configuration: Configuration, parent: Option<(usize, Trip)>, time_s: f64) {
        let key = configuration.shape_key(self.search.problem, tolerance::SAME_PLACE_M);
        let index = self.nodes.len();
        if self.seen.get(&key).is_some_and(|&known| self.nodes[known].time_s <= time_s + 1e-9) {
            self.statistics.duplicates += 1;
            return;
        }
        let estimate = (self.search.estimate)(&configuration);
        let least_s = if matches!(self.search.order, Order::Cost(1.0)) { time_s + estimate } else { time_s };
        if parent.is_some() && (!estimate.is_finite() || least_s >= self.search.worth_s) {
            return;
        }
        self.seen.insert(key, index);
        if estimate < self.nearest.0 - 1e-9 {
            self.nearest = (estimate, index);
        }
        let rank = match self.search.order {
            Order::Cost(greed) => time_s + greed * estimate,
            Order::Novelty => f64::from(self.novelty.width_of(self.search.problem, &configuration)),
        };
        let tie = mix(self.search.seed ^ index as u64);
        self.nodes.push(Node { configuration, parent, time_s });
        self.open.push([rank, estimate], [tie, index as u64], index);
    }

    fn next_batch(&mut self) -> Next {
        let mut batch = Vec::with_capacity(BATCH);
        while batch.len() < BATCH {
            let Some(&index) = self.open.peek() else { break };
            let node = &self.nodes[index];
            let key = node.configuration.shape_key(self.search.problem, tolerance::SAME_PLACE_M);
            if self.seen.get(&key).is_some_and(|&best| best != index) {
                self.open.pop();
                continue; // a shorter way to this shape was found since
            }
            if (self.search.is_goal)(&node.configuration) {
                // Everything before it in this batch ranks no worse and is expanded first.
                if batch.is_empty() {
                    return Next::Goal(index);
                }
                break;
            }
            self.open.pop();
            batch.push(index);
        }
        if batch.is_empty() { Next::Nothing } else { Next::Batch(batch) }
    }

    fn finish(&self, index: usize, unfinished: Option<Option<Stop>>) -> Found {
        let mut trips = Vec::new();
        let mut at = index;
        while let Some((parent, trip)) = &self.nodes[at].parent {
            trips.push(trip.clone());
            at = *parent;
        }
        trips.reverse();
        let last = self.nodes[index].configuration.clone();
        Found { trips, last, unfinished, statistics: self.statistics }
    }
}

/// SplitMix64 (Steele, Lea & Flood, OOPSLA 2014): ties fall differently for every seed.
fn mix(seed: u64) -> u64 {
    let mut z = seed.wrapping_add(0x9e37_79b9_7f4a_7c15);
    z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
    z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
    z ^ (z >> 31)
}
