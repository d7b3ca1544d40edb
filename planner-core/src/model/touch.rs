//! Touches: contacts of bodies without a bond.

use super::{Body, Configuration, ModuleId, Problem};
use crate::math::{DVec3, PointGrid};

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
    // Most pairs are far apart: the balls are put side by side in memory.
    let balls: Vec<(DVec3, f64)> =
        configuration.iter().map(|(id, place)| (place.position, problem.kind(id).shell_radius_m)).collect();
    let near = Near::new(&balls, tolerance);
    for (id, place) in configuration.iter() {
        let kind = problem.kind(id);
        for index in near.after(id.index(), place.position) {
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

/// A crew up to this size is looked at pair by pair: that is faster than a grid.
const FEW: usize = 32;

/// What finds the balls that may touch one.
enum Near {
    /// All of so many.
    All(usize),
    Grid(PointGrid),
}

impl Near {
    fn new(balls: &[(DVec3, f64)], tolerance_m: f64) -> Self {
        if balls.len() <= FEW {
            return Self::All(balls.len());
        }
        let largest_m = balls.iter().map(|(_, radius_m)| *radius_m).fold(0.0, f64::max);
        let reach_m = 2.0 * largest_m + 2.0 * tolerance_m;
        Self::Grid(PointGrid::new(reach_m, balls.iter().map(|(centre, _)| *centre)))
    }

    /// The balls of higher index that may touch one, in ascending order.
    fn after(&self, index: usize, centre: DVec3) -> impl Iterator<Item = usize> + use<> {
        let (all, near) = match self {
            Self::All(count) => (index + 1..*count, Vec::new()),
            Self::Grid(grid) => {
                let mut near: Vec<usize> = grid.near(centre).filter(|&other| other > index).collect();
                near.sort_unstable();
                (0..0, near)
            }
        };
        all.chain(near)
    }
}
