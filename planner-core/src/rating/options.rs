//! What is asked of a rating.

use super::limit::LimitMethod;
use thiserror::Error;

/// What is asked of a rating.
#[derive(Clone, Debug, PartialEq)]
pub struct RatingOptions {
    /// The share of all pulls that shall be stronger than a limit, in `(0.5, 1)`.
    pub share: f64,
    /// The confidence in that, in `(0.5, 1)`.
    pub confidence: f64,
    /// Whether the confidence is that in all series together (Bonferroni), not in each by itself.
    pub joint: bool,
    /// How limits are found.
    pub method: LimitMethod,
    /// The surfaces that count; none named: all.
    pub surfaces: Vec<String>,
    /// Surfaces whose pulls make one series: each list is one.
    pub merged: Vec<Vec<String>>,
    /// A free column whose values are compared within each series.
    pub compared: Option<String>,
    /// The radius of the kind's foot, where it is known.
    pub foot_radius_m: Option<f64>,
    /// The area of the kind's cup, where it is known.
    pub cup_area_m2: Option<f64>,
}

impl Default for RatingOptions {
    fn default() -> Self {
        Self {
            share: 0.95,
            confidence: 0.95,
            joint: false,
            method: LimitMethod::Normal,
            surfaces: Vec::new(),
            merged: Vec::new(),
            compared: None,
            foot_radius_m: None,
            cup_area_m2: None,
        }
    }
}

/// An option that makes no sense.
#[derive(Clone, Debug, PartialEq, Error)]
#[non_exhaustive]
pub enum OptionError {
    /// A share or a confidence out of range.
    #[error("{name} is {value}; above 0.5 and below 1 is allowed; 0.95 is usual")]
    Probability {
        /// Which.
        name: &'static str,
        /// Its value.
        value: f64,
    },
    /// A surface that no pull has.
    #[error("no pull is on a surface {name:?}; the surfaces of the pulls are {known}; name one of these")]
    Surface {
        /// The name that was given.
        name: String,
        /// Those that there are.
        known: String,
    },
    /// A surface that is merged twice, or with nothing.
    #[error("{name:?} is merged twice or alone; a surface may be merged once, with others; name each once")]
    Merged {
        /// The surface.
        name: String,
    },
    /// A column that no pull has.
    #[error("no pull has a column {name:?}; the free columns are {known}; name one of these")]
    Column {
        /// The name that was given.
        name: String,
        /// Those that there are.
        known: String,
    },
}
