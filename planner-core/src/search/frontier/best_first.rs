//! Best-first search over shapes, in batches of fixed size so that the result does not depend on the number of threads. Of a configuration the
//! modules that the estimate would move next are expanded first. If their trips lead nearer to the goal, the other modules wait until the
//! configuration is again the best in the queue (partial expansion, Yoshizumi, Miura & Ishida, AAAI 2000). The module that came last waits longest.

use super::closed_list::{ClosedList, SearchNode};
use crate::control::memory::{self, Waiting};
use crate::control::{Budget, Stopped};
use crate::math::{LeastFirst, mix, rounded, tolerance};
use crate::model::{Configuration, ModuleId, Problem};
use crate::search::guidance::assignment::Targets;
use crate::search::guidance::goal::is_met_apart_from_holds;
use crate::search::guidance::novelty::Novelty;
use crate::search::outcome::{Ended, Found};
use crate::search::planner::Task;
use crate::search::trips::successors::{Expansion, braced, expand};
use crate::search::{Observer, SearchProgress, Statistics, Stoppers};
use crate::travel::Trip;
use rayon::prelude::*;

/// Configurations expanded in parallel. Fixed: results must not depend on the machine. Some variety also helps to leave dead ends.
const BATCH: usize = 4;

/// Rank by novelty of a configuration of which only the module that came last is left to expand: after all that are new in anything.
const NOTHING_NEW: f64 = 4.0;

/// A search: its task, order and goal.
pub(crate) struct Search<'a> {
    pub(crate) problem: &'a Problem,
    pub(crate) seed: u64,
    /// Which configuration to expand next.
    pub(crate) order: Order,
    /// Upper limit on the total time of trips, in seconds: longer sequences are discarded.
    pub(crate) worth_s: f64,
    /// Whether a configuration meets the goal, apart from its holds.
    pub(crate) is_goal: &'a (dyn Fn(&Configuration) -> bool + Sync),
    /// Estimated time to go, in seconds.
    pub(crate) estimate: &'a (dyn Fn(&Configuration) -> f64 + Sync),
}

/// The order in which configurations are expanded.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) enum Order {
    /// By the time so far plus this weight times the estimate (weighted A*).
    Cost(f64),
    /// The most novel first, see [`Novelty`]. Ties are broken by the estimate where slots are to be filled, otherwise by how much of the goal is lacking:
    /// how high the modules stand that are to gather says nothing about how soon they get there.
    Novelty,
}

/// Searches from a task's start to its goal.
pub(crate) fn search_from_start(task: &Task<'_>, order: Order, weight: f64) -> Found {
    let problem = task.problem;
    let targets = Targets::new(problem);
    let search = Search {
        problem,
        seed: task.options.seed,
        order,
        worth_s: task.options.worth_s,
        is_goal: &|c| is_met_apart_from_holds(problem, c),
        estimate: &|c| targets.estimate_s(problem, c, weight),
    };
    search.run(&targets, task.budget, task.observer)
}

/// What best-first search stores with a configuration.
struct Rank {
    /// What it is ordered by, least first.
    ranks: [f64; 2],
    /// Estimated time to go, in seconds.
    estimate_s: f64,
    /// Modules whose trips are found already; empty at first.
    done: Vec<ModuleId>,
    /// By novelty, the modules that cannot get to the deck to gather on.
    kept_out: Vec<ModuleId>,
}

impl SearchNode<Rank> {
    /// The modules whose trips are still to be found, but for the one that came last.
    fn others_left(&self, problem: &Problem) -> Vec<ModuleId> {
        let is_left = |m: &ModuleId| self.came() != Some(*m) && !self.note.done.contains(m);
        problem.module_ids().filter(is_left).collect()
    }

    /// The module that came last, if its trips are still to be found.
    fn came_left(&self) -> Option<ModuleId> {
        self.came().filter(|module| !self.note.done.contains(module))
    }
}

