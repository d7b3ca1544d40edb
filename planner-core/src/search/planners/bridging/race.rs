//! A race between one long search for a crossing and many short ones over other structures.
//!
//! How long a search takes has a heavy tail: some structures lead to a dead end from which it takes long to get away, others do not. So beside the
//! search over the first structures that would do, others start again and again, each with another seed. Their efforts follow the sequence of Luby,
//! Sinclair & Zuckerman (1993): 1, 1, 2, 1, 1, 2, 4, … units. Whatever the distribution is, they need at most a logarithmic factor more than with the
//! best fixed cutoff for it.
//!
//! The side that needs less effort wins. Effort is the number of times that the interrupt is polled, which does not depend on the clock; a poll of the
//! long search counts for more, as more work lies between two of them.

use super::Bridging;
use crate::control::{Budget, Interrupt, Stopped};
use crate::math::SplitMix64;
use crate::plan::Status;
use crate::search::planner::{Options, Task};
use crate::search::{Outcome, Planner};
use std::sync::atomic::{AtomicU64, Ordering};

/// Effort of the shortest search that starts again.
const UNIT: u64 = 400_000;
/// Weights of a poll of the long search and of one of the others: from times that were measured.
const WEIGHTS: [u64; 2] = [3, 2];
/// Effort of all searches that start again for each expansion that the long search may make: about as much as that takes.
const PER_EXPANSION: u64 = 600;
/// Expansions of a search that starts again.
const EXPANSIONS: u64 = 1024;

/// The planner that builds bridges, with restarts beside it.
#[derive(Clone, Copy, Debug, Default)]
pub(crate) struct RacedBridging;

impl Planner for RacedBridging {
    fn name(&self) -> &'static str {
        Bridging.name()
    }

    fn search(&self, task: &Task<'_>) -> Outcome {
        let least = AtomicU64::new(u64::MAX);
        let (long, restarted) = rayon::join(
            || Side::new(task, &least, WEIGHTS[0]).ran(Side::long),
            || Side::new(task, &least, WEIGHTS[1]).ran(Side::restarted),
        );
        let (mut best, other) = if restarted.effort < long.effort {
            (restarted.outcome, None)
        } else {
            (long.outcome, Some(restarted.outcome))
        };
        // How far the loser got depends on timing, so what it found is dropped.
        if let Some(other) = other.filter(|_| best.status != Status::Solved) {
            best.statistics = best.statistics.plus(other.statistics);
            best.stoppers.merge(&other.stoppers);
        }
        best
    }
}

/// One side of the race.
struct Side<'a, 'b> {
    task: &'a Task<'b>,
    /// Least weighted effort with which either side has solved.
    least: &'a AtomicU64,
    /// Effort so far.
    spent: AtomicU64,
    weight: u64,
}

/// What a side found, and the weighted effort if it solved.
struct Ran {
    outcome: Outcome,
    effort: u64,
}

impl<'a, 'b> Side<'a, 'b> {
    const fn new(task: &'a Task<'b>, least: &'a AtomicU64, weight: u64) -> Self {
        Self { task, least, spent: AtomicU64::new(0), weight }
    }
}

impl Side<'_, '_> {
    fn ran(self, search: impl Fn(&Self) -> Outcome) -> Ran {
        let outcome = search(&self);
        let is_solved = outcome.status == Status::Solved;
        let effort = if is_solved { self.weight * self.spent.load(Ordering::Relaxed) } else { u64::MAX };
        self.least.fetch_min(effort, Ordering::Relaxed);
        Ran { outcome, effort }
    }

    /// Polls the interrupt of the task, and counts that.
    fn poll(&self) -> Option<Stopped> {
        let spent = self.spent.fetch_add(1, Ordering::Relaxed);
        let beaten = self.weight * spent >= self.least.load(Ordering::Relaxed);
        self.task.budget.interrupt.asked().or(beaten.then_some(Stopped::Spent))
    }

    fn long(&self) -> Outcome {
        let interrupt = || self.poll();
        let bytes = self.task.budget.bytes / 2;
        let budget = Budget { bytes, interrupt: Interrupt::new(&interrupt), ..*self.task.budget };
        Bridging.search(&Task { budget: &budget, ..*self.task })
    }

    fn restarted(&self) -> Outcome {
        let all = self.task.budget.expansions.saturating_mul(PER_EXPANSION);
        // Another budget begins with other seeds.
        let mut seeds = SplitMix64::new(self.task.options.seed ^ all);
        let mut ended = Outcome::stopped(self.task.problem, Stopped::Spent);
        for index in 1.. {
            let before = self.spent.load(Ordering::Relaxed);
            let until = before.saturating_add(UNIT * luby(index));
            let interrupt = || {
                let enough = self.spent.load(Ordering::Relaxed) >= until;
                self.poll().or(enough.then_some(Stopped::Spent))
            };
            let budget = Budget {
                expansions: EXPANSIONS,
                bytes: self.task.budget.bytes / 2,
                interrupt: Interrupt::new(&interrupt),
            };
            let options = Options { seed: seeds.next_u64(), ..*self.task.options };
            let outcome = Bridging::another(&Task { options: &options, budget: &budget, ..*self.task });
            let (mut statistics, mut stoppers) = (ended.statistics, ended.stoppers);
            statistics = statistics.plus(outcome.statistics);
            stoppers.merge(&outcome.stoppers);
            let is_over = outcome.status == Status::Solved || until >= all || self.poll().is_some();
            ended = Outcome { statistics, stoppers, ..outcome };
            if is_over {
                break;
            }
        }
        ended
    }
}

/// The sequence 1, 1, 2, 1, 1, 2, 4, …, from index 1.
fn luby(mut index: u64) -> u64 {
    loop {
        let block = (index + 1).next_power_of_two();
        if block == index + 1 {
            return block / 2;
        }
        index -= block / 2 - 1;
    }
}

#[cfg(test)]
mod tests {
    use super::luby;

    /// The start of the sequence as it is printed in the paper.
    #[test]
    fn the_efforts_are_those_of_the_sequence() {
        let efforts: Vec<u64> = (1..=15).map(luby).collect();
        assert_eq!(efforts, [1, 1, 2, 1, 1, 2, 4, 1, 1, 2, 1, 1, 2, 4, 8]);
    }
}
