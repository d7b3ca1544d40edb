//! What fails, and when.

use clamber_core::unstable::math::SplitMix64;
use clap::ValueEnum;

/// A sort of fault.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, ValueEnum)]
pub(crate) enum FaultWord {
    /// The cup of a module holds no longer
    Cup,
    /// A move stops on its way
    Stall,
    /// A module can no longer move by itself
    Stuck,
    /// A module can no longer drive
    Drive,
    /// A module can no longer turn
    Yaw,
    /// A module does not report the end of its move
    Lost,
}

/// A fault at an instant.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Fault {
    pub(crate) at_s: f64,
    pub(crate) word: FaultWord,
}

/// How likely each sort of fault is to come in a run.
const CHANCE: f64 = 0.5;

/// The faults of a run within a time, the first first; at least one where some may come.
pub(crate) fn draw(words: &[FaultWord], within_s: f64, dice: &mut SplitMix64) -> Vec<Fault> {
    if words.is_empty() {
        return Vec::new();
    }
    let sure = dice.below(words.len());
    let mut faults: Vec<Fault> = Vec::new();
    for (index, &word) in words.iter().enumerate() {
        let (at_s, comes) = (dice.between(0.0, within_s), dice.between(0.0, 1.0) < CHANCE);
        if comes || index == sure {
            faults.push(Fault { at_s, word });
        }
    }
    faults.sort_by(|a, b| a.at_s.total_cmp(&b.at_s));
    faults
}
