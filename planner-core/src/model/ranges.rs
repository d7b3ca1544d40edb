//! The ranges of the numbers of a problem. The files' schema has the same ranges, in the files' units; a test compares them.

use super::invalid::{Allowed, from_to};
use super::{Kind, Limits, Site};
use std::f64::consts::{FRAC_PI_4, PI};
use std::ops::Bound;

/// Largest magnitude of a length, mass, force, time and so on.
pub(crate) const HUGE: f64 = 1e6;
/// Smallest value of a quantity that must not be zero.
pub(crate) const TINY: f64 = 1e-6;
/// Most modules, decks, kinds or slots.
pub(crate) const LARGEST: usize = 4096;
/// Longest name, in characters.
pub(crate) const NAME_LENGTH: usize = 200;
/// Most corners of an outline.
pub(crate) const CORNERS: usize = 1024;

const POSITIVE: Allowed = from_to(TINY, HUGE);
const NOT_NEGATIVE: Allowed = from_to(0.0, HUGE);
const ANY: Allowed = from_to(-HUGE, HUGE);
const FRICTION: Allowed = from_to(0.0, 10.0);
const FACTOR: Allowed = from_to(1.0, 1000.0);
const TURN: Allowed = from_to(0.0, PI);
const TILT: Allowed = (Bound::Included(0.0), Bound::Excluded(FRAC_PI_4));
const SHARE: Allowed = (Bound::Excluded(0.0), Bound::Included(1.0));

/// Ranges of coordinates and heights.
pub(crate) const COORDINATE: Allowed = ANY;
/// Range of payloads.
pub(crate) const PAYLOAD: Allowed = NOT_NEGATIVE;
/// Range of a deck's friction.
pub(crate) const DECK_FRICTION: Allowed = FRICTION;

/// A field of a type: its name, its value and its range.
pub(crate) type Field<T> = (&'static str, fn(&T) -> f64, Allowed);

/// The fields of a site.
pub(crate) const SITE: [Field<Site>; 2] = [
    ("altitude_m", |site| site.altitude_m, from_to(-2000.0, 11_000.0)),
    ("gravity_mps2", |site| site.gravity_mps2, from_to(TINY, 1000.0)),
];

/// The fields of limits but for the recovery factor.
pub(crate) const LIMITS: [Field<Limits>; 6] = [
    ("hold_factor", |limits| limits.hold_factor, FACTOR),
    ("sway_rad", |limits| limits.sway_rad, TILT),
    ("motion_factor", |limits| limits.motion_factor, FACTOR),
    ("motion_tilt_rad", |limits| limits.motion_tilt_rad, TILT),
    ("touch_tol_m", |limits| limits.touch_tol_m, from_to(0.0, 0.01)),
    ("clearance_m", |limits| limits.clearance_m, from_to(0.0, 1.0)),
];

/// The fields of a kind.
pub(crate) const KIND: [Field<Kind>; 29] = [
    ("shell_radius_m", |kind| kind.shell_radius_m, POSITIVE),
    ("ride_height_m", |kind| kind.ride_height_m, POSITIVE),
    ("foot_radius_m", |kind| kind.foot_radius_m, POSITIVE),
    ("mass_kg", |kind| kind.mass_kg, POSITIVE),
    ("com_height_m", |kind| kind.com_height_m, ANY),
    ("shell_reach_rad", |kind| kind.shell_reach_rad, TURN),
    ("hop_limit_rad", |kind| kind.hop_limit_rad, TURN),
    ("magnet_force_n", |kind| kind.magnet_force_n, NOT_NEGATIVE),
    ("cup_area_m2", |kind| kind.cup_area_m2, NOT_NEGATIVE),
    ("cup_vacuum_pa", |kind| kind.cup_vacuum_pa, NOT_NEGATIVE),
    ("bond_friction", |kind| kind.bond_friction, FRICTION),
    ("shell_friction", |kind| kind.shell_friction, FRICTION),
    ("hop_hold", |kind| kind.hop_hold, SHARE),
    ("ramp_time_s", |kind| kind.ramp_time_s, NOT_NEGATIVE),
    ("peel_radius_m", |kind| kind.peel_radius_m, POSITIVE),
    ("drive_force_n", |kind| kind.drive_force_n, NOT_NEGATIVE),
    ("yaw_torque_rolling_nm", |kind| kind.yaw_torque_rolling_nm, NOT_NEGATIVE),
    ("yaw_torque_braced_nm", |kind| kind.yaw_torque_braced_nm, NOT_NEGATIVE),
    ("slide_speed_mps", |kind| kind.slide_speed_mps, POSITIVE),
    ("yaw_rate_rolling_radps", |kind| kind.yaw_rate_rolling_radps, POSITIVE),
    ("yaw_rate_braced_radps", |kind| kind.yaw_rate_braced_radps, POSITIVE),
    ("hop_time_s", |kind| kind.hop_time_s, NOT_NEGATIVE),
    ("brace_time_s", |kind| kind.brace_time_s, NOT_NEGATIVE),
    ("release_time_s", |kind| kind.release_time_s, NOT_NEGATIVE),
    ("drive_power_w", |kind| kind.drive_power_w, NOT_NEGATIVE),
    ("yaw_power_w", |kind| kind.yaw_power_w, NOT_NEGATIVE),
    ("hop_power_w", |kind| kind.hop_power_w, NOT_NEGATIVE),
    ("brace_energy_j", |kind| kind.brace_energy_j, NOT_NEGATIVE),
    ("idle_power_w", |kind| kind.idle_power_w, NOT_NEGATIVE),
];
