//! The five moves a module can make.

use crate::model::Body;

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
            Self::Brace => "brace",
            Self::Release => "release",
        }
    }

    /// Whether the motion factor applies to gravity while this is under way.
    #[must_use]
    pub const fn shakes(&self) -> bool {
        matches!(self, Self::Yaw { .. } | Self::Slide { .. } | Self::Hop { .. })
    }

    /// Whether centres move, or a group turns, continuously: slides and yaws.
    #[must_use]
    pub const fn sweeps(&self) -> bool {
        matches!(self, Self::Yaw { .. } | Self::Slide { .. })
    }
}
