//! The moves a module can make.

use super::Planted;
use crate::math::DVec2;
use crate::model::{Body, GroundId};

/// A move of one module.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Move {
    /// Rotation about body z, right-handed, with all that stands on the module.
    Yaw {
        /// Angle, in radians.
        angle_rad: f64,
    },
    /// A drive along the host's surface, with all that stands on the module.
    Slide {
        /// Path length of the sole in metres, forward positive.
        travel_m: f64,
        /// Geodesic curvature of the path in 1/m, left positive.
        curvature_per_m: f64,
    },
    /// A change of host: the foot goes over to another body, and the centre stays where it is.
    Hop {
        /// The new host.
        to: Body,
    },
    /// A drive straight over an edge from one ground to another.
    Cross {
        /// The new ground.
        to: GroundId,
        /// The whole way of the sole's centre seen from above in metres, forward positive.
        travel_m: f64,
    },
    /// A step of a formed machine: the mover's foot lifts, planted modules roll, and the foot comes down on another place.
    Stride {
        /// The way the planted modules roll, a unit vector seen from above.
        direction: DVec2,
        /// The angle by which they turn, in radians; negative for backwards.
        angle_rad: f64,
        /// The modules that roll on their decks.
        planted: Planted,
        /// The ground on which the mover's foot comes down.
        to: GroundId,
    },
    /// Evacuates the cup.
    Brace,
    /// Vents the cup.
    Release,
}

impl Move {
    /// A slide of no length: its load is that of the place while the module drives there.
    pub const DRIVE_ON_THE_SPOT: Self = Self::Slide { travel_m: 0.0, curvature_per_m: 0.0 };

    /// The name of the move in files.
    #[must_use]
    pub const fn word(&self) -> &'static str {
        match self {
            Self::Yaw { .. } => "yaw",
            Self::Slide { .. } => "slide",
            Self::Hop { .. } => "hop",
            Self::Cross { .. } => "cross",
            Self::Stride { .. } => "stride",
            Self::Brace => "brace",
            Self::Release => "release",
        }
    }

    /// Whether the motion factor applies to gravity while this is under way.
    #[must_use]
    pub const fn shakes(&self) -> bool {
        !matches!(self, Self::Brace | Self::Release)
    }

    /// The way of the sole's centre in metres, of a cross seen from above; 0 where it has none.
    #[must_use]
    pub const fn travel_m(&self) -> f64 {
        match *self {
            Self::Slide { travel_m, .. } | Self::Cross { travel_m, .. } => travel_m,
            _ => 0.0,
        }
    }

    /// Whether the module goes over from one host to another, with its load looked at before and after.
    #[must_use]
    pub const fn changes_host(&self) -> bool {
        matches!(self, Self::Hop { .. } | Self::Cross { .. })
    }

    /// The host that it leads to, if it changes it.
    #[must_use]
    pub const fn new_host(&self) -> Option<Body> {
        match *self {
            Self::Hop { to } => Some(to),
            Self::Cross { to, .. } | Self::Stride { to, .. } => Some(Body::Ground(to)),
            _ => None,
        }
    }

    /// Whether it moves all that stands on the mover: slides, yaws and strides.
    #[must_use]
    pub const fn sweeps(&self) -> bool {
        matches!(self, Self::Yaw { .. } | Self::Slide { .. } | Self::Stride { .. })
    }
}
