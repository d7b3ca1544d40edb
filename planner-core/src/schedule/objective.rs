//! Objectives of a timed plan.

use crate::plan::Summary;

/// The objective of a timed plan; the other figures break ties.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
#[non_exhaustive]
pub enum Objective {
    /// Least makespan.
    #[default]
    Time,
    /// Least energy of moves, braces and idling.
    Energy,
    /// Fewest moves, including braces and releases.
    Moves,
    /// Least worst utilisation: the largest margin of the holds.
    Margin,
}

/// Values nearer than this are equal: seconds, joules, utilisation.
const SAME: f64 = 1e-6;

impl Objective {
    /// All objectives with their names.
    pub const ALL: [(Self, &'static str); 4] =
        [(Self::Time, "time"), (Self::Energy, "energy"), (Self::Moves, "moves"), (Self::Margin, "margin")];

    /// Whether the figures of plan `a` are better than those of `b`.
    #[must_use]
    pub fn prefers(self, a: &Summary, b: &Summary) -> bool {
        let (a, b) = (self.ranked(a), self.ranked(b));
        let differs = a.iter().zip(&b).find(|(a, b)| (**a - **b).abs() > SAME);
        differs.is_some_and(|(a, b)| a < b)
    }

    fn ranked(self, s: &Summary) -> [f64; 4] {
        let [time, energy, moves, margin] = values(s);
        match self {
            Self::Time => [time, moves, energy, margin],
            Self::Energy => [energy, time, moves, margin],
            Self::Moves => [moves, time, energy, margin],
            Self::Margin => [margin, time, moves, energy],
        }
    }
}

/// Whether plan `a` dominates `b`: at least as good in every figure and better in one (Pareto dominance).
#[must_use]
pub fn dominates(a: &Summary, b: &Summary) -> bool {
    let pairs: Vec<(f64, f64)> = values(a).into_iter().zip(values(b)).collect();
    pairs.iter().all(|(a, b)| *a <= b + SAME) && pairs.iter().any(|(a, b)| *a < b - SAME)
}

fn values(s: &Summary) -> [f64; 4] {
    [s.makespan_s, s.energy_j, s.moves as f64, s.utilisation]
}
