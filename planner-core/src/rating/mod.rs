//! From pull tests to the rated holds of a kind (`docs/rating.md`).
//!
//! A *series* is all pulls of one hold on one surface at one angle and offset. Each series has a lower tolerance limit: with a stated confidence, a stated share
//! of all pulls is stronger. The rated holds are the numbers of a kind with which the capacity of the model (section 5) lies nowhere above such a limit.
//!
//! This layer knows the numbers of a kind, and nothing of scenes or plans.

mod comparison;
mod figure;
mod holds;
mod limit;
mod needed;
mod options;
mod pull;
mod rate;
mod remarks;
mod rocking;
mod rounding;
mod sample;
mod series;
mod trend;

pub mod statistics;

pub use comparison::Comparison;
pub use figure::{Figure, FigureName};
pub use limit::{LimitMethod, NormalHow, NormalLimit, OrderLimit};
pub use needed::{Gain, LEAST_KNOWN, LEAST_MODULES, Needed};
pub use options::{OptionError, RatingOptions};
pub use pull::{Ending, Pull, PullFault, PullTests, range_fault};
pub use rate::{DroppedPull, Rating, RatingError, rate};
pub use rocking::Rocking;
pub use rounding::rounded_down;
pub use series::{Series, TestKind};
pub use trend::{Trend, pulls_in_time};
