//! The sphere or plane on which a module's centre lies while it stands on a host.

use crate::geometry::surface::Carrier;
use crate::model::{Body, Configuration, ModuleId, Problem};

/// The carrier surface of a host.
pub(super) fn carrier_of(
    problem: &Problem,
    configuration: &Configuration,
    mover: ModuleId,
    host: Body,
) -> Carrier {
    let kind = problem.kind(mover);
    match host {
        Body::Ground(ground) => Carrier::Plane(problem.ground(ground).plane.raised(kind.ride_height_m)),
        Body::Module(id) => Carrier::Sphere {
            centre: configuration.get(id).position,
            radius: kind.standing_distance(problem.kind(id)),
        },
        // No foot stands on a stone.
        Body::Stone(id) => Carrier::Sphere { centre: problem.stones[id.index()].centre, radius: 0.0 },
    }
}
