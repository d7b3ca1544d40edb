//! How many more modules a series needs, and what they would gain.

use super::limit::{NormalHow, NormalLimit};
use super::sample::Sample;
use super::statistics::{normal_quantile, tolerance_factor};
use serde::Serialize;

/// The least number of modules of which a series is rated.
pub const LEAST_MODULES: usize = 5;
/// The least number of them whose lowest pull must come off.
pub const LEAST_KNOWN: usize = 3;

/// Sizes for which the gain is told.
const SIZES: [usize; 5] = [5, 10, 20, 40, 80];

/// How many more modules a series needs.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Needed {
    /// More modules, to be rated at all.
    pub more_modules: usize,
    /// More modules whose lowest pull comes off, where the rig stopped too often.
    pub more_known: usize,
    /// The limit that a larger series would be expected to have.
    pub gains: Vec<Gain>,
    /// What that comes to in the end: the share's own force, if mean and standard deviation were known.
    pub most_n: Option<f64>,
}

/// What a larger series would gain if mean and standard deviation stayed as they are.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Gain {
    /// The number of modules.
    pub modules: usize,
    /// The limit.
    pub limit_n: f64,
}

impl Needed {
    pub(super) fn of(sample: &Sample, limit: Option<&NormalLimit>, share: f64, confidence: f64) -> Self {
        let n = sample.modules();
        let known = sample.lowest().iter().filter(|(_, held)| !held).count();
        let told = limit.filter(|limit| limit.how != NormalHow::SomeHeld);
        let gain = |modules: usize| {
            let limit = told?;
            let factor = tolerance_factor(modules, share, confidence)?;
            Some(Gain { modules, limit_n: limit.mean - factor * limit.sd })
        };
        Self {
            more_modules: LEAST_MODULES.saturating_sub(n),
            more_known: LEAST_KNOWN.saturating_sub(known),
            gains: SIZES.into_iter().filter(|size| *size > n).filter_map(gain).collect(),
            most_n: told.map(|limit| limit.mean - normal_quantile(share) * limit.sd),
        }
    }

    /// Whether the series is large enough to be rated.
    #[must_use]
    pub const fn is_enough(&self) -> bool {
        self.more_modules == 0 && self.more_known == 0
    }
}
