//! A rig: a module and everything that stands on it, which moves with it as one rigid body.
//!
//! While the module drives and turns, each of the others stays within a circle about its normal. A way along which all these circles are clear is clear
//! for every heading.

use crate::geometry::surface::Carrier;
use crate::math::{DVec3, angle_between, perpendicular_part};
use crate::model::{Configuration, ModuleId, Problem};

/// One module of a rig besides the one that drives.
#[derive(Clone, Copy, Debug)]
pub(super) struct Part {
    /// Radius of its shell, in metres.
    pub(super) radius: f64,
    /// On a plane: its height above the driving module's centre, in metres.
    pub(super) lift: f64,
    /// On a plane: its distance from the driving module's normal, in metres.
    pub(super) aside: f64,
    /// On a shell: its distance from the shell's centre, in metres.
    pub(super) distance: f64,
    /// On a shell: the angle at the shell's centre between it and the driving module, in radians.
    pub(super) angle: f64,
}

/// The parts of a rig on a carrier.
pub(super) fn parts(
    problem: &Problem,
    configuration: &Configuration,
    mover: ModuleId,
    rig: &[ModuleId],
    carrier: &Carrier,
) -> Vec<Part> {
    let place = configuration.get(mover);
    let centre = match carrier {
        Carrier::Sphere { centre, .. } => *centre,
        Carrier::Level { .. } => DVec3::ZERO,
    };
    let part = |&id: &ModuleId| {
        let position = configuration.get(id).position;
        let arm = position - place.position;
        Part {
            radius: problem.kind(id).shell_radius_m,
            lift: arm.dot(place.up()),
            aside: perpendicular_part(arm, place.up()).length(),
            distance: position.distance(centre),
            angle: angle_between(position - centre, place.position - centre),
        }
    };
    rig.iter().filter(|id| **id != mover).map(part).collect()
}
