//! Every tolerance of the model, in one place. The values are those of the model, sections 4, 6 and 9.

/// Greatest deviation of a centre from its nominal distance to a host, and greatest overlap of shells, in metres.
pub const LENGTH_M: f64 = 1e-6;
/// Greatest deviation of a body axis from its nominal direction, in radians.
pub const ANGLE_RAD: f64 = 1e-6;
/// Greatest deviation of the heading from square to the pivot axis of a hop, in radians.
pub const HOP_HEADING_RAD: f64 = 1e-3;
/// Tolerance of a utilisation.
pub const UTILISATION: f64 = 1e-6;
/// Tolerance of instants, in seconds.
pub const TIME_S: f64 = 1e-7;
/// Relative tolerance of durations and sums.
pub const RELATIVE: f64 = 1e-6;
/// Greatest distance of a module's centre from the place of the slot that it fills, in metres.
pub const SLOT_M: f64 = 1e-3;
/// Two configurations have the same shape when their centres agree within this, in metres.
pub const SAME_PLACE_M: f64 = 1e-4;
/// A projected unit vector shorter than this counts as zero.
pub const NOTHING: f64 = 1e-9;
