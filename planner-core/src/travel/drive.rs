//! From waypoints to moves: yaws, slides along circles and straight lines, hops.

use super::Waypoint;
use crate::geometry::Sweep;
use crate::math::{DVec3, angle_between, heading_frame, perpendicular_part, wrap_angle};
use crate::model::{Body, Configuration, ModuleId, Placement, Problem};
use crate::motion::{Move, MoveError, apply, placed_after};

/// A yaw smaller than this is left out; the next drive makes up for it.
const NO_YAW_RAD: f64 = 1e-9;
/// A slide shorter than this is left out.
const NO_TRAVEL_M: f64 = 1e-10;

/// The moves that take a module through waypoints, and the configuration after each.
///
/// A change of host between two waypoints is a hop, which needs them to have one position; a change of position is a slide. Yaws come
/// before where the heading asks for them; the tracks drive forwards or backwards, whichever needs the smaller yaw.
///
/// # Errors
/// When a move cannot be begun. Whether the moves are sound is not looked at.
pub fn compile(
    problem: &Problem,
    start: &Configuration,
    mover: ModuleId,
    waypoints: &[Waypoint],
) -> Result<Vec<(Move, Configuration)>, MoveError> {
    let mut moves: Vec<(Move, Configuration)> = Vec::new();
    let mut now = start.clone();
    drive_through(problem, &mut now, mover, waypoints, |now, action| {
        *now = apply(problem, now, mover, &action)?;
        moves.push((action, now.clone()));
        Ok(())
    })?;
    Ok(moves)
}

/// The same for a mover with nothing on it: where it is itself after each move. `start` is left as it was.
pub(super) fn compile_alone(
    problem: &Problem,
    start: &mut Configuration,
    mover: ModuleId,
    waypoints: &[Waypoint],
) -> Result<Vec<(Move, Placement)>, MoveError> {
    let mut moves: Vec<(Move, Placement)> = Vec::with_capacity(2 * waypoints.len());
    let first = *start.get(mover);
    let driven = drive_through(problem, start, mover, waypoints, |now, action| {
        *now.get_mut(mover) = placed_after(problem, now, mover, &action)?;
        moves.push((action, *now.get(mover)));
        Ok(())
    });
    *start.get_mut(mover) = first;
    driven.map(|()| moves)
}

/// Makes the moves through waypoints one by one; `step` brings the configuration up to date.
fn drive_through(
    problem: &Problem,
    now: &mut Configuration,
    mover: ModuleId,
    waypoints: &[Waypoint],
    mut step: impl FnMut(&mut Configuration, Move) -> Result<(), MoveError>,
) -> Result<(), MoveError> {
    for waypoint in waypoints {
        let place = *now.get(mover);
        if waypoint.host == place.host {
            let Some((direction, travel, curvature)) = way(problem, now, mover, waypoint) else { continue };
            if travel <= NO_TRAVEL_M {
                continue;
            }
            let (yaw, forward) = yaw_to(&place, direction);
            if yaw.abs() > NO_YAW_RAD {
                step(now, Move::Yaw { angle_rad: yaw })?;
            }
            let sign = if forward { 1.0 } else { -1.0 };
            step(now, Move::Slide { travel_m: sign * travel, curvature_per_m: sign * curvature })?;
        } else {
            let normal = normal_at(now, waypoint);
            if angle_between(place.up(), normal) > crate::math::tolerance::ANGLE_RAD {
                let (yaw, _) = yaw_to(&place, perpendicular_part(normal, place.up()));
                if yaw.abs() > NO_YAW_RAD {
                    step(now, Move::Yaw { angle_rad: yaw })?;
                }
            }
            step(now, Move::Hop { to: waypoint.host })?;
        }
    }
    Ok(())
}

/// The foot's normal at a waypoint.
pub(super) fn normal_at(configuration: &Configuration, waypoint: &Waypoint) -> DVec3 {
    match waypoint.host {
        Body::Deck(_) => DVec3::Z,
        Body::Module(host) => (waypoint.position - configuration.get(host).position).normalize(),
    }
}

/// A placement at a waypoint, heading any way.
pub(super) fn stand_at(configuration: &Configuration, mover: ModuleId, waypoint: &Waypoint) -> Placement {
    let place = configuration.get(mover);
    let up = normal_at(configuration, waypoint);
    let orientation = heading_frame(up, place.heading())
        .or_else(|| heading_frame(up, DVec3::X))
        .or_else(|| heading_frame(up, DVec3::Y))
        .unwrap_or(place.orientation);
    Placement { position: waypoint.position, orientation, host: waypoint.host, hold: place.hold }
}

/// Direction in which the way to a waypoint on the same host begins, the sole's way in metres, and its curvature when driven forwards;
/// `None` between opposite points.
pub(super) fn way(
    problem: &Problem,
    configuration: &Configuration,
    mover: ModuleId,
    target: &Waypoint,
) -> Option<(DVec3, f64, f64)> {
    let place = configuration.get(mover);
    let host = place.host.module();
    let centre = host.map(|h| configuration.get(h).position);
    let sweep = target.sweep_from(place.position, centre);
    let Some(sweep) = sweep else {
        return (place.position.distance(target.position) < NO_TRAVEL_M).then_some((
            place.heading(),
            0.0,
            0.0,
        ));
    };
    match sweep {
        Sweep::Shift { step } => Some((step, step.truncate().length(), 0.0)),
        Sweep::Turn { point, axis, angle } => {
            let arm = place.position - point;
            let forward = axis.cross(arm);
            let up = place.up();
            match host {
                Some(host) => {
                    // The axis is sin ρ·left + cos ρ·up for a circle of angular radius ρ (the left of the drive).
                    let radius = problem.kind(host).shell_radius_m;
                    let (sin, cos) = (axis.cross(up).length(), axis.dot(up));
                    let curvature = if target.round.is_some() { cos / sin / radius } else { 0.0 };
                    Some((forward, radius * sin * angle, curvature))
                }
                None => {
                    let radius = arm.truncate().length();
                    Some((forward, radius * angle, axis.z.signum() / radius))
                }
            }
        }
    }
}

/// The smaller yaw that lines the tracks up with a direction, and whether they then drive forwards.
pub(super) fn yaw_to(place: &Placement, direction: DVec3) -> (f64, bool) {
    let (up, heading) = (place.up(), place.heading());
    let left = up.cross(heading);
    let angle = direction.dot(left).atan2(direction.dot(heading));
    if angle.abs() <= std::f64::consts::FRAC_PI_2 {
        (angle, true)
    } else {
        (wrap_angle(angle + std::f64::consts::PI), false)
    }
}
