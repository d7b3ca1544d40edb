//! How wide plots are, in pixels.

pub(crate) const WIDTH: f64 = 480.0;
pub(crate) const LEFT: f64 = 48.0;
pub(crate) const RIGHT: f64 = 14.0;