impl Search<'_> {
    pub(crate) fn run(&self, targets: &Targets, budget: &Budget<'_>, observer: &dyn Observer) -> Found {
        let mut run = BestFirst {
            search: self,
            closed: ClosedList::new(self.problem),
            open: LeastFirst::default(),
            statistics: Statistics::default(),
            stoppers: Stoppers::default(),
            done_bytes: 0,
            novelty: Novelty::new(self.problem),
        };
        run.offer(braced(self.problem, &self.problem.start), None, 0.0);
        loop {
            let mut batch: Vec<usize> = Vec::with_capacity(BATCH);
            while batch.len() < BATCH {
                match run.next() {
                    Next::Expand(index) => batch.push(index),
                    Next::Nothing => break,
                    // Everything expanded before it ranks no worse.
                    Next::Goal(index) if batch.is_empty() => return run.finish(index, Ended::AtGoal, budget),
                    Next::Goal(index) => {
                        run.push(index);
                        break;
                    }
                }
            }
            if batch.is_empty() {
                let nearest = run.closed.nearest().1;
                return run.finish(nearest, Ended::Exhausted, budget);
            }
            if let Some(stop) = budget.spent(run.statistics.expanded, run.bytes()) {
                return run.stopped(stop, budget);
            }
            run.statistics.expanded += batch.len() as u64;
            // Where the modules that the goal wants elsewhere come no nearer to it, the others are expanded at once as well.
            let mut stuck = batch.clone();
            while !stuck.is_empty() {
                match run.expand_all(targets, &stuck, budget) {
                    Ok(still_stuck) => stuck = still_stuck,
                    Err(stop) => return run.stopped(stop, budget),
                }
            }
            batch.into_iter().for_each(|index| run.again(index));
            observer.progress(&SearchProgress {
                statistics: run.statistics(),
                nearest_s: run.closed.nearest().0,
            });
        }
    }
}

enum Next {
    Goal(usize),
    Nothing,
    Expand(usize),
}

struct BestFirst<'a> {
    search: &'a Search<'a>,
    closed: ClosedList<Rank>,
    open: LeastFirst<usize>,
    statistics: Statistics,
    stoppers: Stoppers,
    /// Upper bound on the memory of the lists of modules in the notes, in bytes.
    done_bytes: usize,
    novelty: Novelty,
}

