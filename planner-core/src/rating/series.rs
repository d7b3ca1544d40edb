//! A series: all pulls of one hold on one surface at one angle and offset.

use super::limit::{self, LimitMethod, NormalLimit, OrderLimit};
use super::needed::Needed;
use super::options::RatingOptions;
use super::pull::Pull;
use super::sample::Sample;
use super::statistics::{Summary, grubbs_critical, grubbs_lowest};
use crate::model::Hold;
use serde::Serialize;

/// What a pull tests.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum TestKind {
    /// Along the normal through the centre: the adhesion.
    Axial,
    /// Along the normal beside the centre: the peel radius.
    Eccentric,
    /// At an angle through the sole's centre: the friction.
    Angled,
}

/// A series and its limits.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Series {
    /// What it tests.
    pub test: TestKind,
    /// `rolling` or `braced`.
    pub hold: &'static str,
    /// The surface, or the surfaces that were merged.
    pub surface: String,
    /// The angle from the normal.
    pub angle_deg: f64,
    /// How far beside the centre.
    pub offset_m: f64,
    /// The number of modules.
    pub modules: usize,
    /// The number of pulls that count.
    pub pulls: usize,
    /// How many of them held.
    pub held: usize,
    /// The mean of the modules' means; of pulls that held, the force at which the rig stopped.
    pub mean_n: f64,
    /// The standard deviation of a pull of any module.
    pub sd_n: Option<f64>,
    /// The skewness of the modules' means.
    pub skewness: Option<f64>,
    /// The limit from a normal distribution.
    pub normal: Option<NormalLimit>,
    /// The limit from a log-normal distribution, where it was asked for.
    pub log_normal: Option<NormalLimit>,
    /// What order statistics say.
    pub order: OrderLimit,
    /// The limit that rates, never below 0; `None` if the series is too small for that.
    pub limit_n: Option<f64>,
    /// What it still needs.
    pub needed: Needed,
    /// Modules whose mean is so low that one in twenty normal series would have such a one (Grubbs).
    pub flagged: Vec<String>,
    /// Its pulls, as indices of the tests.
    #[serde(skip)]
    pub members: Vec<usize>,
}

/// Significance at which a low module is flagged.
const FLAGGED: f64 = 0.05;

impl Series {
    /// Of these pulls, of which there is at least one; all are of one hold, angle and offset.
    pub(super) fn new(
        pulls: &[(usize, &Pull)],
        surface: &str,
        options: &RatingOptions,
        confidence: f64,
    ) -> Option<Self> {
        let first = pulls.first()?.1;
        let sample = Sample::new(pulls.iter().map(|(_, pull)| *pull));
        let summary = Summary::of(&sample.means())?;
        let order = limit::order(&sample, options.share, confidence)?;
        let normal = limit::normal(&sample, options.share, confidence);
        let log_normal = (options.method == LimitMethod::LogNormal)
            .then(|| limit::log_normal(&sample, options.share, confidence))
            .flatten();
        let needed = Needed::of(&sample, normal.as_ref(), options.share, confidence);
        let limit = match options.method {
            LimitMethod::Order => order.limit_n,
            LimitMethod::Normal => normal.filter(|_| needed.is_enough()).map(|limit| limit.limit_n),
            LimitMethod::LogNormal => log_normal.filter(|_| needed.is_enough()).map(|limit| limit.limit_n),
        };
        Some(Self {
            test: TestKind::of(first),
            hold: first.hold.word(),
            surface: surface.to_owned(),
            angle_deg: first.angle_deg,
            offset_m: first.offset_m,
            modules: sample.modules(),
            pulls: sample.pulls(),
            held: sample.held(),
            mean_n: summary.mean,
            sd_n: sample.mean_and_sd().map(|(_, sd)| sd),
            skewness: summary.skewness,
            normal,
            log_normal,
            order,
            limit_n: limit.map(|limit| limit.max(0.0)),
            needed,
            flagged: flagged(&sample),
            members: pulls.iter().map(|(index, _)| *index).collect(),
        })
    }

    /// `axial, rolling, dry shell`.
    #[must_use]
    pub fn name(&self) -> String {
        format!("{}, {}, {}", self.test.words(self.angle_deg, self.offset_m), self.hold, self.surface)
    }

    pub(super) fn is_braced(&self) -> bool {
        self.hold == Hold::Braced.word()
    }
}

impl TestKind {
    pub(super) fn of(pull: &Pull) -> Self {
        match (pull.angle_deg == 0.0, pull.offset_m == 0.0) {
            (true, true) => Self::Axial,
            (true, false) => Self::Eccentric,
            (false, _) => Self::Angled,
        }
    }

    /// `eccentric 40 mm`.
    pub(super) fn words(self, angle_deg: f64, offset_m: f64) -> String {
        match self {
            Self::Axial => "axial".into(),
            Self::Eccentric => format!("eccentric {:.1} mm", 1e3 * offset_m).replace(".0 mm", " mm"),
            Self::Angled => format!("angled {angle_deg}°"),
        }
    }
}

/// The lowest module, if it is an outlier.
fn flagged(sample: &Sample) -> Vec<String> {
    let means = sample.means();
    let is_out = grubbs_lowest(&means)
        .zip(grubbs_critical(means.len(), FLAGGED))
        .is_some_and(|(distance, critical)| distance > critical);
    let lowest = sample.named_means().min_by(|a, b| a.1.total_cmp(&b.1));
    lowest.filter(|_| is_out).map(|(module, _)| module.to_owned()).into_iter().collect()
}
