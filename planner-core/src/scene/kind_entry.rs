//! The parameters of a kind of module, with the field names of the file.

use super::ranges::{HUGE, TINY};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// A kind of module.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct KindEntry {
    /// The radius of the shell in metres.
    #[schemars(extend("minimum" = TINY, "maximum" = HUGE))]
    pub shell_radius_m: f64,
    /// The distance in metres of the sole below the centre, not less than the shell's radius.
    #[schemars(extend("minimum" = TINY, "maximum" = HUGE))]
    pub ride_height_m: f64,
    /// The radius in metres of the disc as which the foot acts, not more than the shell's.
    #[schemars(extend("minimum" = TINY, "maximum" = HUGE))]
    pub foot_radius_m: f64,
    /// The mass without payload in kilograms.
    #[schemars(extend("minimum" = TINY, "maximum" = HUGE))]
    pub mass_kg: f64,
    /// The place of the centre of mass along body z in metres, from the sole (negative) to the top of the shell.
    #[schemars(extend("minimum" = -HUGE, "maximum" = HUGE))]
    pub com_height_m: f64,
    /// The angle in degrees from its own +z within which others may stand on this shell.
    #[schemars(extend("minimum" = 0.0, "maximum" = 180.0))]
    pub shell_reach_deg: f64,
    /// The largest pivot of a hop in degrees.
    #[schemars(extend("minimum" = 0.0, "maximum" = 180.0))]
    pub hop_limit_deg: f64,
    /// The pull of the magnets on steel in newtons.
    #[schemars(extend("minimum" = 0.0, "maximum" = HUGE))]
    pub magnet_force_n: f64,
    /// The area of the cup in square metres, 0 for no cup.
    #[schemars(extend("minimum" = 0.0, "maximum" = HUGE))]
    pub cup_area_m2: f64,
    /// The vacuum in pascals below ambient that the pump reaches.
    #[schemars(extend("minimum" = 0.0, "maximum" = HUGE))]
    pub cup_vacuum_pa: f64,
    /// The friction of this module's foot on a shell.
    #[schemars(extend("minimum" = 0.0, "maximum" = 10.0))]
    pub bond_friction: f64,
    /// The friction of this shell where it touches another body.
    #[schemars(extend("minimum" = 0.0, "maximum" = 10.0))]
    pub shell_friction: f64,
    /// The share of the adhesion left during a hop.
    #[schemars(extend("exclusiveMinimum" = 0.0, "maximum" = 1.0))]
    pub hop_hold: f64,
    /// The time in seconds that a drive needs from rest to full rate, and back: 0.2 without one.
    #[schemars(extend("minimum" = 0.0, "maximum" = HUGE))]
    #[serde(skip_serializing_if = "Option::is_none")]
    pub ramp_time_s: Option<f64>,
    /// The radius in metres about which the foot peels, not more than the foot's: the foot's without one.
    #[schemars(extend("minimum" = TINY, "maximum" = HUGE))]
    #[serde(skip_serializing_if = "Option::is_none")]
    pub peel_radius_m: Option<f64>,
    /// The highest step in metres between decks that it drives over by itself: 0 without one.
    #[schemars(extend("minimum" = 0.0, "maximum" = HUGE))]
    #[serde(skip_serializing_if = "Option::is_none")]
    pub step_limit_m: Option<f64>,
    /// The largest change of slope in degrees that it drives over: 0 without one.
    #[schemars(extend("minimum" = 0.0, "maximum" = 180.0))]
    #[serde(skip_serializing_if = "Option::is_none")]
    pub crease_limit_deg: Option<f64>,
    /// The duration in seconds of a drive over an edge: that of a hop without one.
    #[schemars(extend("minimum" = 0.0, "maximum" = HUGE))]
    #[serde(skip_serializing_if = "Option::is_none")]
    pub cross_time_s: Option<f64>,
    /// The largest tangential force of the tracks in newtons.
    #[schemars(extend("minimum" = 0.0, "maximum" = HUGE))]
    pub drive_force_n: f64,
    /// The largest torque of a yaw in newton metres, rolling.
    #[schemars(extend("minimum" = 0.0, "maximum" = HUGE))]
    pub yaw_torque_rolling_nm: f64,
    /// The largest torque of a yaw in newton metres, braced.
    #[schemars(extend("minimum" = 0.0, "maximum" = HUGE))]
    pub yaw_torque_braced_nm: f64,
    /// The speed of the sole in a slide in m/s.
    #[schemars(extend("minimum" = TINY, "maximum" = HUGE))]
    pub slide_speed_mps: f64,
    /// The speed of a yaw in rad/s, rolling.
    #[schemars(extend("minimum" = TINY, "maximum" = HUGE))]
    pub yaw_rate_rolling_radps: f64,
    /// The speed of a yaw in rad/s, braced.
    #[schemars(extend("minimum" = TINY, "maximum" = HUGE))]
    pub yaw_rate_braced_radps: f64,
    /// The duration of a hop in seconds.
    #[schemars(extend("minimum" = 0.0, "maximum" = HUGE))]
    pub hop_time_s: f64,
    /// The duration of a brace in seconds.
    #[schemars(extend("minimum" = 0.0, "maximum" = HUGE))]
    pub brace_time_s: f64,
    /// The duration of a release in seconds.
    #[schemars(extend("minimum" = 0.0, "maximum" = HUGE))]
    pub release_time_s: f64,
    /// The power of a slide in watts.
    #[schemars(extend("minimum" = 0.0, "maximum" = HUGE))]
    pub drive_power_w: f64,
    /// The power of a yaw in watts.
    #[schemars(extend("minimum" = 0.0, "maximum" = HUGE))]
    pub yaw_power_w: f64,
    /// The power of a hop in watts.
    #[schemars(extend("minimum" = 0.0, "maximum" = HUGE))]
    pub hop_power_w: f64,
    /// The energy of one brace in joules.
    #[schemars(extend("minimum" = 0.0, "maximum" = HUGE))]
    pub brace_energy_j: f64,
    /// The power in watts of a module that is switched on, whatever it does.
    #[schemars(extend("minimum" = 0.0, "maximum" = HUGE))]
    pub idle_power_w: f64,
}