impl BestFirst<'_> {
    /// Adds a configuration to the queue if it is new, or was reached in less time; returns its estimate if so.
    fn offer(
        &mut self,
        configuration: Configuration,
        parent: Option<(usize, Trip)>,
        time_s: f64,
    ) -> Option<f64> {
        let no_later = |known: Option<&SearchNode<Rank>>| {
            known.is_some_and(|known| known.time_s <= time_s + tolerance::NOTHING)
        };
        let known = self.closed.known(&configuration, no_later);
        let key = self.statistics.count(known)?;
        let estimate = (self.search.estimate)(&configuration);
        let least_s = if matches!(self.search.order, Order::Cost(1.0)) { time_s + estimate } else { time_s };
        if parent.is_some() && (!estimate.is_finite() || least_s >= self.search.worth_s) {
            return None;
        }
        self.done_bytes += 2 * memory::list::<ModuleId>(configuration.len());
        let estimate_s = rounded(estimate);
        let note = Rank { ranks: [0.0; 2], estimate_s, done: Vec::new(), kept_out: Vec::new() };
        let mut node = SearchNode { configuration, parent, time_s, note };
        node.note.ranks = match self.search.order {
            Order::Cost(weight) => [rounded(time_s + weight * estimate), estimate_s],
            Order::Novelty => {
                let came = node.parent.as_ref().zip(node.came()).map(|((parent, _), module)| {
                    (module, self.closed.node(*parent).note.kept_out.contains(&module))
                });
                let novel = self.novelty.look_at(self.search.problem, &node.configuration, came);
                node.note.kept_out = novel.kept_out;
                let has_slots = !self.search.problem.goal.slots.is_empty();
                [f64::from(novel.width), if has_slots { estimate_s } else { novel.lacking as f64 }]
            }
        };
        let index = self.closed.keep(key, node, estimate);
        self.push(index);
        Some(estimate)
    }

    fn statistics(&self) -> Statistics {
        Statistics { kept: self.closed.shapes() as u64, bytes: self.bytes(), ..self.statistics }
    }

    /// Memory of the search, in bytes.
    fn bytes(&self) -> u64 {
        let open = self.closed.len() * memory::row::<[u64; 5]>();
        self.closed.bytes() + (open + self.done_bytes) as u64 + self.novelty.bytes()
    }

    /// The best configuration that is not yet fully expanded.
    fn next(&mut self) -> Next {
        while let Some(index) = self.open.pop() {
            if !self.closed.is_best(index) {
                continue; // a shorter way to this shape was found since
            }
            let node = self.closed.node(index);
            return if node.note.done.is_empty() && (self.search.is_goal)(&node.configuration) {
                Next::Goal(index)
            } else {
                Next::Expand(index)
            };
        }
        Next::Nothing
    }

    /// Expands configurations by the next of their modules. Returns those that this leads no nearer to the goal and that have modules left.
    fn expand_all(
        &mut self,
        targets: &Targets,
        indices: &[usize],
        budget: &Budget<'_>,
    ) -> Result<Vec<usize>, Stopped> {
        let (run, waiting) = (&*self, Waiting::beside(self.bytes(), budget));
        let expand_one = |&index: &usize| {
            let movers = run.movers(targets, index);
            let here = &run.closed.node(index).configuration;
            let found = expand(run.search.problem, targets, here, &movers, budget, &waiting)?;
            Ok((movers, found))
        };
        let expansions: Result<Vec<_>, Stopped> = indices.par_iter().map(expand_one).collect();
        let mut stuck = Vec::new();
        match expansions {
            // Sequential expansion needs less memory and finds the same.
            Err(Stopped::Full) if indices.len() > 1 => {
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

    /// Adds the successors of one expansion. Returns whether one is nearer to the goal or no module is left to expand.
    fn take(
        &mut self,
        index: usize,
        movers: Vec<ModuleId>,
        expansion: Expansion,
        budget: &Budget<'_>,
    ) -> Result<bool, Stopped> {
        self.statistics.refused_by_load += expansion.refused_by_load;
        self.statistics.reuse = self.statistics.reuse.plus(expansion.reuse);
        self.stoppers.sample(self.search.problem, &expansion.refused, budget);
        let mut nearer = false;
        for successor in expansion.successors {
            if let Some(stop) = budget.spent(0, self.bytes()) {
                return Err(stop);
            }
            self.statistics.generated += 1;
            let time_s = self.closed.node(index).time_s + successor.time_s;
            let offered = self.offer(successor.after, Some((index, successor.trip)), time_s);
            nearer |=
                offered.is_some_and(|estimate| rounded(estimate) < self.closed.node(index).note.estimate_s);
        }
        self.closed.note_mut(index).done.extend(movers);
        Ok(nearer || self.closed.node(index).others_left(self.search.problem).is_empty())
    }

    /// The modules to expand next: those that the goal wants elsewhere soonest, then all others that are left, and last the one that came last.
    fn movers(&self, targets: &Targets, index: usize) -> Vec<ModuleId> {
        let (problem, node) = (self.search.problem, self.closed.node(index));
        let others = node.others_left(problem);
        if node.note.done.is_empty() {
            let mut wanted = targets.wanted_next(problem, &node.configuration);
            wanted.retain(|module| others.contains(module));
            if !wanted.is_empty() {
                return wanted;
            }
        }
        if others.is_empty() { node.came_left().into_iter().collect() } else { others }
    }

    /// Puts back into the queue a configuration with modules left to expand.
    fn again(&mut self, index: usize) {
        let node = self.closed.node(index);
        if !node.others_left(self.search.problem).is_empty() {
            self.push(index);
        } else if node.came_left().is_some() {
            // Hardly any of its trips leads to something new.
            if self.search.order == Order::Novelty {
                self.closed.note_mut(index).ranks[0] = NOTHING_NEW;
            }
            self.push(index);
        }
    }

    fn push(&mut self, index: usize) {
        let tie = mix(self.search.seed ^ index as u64);
        self.open.push(self.closed.node(index).note.ranks, [tie, index as u64], index);
    }

    fn stopped(self, stop: Stopped, budget: &Budget<'_>) -> Found {
        let nearest = self.closed.nearest().1;
        self.finish(nearest, Ended::Stopped(stop), budget)
    }

    fn finish(mut self, index: usize, ended: Ended, budget: &Budget<'_>) -> Found {
        let (trips, last) = (self.closed.trips_to(index), self.closed.node(index).configuration.clone());
        let statistics = self.statistics();
        self.closed.forget(budget);
        Found { trips, last, ended, statistics, stoppers: self.stoppers }
    }
}
