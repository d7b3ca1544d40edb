//! The rocking stiffness of a bond, from pulls in which a dial gauge was read.

use super::limit::{self, NormalLimit};
use super::options::RatingOptions;
use super::pull::{Ending, Pull};
use super::sample::Sample;
use serde::Serialize;

/// How stiff bonds are against tilting moments, over all holds and surfaces that were pulled. A kind has no such field: `whatif` takes it as an option.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Rocking {
    /// The modules that were pulled.
    pub modules: usize,
    /// The pulls with a reading.
    pub pulls: usize,
    /// The mean over modules, in N·m/rad.
    pub mean: f64,
    /// The lower tolerance limit, in N·m/rad: droop is worked out with the softest bond that there may be. Absent with fewer than two modules, or where it is not above 0.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub limit: Option<f64>,
}

/// The stiffness, as moment about the sole over the angle that the gauge gives; `None` without readings.
pub(super) fn rocking(pulls: &[&Pull], options: &RatingOptions, confidence: f64) -> Option<Rocking> {
    let stiff = |pull: &&Pull| {
        let turn_rad = pull.tilt_deg.filter(|_| pull.offset_m > 0.0)?.to_radians();
        Some(Pull {
            force_n: pull.force_n * pull.offset_m / turn_rad,
            ending: Ending::CameOff,
            ..(*pull).clone()
        })
    };
    let read: Vec<Pull> = pulls.iter().filter_map(stiff).collect();
    let sample = Sample::new(&read);
    let means = sample.means();
    if means.is_empty() {
        return None;
    }
    let limit = limit::normal(&sample, options.share, confidence).map(|NormalLimit { limit_n, .. }| limit_n);
    Some(Rocking {
        modules: sample.modules(),
        pulls: sample.pulls(),
        mean: means.iter().sum::<f64>() / means.len() as f64,
        limit: limit.filter(|limit| *limit > 0.0),
    })
}
