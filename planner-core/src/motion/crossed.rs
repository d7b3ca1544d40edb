//! A cross: a drive straight over an edge from one ground to another (section 6 of the model).

use crate::geometry::{Path, leaves_outline};
use crate::math::{DQuat, DVec2, angle_between, asin, heading_frame, tolerance};
use crate::model::{Body, Brink, GroundId, Kind, ModuleId, Placement, Problem};

/// A cross is at most so long, in radii of the shell.
const LONGEST_RADII: f64 = 4.0;
/// Rounding of a length, in metres.
const ROUNDING_M: f64 = 1e-9;
/// How far the sole's centre may be outside the ground that it is on, and heights beyond the step limit, in metres.
const OFF_M: f64 = 1e-3;

/// Why a module cannot cross.
#[derive(Clone, Copy, Debug, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum CrossError {
    /// It does not lead from one ground to another.
    #[error("a cross leads from one ground to another")]
    NoOtherGround,
    /// It is too long.
    #[error("its way is {:.2} mm long, and at most {:.2} mm are allowed", found_m * 1e3, most_m * 1e3)]
    TooLong {
        /// The way of the sole's centre seen from above, in metres.
        found_m: f64,
        /// Four radii of the shell, in metres.
        most_m: f64,
    },
    /// There is no suitable edge across its way.
    #[error(
        "no straight edge that both grounds share lies square across its way, with room for the foot to either side"
    )]
    NoEdge,
    /// The step is too high.
    #[error("there is a step of {:.2} mm at the edge, and its limit is {:.2} mm", found_m * 1e3, limit_m * 1e3)]
    StepTooHigh {
        /// Difference of the heights where it crosses, in metres.
        found_m: f64,
        /// Limit of the kind, in metres.
        limit_m: f64,
    },
    /// The slope changes too much.
    #[error("the slope changes by {:.2}° at the edge, and its limit is {:.2}°", found_rad.to_degrees(), limit_rad.to_degrees())]
    CreaseTooLarge {
        /// Angle between the two normals, in radians.
        found_rad: f64,
        /// Limit of the kind, in radians.
        limit_rad: f64,
    },
    /// The sole leaves the grounds on its way.
    #[error("its sole leaves the two grounds on the way")]
    LeavesGrounds,
}

/// The placement after a cross.
pub(super) fn crossed(
    problem: &Problem,
    mover: ModuleId,
    place: &Placement,
    to: GroundId,
    travel_m: f64,
) -> Result<Placement, CrossError> {
    let kind = problem.kind(mover);
    let Some(from) = place.host.ground().filter(|from| *from != to) else {
        return Err(CrossError::NoOtherGround);
    };
    let most_m = LONGEST_RADII * kind.shell_radius_m;
    if travel_m.is_nan() || travel_m.abs() > most_m + ROUNDING_M {
        return Err(CrossError::TooLong { found_m: travel_m.abs(), most_m });
    }
    let begins = problem.sole_from_above(from, place);
    let ahead = place.heading().truncate().try_normalize().ok_or(CrossError::NoEdge)?;
    let ends = begins + ahead * travel_m;
    let at = edge_point(problem, kind, [from, to], (begins, ends))?;
    for (ground, a, b) in [(from, begins, at), (to, at, ends)] {
        let outline = problem.ground(ground).from_above();
        let path = Path::Line { from: a.extend(0.0), step: (b - a).extend(0.0) };
        if leaves_outline(&path, &outline, OFF_M + tolerance::LENGTH_M).is_some() {
            return Err(CrossError::LeavesGrounds);
        }
    }
    let planes = [from, to].map(|ground| problem.ground(ground).plane);
    let position = problem.ground(to).stand(ends, kind.ride_height_m);
    let turned = DQuat::from_rotation_arc(planes[0].normal, planes[1].normal);
    // Body z is set exactly to the new normal; the rounding error of the rotation goes into the heading.
    let orientation = heading_frame(planes[1].normal, turned * place.heading()).unwrap_or(place.orientation);
    Ok(Placement { position, orientation, host: Body::Ground(to), ..*place })
}

/// Where a way crosses an edge of two grounds, seen from above.
fn edge_point(
    problem: &Problem,
    kind: &Kind,
    grounds: [GroundId; 2],
    (begins, ends): (DVec2, DVec2),
) -> Result<DVec2, CrossError> {
    let [a, b] = grounds.map(|ground| problem.ground(ground).plane);
    let way = ends - begins;
    let meets = |brink: &Brink| {
        let along = (brink.to - brink.from) / brink.length_m();
        let across = asin(way.normalize_or_zero().dot(along).clamp(-1.0, 1.0)).abs();
        if across > tolerance::HOP_HEADING_RAD {
            return None;
        }
        let share = (brink.from - begins).perp_dot(along) / way.perp_dot(along);
        let at = begins + way * share;
        let foot = (at - brink.from).dot(along);
        let room = foot.min(brink.length_m() - foot);
        ((0.0..=1.0).contains(&share) && room >= kind.foot_radius_m - tolerance::LENGTH_M).then_some(at)
    };
    let points: Vec<DVec2> = problem.brinks_between(grounds).filter_map(meets).collect();
    if points.is_empty() {
        return Err(CrossError::NoEdge);
    }
    let (found_rad, limit_rad) = (angle_between(a.normal, b.normal), kind.crease_limit_rad);
    if found_rad > limit_rad + tolerance::ANGLE_RAD {
        return Err(CrossError::CreaseTooLarge { found_rad, limit_rad });
    }
    let step = |at: &DVec2| (a.height_at(*at) - b.height_at(*at)).abs();
    let least = points.into_iter().min_by(|p, q| step(p).total_cmp(&step(q)));
    let Some(at) = least else { return Err(CrossError::NoEdge) };
    let (found_m, limit_m) = (step(&at), kind.step_limit_m);
    if found_m > limit_m + OFF_M + tolerance::LENGTH_M {
        return Err(CrossError::StepTooHigh { found_m, limit_m });
    }
    Ok(at)
}
