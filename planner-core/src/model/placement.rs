//! Placements: the pose of one module, its host and its hold.

use super::{Body, Ground, GroundId, Kind, ModuleId};
use crate::math::{DQuat, DVec2, DVec3, heading_frame};

/// The hold of a bond.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Hold {
    /// Magnets only: the module can move.
    Rolling,
    /// Magnets and the evacuated cup: it holds more, but cannot slide or hop.
    Braced,
}

impl Hold {
    /// The name in files.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Rolling => "rolling",
            Self::Braced => "braced",
        }
    }
}

/// Pose of one module in the world frame, its host and its hold.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Placement {
    /// The shell's centre in the world frame, in metres.
    pub position: DVec3,
    /// Orientation: rotates the body frame into the world frame.
    pub orientation: DQuat,
    /// The body that the foot stands on.
    pub host: Body,
    /// The hold of the bond.
    pub hold: Hold,
}

/// Why a placement cannot be constructed.
#[derive(Clone, Copy, Debug, PartialEq, Eq, thiserror::Error)]
#[non_exhaustive]
pub enum PlacementError {
    /// `facing` is normal to the surface.
    #[error("facing points straight out of the surface, so its projection is nothing")]
    FacingProjectsToNothing,
    /// `toward` is the zero vector.
    #[error("toward has no length, so it gives no direction")]
    TowardIsZero,
}

impl Placement {
    /// Body z in the world frame: the direction away from the foot.
    #[must_use]
    pub fn up(&self) -> DVec3 {
        self.orientation * DVec3::Z
    }

    /// Body x in the world frame: the direction in which the tracks drive.
    #[must_use]
    pub fn heading(&self) -> DVec3 {
        self.orientation * DVec3::X
    }

    /// The sole's centre in the world frame, in metres.
    #[must_use]
    pub fn sole(&self, kind: &Kind) -> DVec3 {
        self.position - self.up() * kind.ride_height_m
    }

    /// A module standing on a ground with its sole's centre at `at` seen from above (`x`, `y` in metres, world frame).
    ///
    /// `facing` is a world direction of any length; `None` faces along +x.
    ///
    /// # Errors
    /// [`PlacementError`] when `facing` projects to nothing on it.
    pub fn on_ground(
        id: GroundId,
        ground: &Ground,
        kind: &Kind,
        at: DVec2,
        facing: Option<DVec3>,
    ) -> Result<Self, PlacementError> {
        let position = ground.stand(at, kind.ride_height_m);
        let orientation = face(ground.plane.normal, facing)?;
        Ok(Self { position, orientation, host: Body::Ground(id), hold: Hold::Rolling })
    }

    /// A module standing on a shell, its centre in direction `toward` (world frame, any length) from the host's.
    ///
    /// `facing` is a world direction of any length; `None` faces along +x, or +y where +x projects to nothing.
    ///
    /// # Errors
    /// [`PlacementError`] when `toward` is zero or `facing` projects to nothing.
    pub fn on_shell(
        id: ModuleId,
        host_centre: DVec3,
        host_kind: &Kind,
        kind: &Kind,
        toward: DVec3,
        facing: Option<DVec3>,
    ) -> Result<Self, PlacementError> {
        let up = toward.try_normalize().ok_or(PlacementError::TowardIsZero)?;
        let position = host_centre + up * kind.standing_distance(host_kind);
        let orientation = face(up, facing)?;
        Ok(Self { position, orientation, host: Body::Module(id), hold: Hold::Rolling })
    }
}

fn face(up: DVec3, facing: Option<DVec3>) -> Result<DQuat, PlacementError> {
    match facing {
        Some(direction) => heading_frame(up, direction),
        None => heading_frame(up, DVec3::X).or_else(|| heading_frame(up, DVec3::Y)),
    }
    .ok_or(PlacementError::FacingProjectsToNothing)
}
