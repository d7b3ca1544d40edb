//! Outlines with heights: the plane that they lie in.

use crate::geometry::Slope;
use crate::math::DVec3;

/// The third corner that fixes the plane is at least so far off the line through the first two, in metres.
const OFF_LINE_M: f64 = 1e-6;
/// The other corners' heights fit the plane within this, in metres.
const FIT_M: f64 = 1e-3;
/// The steepest slope, in degrees.
const STEEPEST_DEG: f64 = 60.0;

/// What is wrong with the heights of an outline; corners count from 0.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum Fault {
    /// All corners are in one line, seen from above.
    InLine,
    /// A corner's height is so far from the plane, in metres.
    OffPlane(usize, f64),
    /// The plane is steeper than allowed, in degrees.
    TooSteep(f64),
}

/// The plane through the first three corners that are not in line; `None` without heights or such corners.
pub(super) fn plane_through(corners: &[Vec<f64>]) -> Option<Slope> {
    let corners: Option<Vec<DVec3>> =
        corners.iter().map(|c| Some(DVec3::from_array(c.as_slice().try_into().ok()?))).collect();
    plane(&corners?)
}

fn plane(corners: &[DVec3]) -> Option<Slope> {
    let (a, b) = (*corners.first()?, *corners.get(1)?);
    let along = (b - a).truncate().try_normalize()?;
    let off_line = |c: &&DVec3| along.perp_dot((**c - a).truncate()).abs() > OFF_LINE_M;
    Slope::through(a, b, *corners[2..].iter().find(off_line)?)
}

/// The first fault of the heights of an outline.
pub(super) fn fault(corners: &[[f64; 3]]) -> Option<Fault> {
    let corners: Vec<DVec3> = corners.iter().copied().map(DVec3::from_array).collect();
    let Some(plane) = plane(&corners) else { return Some(Fault::InLine) };
    let off = |corner: &DVec3| (corner.z - plane.height_at(corner.truncate())).abs();
    if let Some(at) = corners.iter().position(|corner| off(corner) > FIT_M) {
        return Some(Fault::OffPlane(at, off(&corners[at])));
    }
    let steepness = crate::math::acos(plane.normal.z.min(1.0)).to_degrees();
    (steepness > STEEPEST_DEG + 1e-9).then_some(Fault::TooSteep(steepness))
}
