//! Options of `solve`.

use super::Portfolio;
use crate::schedule::Objective;
use crate::search::{Options, Planner, PlannerName};

/// Which planner searches.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
#[non_exhaustive]
pub enum Strategy {
    /// All planners in parallel, then improvement of their plans.
    #[default]
    Auto,
    /// One planner only.
    Single(PlannerName),
}

impl Strategy {
    /// All strategies with their names in files and on the command line.
    #[must_use]
    pub fn all() -> Vec<(Self, &'static str)> {
        let single = PlannerName::ALL.map(|(planner, name)| (Self::Single(planner), name));
        std::iter::once((Self::Auto, "auto")).chain(single).collect()
    }

    /// Its name in files and on the command line.
    #[must_use]
    pub fn name(self) -> &'static str {
        self.planner().name()
    }

    /// The planner of this strategy.
    #[must_use]
    pub fn planner(self) -> Box<dyn Planner> {
        match self {
            Self::Auto => Box::new(Portfolio),
            Self::Single(planner) => planner.planner(),
        }
    }
}

/// Options of [`solve`](crate::solve()); the defaults suit most scenes.
///
/// ```
/// use clamber_core::{Objective, SolveOptions};
///
/// let options = SolveOptions { seed: 7, objective: Objective::Energy, ..SolveOptions::default() };
/// assert!(!options.one_by_one);
/// ```
#[derive(Clone, Debug, PartialEq)]
pub struct SolveOptions {
    /// Which planner searches.
    pub strategy: Strategy,
    /// Seed for breaking ties: another seed may find another plan.
    pub seed: u64,
    /// The weight of the estimate against the time so far (weighted A*, Pohl 1970), at least 1: 1 for shorter plans, more for an answer sooner;
    /// `None` for the planner's default.
    pub weight: Option<f64>,
    /// The objective of the timing, for the moves that were found.
    pub objective: Objective,
    /// Whether to time the moves one after the other instead of in parallel.
    pub one_by_one: bool,
    /// Whether to return Pareto-optimal timings as well, see [`Report::trade_offs`](crate::Report::trade_offs).
    pub trade_offs: bool,
    /// Effort for shortening a solution, in searches for trips of one module. Only for [`Strategy::Auto`].
    pub shortening: u64,
    /// The search for trip sequences with a shorter makespan ends after this many changes in a row without gain, for a solution of ten trips (ten times as many where modules gather on a deck); 0 for
    /// no such search. Only for [`Strategy::Auto`] and [`Objective::Time`].
    pub patience: u64,
    /// Limit on the memory of stored data, in bytes, estimated from the sizes of its parts; the search ends there.
    pub memory_bytes: u64,
}

impl Default for SolveOptions {
    fn default() -> Self {
        Self {
            strategy: Strategy::Auto,
            seed: 1,
            weight: None,
            objective: Objective::Time,
            one_by_one: false,
            trade_offs: false,
            shortening: 800,
            patience: 400,
            memory_bytes: 2 << 30,
        }
    }
}

impl SolveOptions {
    pub(super) fn of_search(&self) -> Options {
        Options { seed: self.seed, weight: self.weight, ..Options::default() }
    }

    /// Whether solutions are shortened.
    pub(super) fn shortens(&self) -> bool {
        self.strategy == Strategy::Auto && self.shortening > 0
    }

    /// Whether trip sequences with a shorter makespan are searched.
    pub(super) fn rearranges(&self) -> bool {
        self.strategy == Strategy::Auto
            && self.objective == Objective::Time
            && !self.one_by_one
            && self.patience > 0
    }
}
