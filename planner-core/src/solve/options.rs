//! What may be asked of `solve`.

use super::Portfolio;
use crate::model::Problem;
use crate::schedule::Objective;
use crate::search::{Options, Planner, PlannerName};

/// Who searches.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
#[non_exhaustive]
pub enum Strategy {
    /// All planners side by side, and then better plans than they found.
    #[default]
    Auto,
    /// One planner only.
    Single(PlannerName),
}

impl Strategy {
    /// All of them with their names in files and on the command line.
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

    /// The planner itself.
    #[must_use]
    pub fn planner(self) -> Box<dyn Planner> {
        match self {
            Self::Auto => Box::new(Portfolio),
            Self::Single(planner) => planner.planner(),
        }
    }
}

/// Choices for [`solve`](crate::solve()); the defaults suit most scenes.
///
/// ```
/// use clamber_core::{Objective, SolveOptions};
///
/// let options = SolveOptions { seed: 7, objective: Objective::Energy, ..SolveOptions::default() };
/// assert!(!options.one_by_one);
/// ```
#[derive(Clone, Debug, PartialEq)]
pub struct SolveOptions {
    /// Who searches.
    pub strategy: Strategy,
    /// Breaks ties: another seed may find another plan.
    pub seed: u64,
    /// The weight of the estimated rest of the way against the way so far (weighted A*), at least 1: 1 for shorter plans, more for an answer
    /// sooner; `None` for what suits the planner.
    pub weight: Option<f64>,
    /// What the timing is to be best in, with the moves that were found.
    pub objective: Objective,
    /// Whether to time the moves one after the other.
    pub one_by_one: bool,
    /// Whether timings are wanted of which none is better in everything.
    pub trade_offs: bool,
    /// Searches for trips of one module that may be spent on shortening a solution. Only for [`Strategy::Auto`].
    pub shortening: u64,
    /// Changes in a row without gain after which the search for other trips that end sooner side by side ends, where there are ten trips; 0 for no
    /// such search. Only for [`Strategy::Auto`], goals of slots and [`Objective::Time`].
    pub patience: u64,
    /// Most memory for what is kept, in bytes, reckoned from the sizes of what is kept; the search ends there.
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

    /// Whether other trips are looked for that end sooner side by side. Where a crew has to get to another deck, which module helps which leaves
    /// no choice that is worth the time.
    pub(super) fn rearranges(&self, problem: &Problem) -> bool {
        self.strategy == Strategy::Auto
            && problem.goal.gather.is_none()
            && self.objective == Objective::Time
            && !self.one_by_one
            && self.patience > 0
    }
}
