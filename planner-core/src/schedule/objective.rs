//! What a timed plan is to be best in.

use crate::plan::Summary;

/// What a timed plan is to be best in; the others break ties.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Objective {
    /// The makespan.
    #[default]
    Time,
    /// The energy of moves, braces and idling.
    Energy,
    /// The number of moves, braces and releases among them.
    Moves,
    /// The worst utilisation: more is left of the holds.
    Margin,
}

/// Values nearer than this are equal: seconds, joules, utilisation.
const SAME: f64 = 1e-6;

impl Objective {
    /// All of them with their words.
    pub const ALL: [(Self, &'static str); 4] =
        [(Self::Time, "time"), (Self::Energy, "energy"), (Self::Moves, "moves"), (Self::Margin, "margin")];

    /// Whether one plan's figures are better than another's.
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

/// Whether one plan is at least as good in everything and better in something.
#[must_use]
pub fn dominates(a: &Summary, b: &Summary) -> bool {
    let pairs: Vec<(f64, f64)> = values(a).into_iter().zip(values(b)).collect();
    pairs.iter().all(|(a, b)| *a <= b + SAME) && pairs.iter().any(|(a, b)| *a < b - SAME)
}

fn values(s: &Summary) -> [f64; 4] {
    [s.makespan_s, s.energy_j, s.moves as f64, s.utilisation]
}
