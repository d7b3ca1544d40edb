//! Yaws of a module that carries others: it swings them like an arm.

use super::successor::Successor;
use crate::control::{Budget, Stopped};
use crate::geometry::surface::{Curve, Obstacle, free_stretches};
use crate::geometry::{Path, Sweep};
use crate::math::{DVec3, Wave, asin, atan2, perpendicular_part, tolerance, wrap_angle};
use crate::model::{Configuration, ModuleId, Problem};
use crate::motion::{Move, Refused, Stretch, apply, duration_s, sweep_of};
use crate::search::guidance::assignment::Targets;
use crate::statics::WarmStart;
use crate::travel::Trip;
use std::f64::consts::{PI, TAU};

/// An arc whose gap is smaller than this is the whole circle.
const NO_GAP_RAD: f64 = 1e-9;
/// Smaller angles are no turn.
const NO_TURN_RAD: f64 = 1e-6;

/// The sound yaws of a module with all that stands on it, and the number that the load refuses. Only useful yaws count: one of the carried modules
/// then faces a place of the goal, turns away from it, comes over a deck that it could hop to, or touches a module that keeps its place; or, as it
/// cannot turn by itself, drives towards a place of the goal.
///
/// Complexity: carried modules times places and other modules, each with the certificate of one move.
pub(crate) fn carried_yaws(
    problem: &Problem,
    targets: &Targets,
    configuration: &Configuration,
    mover: ModuleId,
    limit: f64,
    budget: &Budget<'_>,
) -> Result<(Vec<Successor>, Refused), Stopped> {
    let mut hint = WarmStart::default();
    let mut found = Vec::new();
    let mut refused = Refused::default();
    for angle in angles(problem, targets, configuration, mover) {
        budget.go_on()?;
        // The shorter direction, or otherwise the longer one.
        let ways = [angle, angle - TAU.copysign(angle)];
        for angle_rad in ways {
            let action = Move::Yaw { angle_rad };
            let Ok(after) = apply(problem, configuration, mover, &action) else { continue };
            let stretch = Stretch::of_move(problem, configuration, mover, &action, &after);
            if !stretch.is_clear() || !stretch.keeps_clearance() {
                continue;
            }
            if !stretch.carries(limit, &mut hint, budget.interrupt)? {
                refused.note(mover, || Some((configuration.clone(), vec![(action, *after.get(mover))])));
                continue;
            }
            let time_s = duration_s(problem, mover, configuration.get(mover).hold, &action);
            found.push(Successor { trip: Trip::carrying(mover, vec![action]), after, time_s });
            break;
        }
    }
    Ok((found, refused))
}

/// Candidate yaw angles, in `(-π, π]`, without duplicates.
fn angles(problem: &Problem, targets: &Targets, configuration: &Configuration, mover: ModuleId) -> Vec<f64> {
    let group = configuration.carried_with(mover);
    let whole = Move::Yaw { angle_rad: TAU };
    let Some(sweep @ Sweep::Turn { .. }) = sweep_of(problem, configuration, mover, &whole) else {
        return Vec::new();
    };
    let mut angles: Vec<f64> = Vec::new();
    let mut add = |angle: f64| {
        let angle = wrap_angle(angle);
        let known = angles.iter().any(|a| wrap_angle(a - angle).abs() < NO_TURN_RAD);
        if angle.abs() > NO_TURN_RAD && !known {
            angles.push(angle);
        }
    };
    for &carried in group.iter().filter(|id| **id != mover) {
        aims(problem, targets, configuration, mover, carried).into_iter().for_each(&mut add);
        let Path::Arc { centre, cosine, sine, span } = sweep.path_of(configuration.get(carried).position)
        else {
            continue;
        };
        if cosine.length() < problem.kind(carried).foot_radius_m {
            continue; // on the axis, or nearly: it turns in place
        }
        for place in targets.all_places() {
            let to = place - centre;
            let facing = atan2(to.dot(sine), to.dot(cosine));
            add(facing);
            add(facing + PI);
        }
        for place in over_decks(problem, carried, centre, cosine.length()) {
            let to = place - centre;
            add(atan2(to.dot(sine), to.dot(cosine)));
        }
        for (other, beside) in configuration.iter().filter(|(id, _)| !group.contains(id)) {
            let radii = problem.kind(carried).shell_radius_m + problem.kind(other).shell_radius_m;
            let apart = centre - beside.position;
            let mean = apart.length_squared() + cosine.length_squared() - radii * radii;
            Wave::new(mean, 2.0 * apart.dot(cosine), 2.0 * apart.dot(sine)).roots(span).for_each(&mut add);
        }
    }
    angles
}

/// The yaws of a carrier that aim a module on it, which cannot turn by itself, at places of the goal, forwards or backwards.
fn aims(
    problem: &Problem,
    targets: &Targets,
    configuration: &Configuration,
    mover: ModuleId,
    carried: ModuleId,
) -> Vec<f64> {
    let module = &problem.modules[carried.index()];
    if module.can_yaw() || !module.can_drive() {
        return Vec::new();
    }
    let (here, carrier) = (configuration.get(carried), configuration.get(mover));
    let axis = carrier.up();
    let from_axis = |place: DVec3| perpendicular_part(place - carrier.position, axis);
    let Some(heading) = perpendicular_part(here.heading(), axis).try_normalize() else { return Vec::new() };
    // The way that it can drive, turned with the carrier, passes the axis at this distance on the left.
    let (left, offset) = (axis.cross(heading), from_axis(here.position));
    let aside_m = left.dot(offset);
    let turns_to = |place: DVec3| {
        let to = from_axis(place);
        let off = asin((aside_m / to.length()).clamp(-1.0, 1.0));
        let bearing = atan2(left.dot(to), heading.dot(to));
        [bearing - off, bearing - PI + off]
    };
    targets.all_places().flat_map(turns_to).collect()
}

/// On a circle parallel to some ground, at standing height above it: ends and middles of the arcs on which the foot is inside the outline.
fn over_decks(problem: &Problem, carried: ModuleId, centre: DVec3, radius: f64) -> Vec<DVec3> {
    let kind = problem.kind(carried);
    let mut places = Vec::new();
    for ground in &problem.grounds {
        if (ground.plane.above(centre) - kind.ride_height_m).abs() > tolerance::LENGTH_M {
            continue;
        }
        let curve = Curve::circle_on(&ground.plane, centre, radius);
        let (plane, outline) = (ground.plane, ground.outline.clone());
        let outside = Obstacle::OutsideArea { plane, outline, radius: kind.foot_radius_m };
        for (from, width) in free_stretches(&curve, &[outside]) {
            if width < TAU - NO_GAP_RAD {
                places.extend([0.0, 0.5, 1.0].map(|share| curve.at(from + share * width)));
            }
        }
    }
    places
}
