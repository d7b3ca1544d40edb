//! Touches: contacts of bodies without a bond.

use super::{Body, Configuration, ModuleId, Problem};
use crate::math::{DVec3, NearPoints};

/// A touch between a module's shell and another body. It is unilateral, with Coulomb friction: it pushes the module along `normal`.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Touch {
    /// The module that the shell belongs to.
    pub module: ModuleId,
    /// The body that it touches: a ground, a stone, or a module with a higher id.
    pub other: Body,
    /// The contact point in the world frame, in metres.
    pub point: DVec3,
    /// Unit vector from the other body to the module.
    pub normal: DVec3,
    /// Coefficient of Coulomb friction.
    pub friction: f64,
    /// Where the shells slip on each other: the force on the module for every newton of normal force. `None` where they rest.
    pub slipping: Option<DVec3>,
    /// Gap in metres, negative where the bodies overlap; its magnitude is at most the touch tolerance.
    pub gap_m: f64,
}

/// All touches of a configuration, in a fixed order (section 2 of the model).
///
/// Two bodies touch if their gap is at most the touch tolerance in magnitude. Bonded pairs, and a module and the ground it stands on, have no touch.
/// Complexity: linear in modules that are spread out.
#[must_use]
pub fn touches(problem: &Problem, configuration: &Configuration) -> Vec<Touch> {
    let tolerance = problem.limits.touch_tol_m;
    let mut found = Vec::new();
    let balls: Vec<(DVec3, f64)> =
        configuration.iter().map(|(id, place)| (place.position, problem.kind(id).shell_radius_m)).collect();
    let largest_m = balls.iter().map(|(_, radius_m)| *radius_m).fold(0.0, f64::max);
    let near = NearPoints::new(2.0 * (largest_m + tolerance), balls.iter().map(|(centre, _)| *centre));
    let mut beside = Vec::new();
    for (id, place) in configuration.iter() {
        let kind = problem.kind(id);
        near.find(place.position, &mut beside);
        for &index in beside.iter().filter(|&&index| index > id.index()) {
            let (centre, radius_m) = balls[index];
            let radii = kind.shell_radius_m + radius_m;
            let apart = place.position - centre;
            if apart.length_squared() > (radii + tolerance).powi(2) {
                continue;
            }
            let other = ModuleId::at(index);
            if configuration.bonded(id, other) {
                continue;
            }
            let beside = configuration.get(other);
            let distance = apart.length();
            if (distance - radii).abs() > tolerance {
                continue;
            }
            let normal = apart / distance;
            let middle = problem.kind(other).shell_radius_m + 0.5 * (distance - radii);
            found.push(Touch {
                module: id,
                other: Body::Module(other),
                point: beside.position + normal * middle,
                normal,
                slipping: None,
                friction: kind.shell_friction.min(problem.kind(other).shell_friction),
                gap_m: distance - radii,
            });
        }
        for id_of_ground in problem.ground_ids() {
            if place.host == Body::Ground(id_of_ground) {
                continue;
            }
            let ground = problem.ground(id_of_ground);
            let may_touch = ground.surfacing.relief_m <= tolerance;
            if !may_touch || ground.plane.above(place.position) > kind.shell_radius_m + tolerance {
                continue;
            }
            let (at, far) = (place.position.truncate(), kind.shell_radius_m + 2.0 * tolerance);
            if problem.decks_of(id_of_ground).all(|deck| deck.solid.is_seen_beyond(at, far)) {
                continue;
            }
            let nearest = problem.nearest_on_ground(id_of_ground, place.position);
            let distance = (place.position - nearest).length();
            if (distance - kind.shell_radius_m).abs() > tolerance {
                continue;
            }
            found.push(Touch {
                module: id,
                other: Body::Ground(id_of_ground),
                point: nearest,
                normal: (place.position - nearest) / distance,
                slipping: None,
                friction: ground.surfacing.friction,
                gap_m: distance - kind.shell_radius_m,
            });
        }
        for (id_of_stone, stone) in problem.stone_ids().zip(&problem.stones) {
            let apart = place.position - stone.centre;
            let gap_m = apart.length() - kind.shell_radius_m - stone.radius_m;
            if gap_m.abs() <= tolerance {
                let normal = apart.normalize();
                found.push(Touch {
                    module: id,
                    other: Body::Stone(id_of_stone),
                    point: stone.centre + normal * stone.radius_m,
                    normal,
                    slipping: None,
                    friction: stone.friction,
                    gap_m,
                });
            }
        }
    }
    found
}
