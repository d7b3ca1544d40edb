//! The lower tolerance limits of a series.

use super::sample::Sample;
use super::statistics::{
    fit_censored, order_confidence, order_rank, order_size, tolerance_factor, type_ii_factor,
};
use crate::math::{exp, ln};
use serde::Serialize;

/// How limits are found.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum LimitMethod {
    /// From a normal distribution.
    #[default]
    Normal,
    /// From order statistics: no distribution is assumed.
    Order,
    /// From a log-normal distribution.
    LogNormal,
}

impl LimitMethod {
    /// All of them.
    pub const ALL: [Self; 3] = [Self::Normal, Self::Order, Self::LogNormal];

    /// The word for it.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Normal => "normal",
            Self::Order => "order",
            Self::LogNormal => "log-normal",
        }
    }
}

/// What a normal limit rests on.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum NormalHow {
    /// One pull of each module, all of which came off: the factor is exact.
    OnePullEach,
    /// Several pulls of a module: the spread between and within modules, with the number of modules.
    SeveralPulls,
    /// Some pulls held: maximum likelihood from the lowest pull of each module.
    SomeHeld,
}

/// A limit `mean − factor · sd`.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct NormalLimit {
    /// The limit.
    pub limit_n: f64,
    /// The mean that it starts from; of a log-normal limit that of the logarithms.
    pub mean: f64,
    /// The standard deviation, likewise.
    pub sd: f64,
    /// The factor `k`.
    pub factor: f64,
    /// What it rests on.
    pub how: NormalHow,
}

/// What order statistics say.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct OrderLimit {
    /// The lowest pull.
    pub least_n: f64,
    /// The confidence with which the share is stronger than the lowest pull.
    pub least_confidence: f64,
    /// Which of the lowest pulls, counted from 1, reaches the confidence that is asked for.
    pub rank: Option<usize>,
    /// Its force: the limit.
    pub limit_n: Option<f64>,
    /// The number of modules from which the lowest pull is a limit.
    pub modules_needed: Option<usize>,
}

/// The limit from a normal distribution; `None` where there are too few values.
pub(super) fn normal(sample: &Sample, share: f64, confidence: f64) -> Option<NormalLimit> {
    let n = sample.modules();
    let (mean, sd, factor, how) = if sample.held() > 0 {
        let lowest = sample.lowest();
        let part = |held: bool| -> Vec<f64> { lowest.iter().filter(|v| v.1 == held).map(|v| v.0).collect() };
        let (known, exceeded) = (part(false), part(true));
        let fit = fit_censored(&known, &exceeded)?;
        let factor = type_ii_factor(n, known.len(), share, confidence)?;
        (fit.mean, fit.sd, factor, NormalHow::SomeHeld)
    } else {
        let (mean, sd) = sample.mean_and_sd()?;
        let how = if sample.has_repeats() { NormalHow::SeveralPulls } else { NormalHow::OnePullEach };
        (mean, sd, tolerance_factor(n, share, confidence)?, how)
    };
    Some(NormalLimit { limit_n: mean - factor * sd, mean, sd, factor, how })
}

/// The limit from a log-normal distribution; `None` also where a force is 0.
pub(super) fn log_normal(sample: &Sample, share: f64, confidence: f64) -> Option<NormalLimit> {
    if sample.forces().iter().any(|force| *force <= 0.0) {
        return None;
    }
    let limit = normal(&sample.map(ln), share, confidence)?;
    Some(NormalLimit { limit_n: exp(limit.limit_n), ..limit })
}

/// What the lowest pulls say; `None` without pulls.
///
/// The lowest pull of each module counts. A pull that held is taken with the force at which the rig stopped, which its true hold exceeds: that can only lower a
/// limit from order statistics.
pub(super) fn order(sample: &Sample, share: f64, confidence: f64) -> Option<OrderLimit> {
    let lowest = sample.lowest();
    let n = lowest.len();
    let rank = order_rank(n, share, confidence);
    Some(OrderLimit {
        least_n: lowest.first()?.0,
        least_confidence: order_confidence(n, 1, share),
        rank,
        limit_n: rank.map(|rank| lowest[rank - 1].0),
        modules_needed: order_size(1, share, confidence),
    })
}
