//! A rig: a module and everything that stands on it, which moves with it as one rigid body.
//!
//! While the module drives and turns, each of the others stays within a circle about its normal. A way along which all these circles are clear is clear
//! for every heading.

use super::obstacles::beside_solid;
use crate::geometry::Prism;
use crate::geometry::surface::{Carrier, Obstacle, Plane};
use crate::math::{DVec3, acos, angle_between, cos, perpendicular_part};
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
        Carrier::Plane(_) => DVec3::ZERO,
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

impl Part {
    /// The places of the driving module at which this part is nearer than `keep` to a point in some heading.
    pub(super) fn kept_off_ball(&self, carrier: &Carrier, ball: DVec3, keep: f64) -> Option<Obstacle> {
        match carrier {
            Carrier::Sphere { centre, radius } => {
                let apart = ball - *centre;
                let length = apart.length();
                let cosine = (length * length + self.distance * self.distance - keep * keep)
                    / (2.0 * length * self.distance);
                (cosine < 1.0).then(|| self.cap(*centre, *radius, apart / length, acos(cosine.max(-1.0))))
            }
            Carrier::Plane(plane) => {
                let squared = keep * keep - (self.lift - plane.above(ball)).powi(2);
                let radius = squared.max(0.0).sqrt() + self.aside;
                (squared > 0.0).then(|| Obstacle::Ball { centre: plane.onto(ball), radius })
            }
        }
    }

    /// The same for a solid. On a shell it is taken as all of the space below its top.
    pub(super) fn kept_off_solid(&self, carrier: &Carrier, solid: &Prism) -> Vec<Obstacle> {
        match carrier {
            Carrier::Sphere { centre, radius } => {
                let reach = self.distance + self.radius;
                let cosine = (solid.top.above(*centre) - self.radius) / self.distance;
                let meets = solid.distance(*centre) < reach && cosine < 1.0;
                let cap = || self.cap(*centre, *radius, -solid.top.normal, acos(cosine.max(-1.0)));
                meets.then(cap).into_iter().collect()
            }
            Carrier::Plane(plane) => beside_solid(&plane.raised(self.lift), solid, self.radius, self.aside),
        }
    }

    /// The cap of a shell in which this part is within an angle of a pole in some heading.
    fn cap(&self, centre: DVec3, radius: f64, pole: DVec3, angle: f64) -> Obstacle {
        let cosine = cos((angle + self.angle).min(std::f64::consts::PI));
        // Beyond the cap's rim: the direction against its pole is outside.
        Obstacle::Inside(vec![Plane { normal: -pole, offset: -pole.dot(centre) - radius * cosine }])
    }
}
