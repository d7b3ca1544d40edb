//! Every tolerance of the model, in one place. The values are those of the model page, sections 4, 6 and 9.

/// How far a centre may be from its nominal distance to a host, and how deep shells may overlap, in metres.
pub const LENGTH_M: f64 = 1e-6;
/// How far a body axis may be from its nominal direction, in radians.
pub const ANGLE_RAD: f64 = 1e-6;
/// How far the heading may be from square to the pivot axis of a hop, in radians.
pub const HOP_HEADING_RAD: f64 = 1e-3;
/// Agreement asked of a utilisation.
pub const UTILISATION: f64 = 1e-6;
/// Agreement asked of instants, in seconds.
pub const TIME_S: f64 = 1e-7;
/// Relative agreement asked of durations and sums.
pub const RELATIVE: f64 = 1e-6;
/// How far a module's centre may be from the place of the slot it fills, in metres.
pub const SLOT_M: f64 = 1e-3;
/// Two configurations are the same shape when their centres agree within this, in metres.
pub const SAME_PLACE_M: f64 = 1e-4;
/// A projected direction shorter than this (of a unit vector) has projected to nothing.
pub const NOTHING: f64 = 1e-9;
