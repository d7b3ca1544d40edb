//! Statistics of small samples. Plain numbers in and out; nothing here knows of pulls.

mod censored;
mod fit_line;
mod grubbs;
mod normal;
mod order;
mod summary;
mod tolerance_factor;
mod welch;

pub use censored::{CensoredFit, fit_censored, type_ii_factor};
pub use fit_line::{Slope, slope_within_groups, slope_within_groups_and_subjects};
pub use grubbs::{grubbs_critical, grubbs_lowest};
pub use normal::{ln_survival, normal_cdf, normal_density, normal_hazard, normal_quantile};
pub use order::{order_confidence, order_rank, order_size};
pub use summary::{Summary, plotting_positions};
pub use tolerance_factor::tolerance_factor;
pub use welch::{Welch, welch};
