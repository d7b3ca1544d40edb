//! Places of one module that are known to carry: their convex hull, seen along gravity.
//!
//! A weight's moment about a foot is linear in its place, and moving it along gravity changes nothing. The wrenches that a crew can carry form a convex
//! set. So where some places of a module carry along a direction of gravity, every place carries that this direction shows within their convex hull.

use super::DIRECTIONS;
use crate::math::{DVec2, DVec3};

/// The most corners of a hull: with more, the one that cuts off least is left out.
const MOST_CORNERS: usize = 16;

/// For each direction of gravity the convex hull of the places that carry, in a plane across it.
#[derive(Clone, Debug)]
pub(super) struct CarriedPlaces {
    axes: [[DVec3; 2]; DIRECTIONS],
    /// Corners counter-clockwise.
    hulls: [Vec<DVec2>; DIRECTIONS],
}

impl CarriedPlaces {
    /// Nothing is known yet.
    pub(super) fn new(gravity: &[DVec3; DIRECTIONS]) -> Self {
        let axes = gravity.map(|along| {
            let first = along.any_orthogonal_vector().normalize();
            [first, along.cross(first).normalize()]
        });
        Self { axes, hulls: std::array::from_fn(|_| Vec::new()) }
    }

    /// Whether a place is known to carry along a direction. Complexity: linear in the corners, which are few.
    pub(super) fn contain(&self, direction: usize, place: DVec3) -> bool {
        encloses(&self.hulls[direction], self.seen(direction, place))
    }

    /// Whether a place is known to carry along all directions.
    pub(super) fn contain_all_ways(&self, place: DVec3) -> bool {
        (0..DIRECTIONS).all(|direction| self.contain(direction, place))
    }

    /// Adds a place that carries along a direction.
    pub(super) fn add(&mut self, direction: usize, place: DVec3) {
        let place = self.seen(direction, place);
        let corners = &mut self.hulls[direction];
        if encloses(corners, place) {
            return;
        }
        corners.push(place);
        *corners = hull_of(std::mem::take(corners));
        if corners.len() > MOST_CORNERS {
            let count = corners.len();
            let cut_off = |i: &usize| {
                doubled_area(corners[(i + count - 1) % count], corners[*i], corners[(i + 1) % count])
            };
            let least = (0..count).min_by(|a, b| cut_off(a).total_cmp(&cut_off(b)));
            least.map(|least| corners.remove(least));
        }
    }

    /// Adds a place that carries along all directions.
    pub(super) fn add_all_ways(&mut self, place: DVec3) {
        (0..DIRECTIONS).for_each(|direction| self.add(direction, place));
    }

    fn seen(&self, direction: usize, place: DVec3) -> DVec2 {
        let [x, y] = self.axes[direction];
        DVec2::new(place.dot(x), place.dot(y))
    }
}

/// Twice the area of a triangle, positive where it goes counter-clockwise.
fn doubled_area(a: DVec2, b: DVec2, c: DVec2) -> f64 {
    (b - a).perp_dot(c - a)
}

/// Whether a point is within a convex polygon or on its boundary; never where it has less than three corners.
fn encloses(corners: &[DVec2], point: DVec2) -> bool {
    let mut from = match corners {
        [_, _, .., last] => *last,
        _ => return false,
    };
    for &to in corners {
        if doubled_area(from, to, point) < 0.0 {
            return false;
        }
        from = to;
    }
    true
}

/// The corners of the convex hull of some points, counter-clockwise (monotone chain, Andrew 1979).
fn hull_of(mut points: Vec<DVec2>) -> Vec<DVec2> {
    points.sort_by(|a, b| a.x.total_cmp(&b.x).then(a.y.total_cmp(&b.y)));
    points.dedup();
    if points.len() < 3 {
        return points;
    }
    let chain = |points: &mut dyn Iterator<Item = DVec2>| {
        let mut chain: Vec<DVec2> = Vec::new();
        for point in points {
            while let [.., a, b] = chain[..] {
                if doubled_area(a, b, point) > 0.0 {
                    break;
                }
                chain.pop();
            }
            chain.push(point);
        }
        // The last is the first of the other chain.
        chain.pop();
        chain
    };
    let mut corners = chain(&mut points.iter().copied());
    corners.extend(chain(&mut points.iter().rev().copied()));
    corners
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::math::SplitMix64;
    use crate::statics::gravity::gravity_directions;

    /// Within the hull is every convex combination of the places added, and nothing farther out than the farthest.
    #[test]
    fn a_hull_holds_all_combinations_and_nothing_beyond() {
        let gravity = gravity_directions(0.05);
        let mut random = SplitMix64::new(7);
        let mut drawn = || random.between(-1.0, 1.0);
        for direction in 0..DIRECTIONS {
            let mut places = CarriedPlaces::new(&gravity);
            let mut added: Vec<DVec3> = Vec::new();
            for _ in 0..12 {
                let place = DVec3::new(drawn(), drawn(), drawn());
                places.add(direction, place);
                added.push(place);
                for _ in 0..20 {
                    let shares: Vec<f64> = added.iter().map(|_| drawn().abs()).collect();
                    let sum: f64 = shares.iter().sum();
                    let mixed: DVec3 = added.iter().zip(&shares).map(|(p, s)| *p * (s / sum)).sum();
                    let lifted = mixed + gravity[direction] * drawn();
                    assert!(added.len() < 3 || places.contain(direction, lifted));
                    // What lies beyond the farthest place in some direction is outside.
                    let axis = DVec3::new(drawn(), drawn(), drawn()).cross(gravity[direction]).normalize();
                    let farthest = added.iter().map(|p| p.dot(axis)).fold(f64::NEG_INFINITY, f64::max);
                    let beyond = mixed + axis * (farthest - mixed.dot(axis) + 1e-9);
                    assert!(!places.contain(direction, beyond));
                }
            }
        }
    }

    /// A polygon of more corners than are kept lies within the circle they are from, and misses little of it.
    #[test]
    fn few_corners_enclose_most_of_a_circle() {
        let mut places = CarriedPlaces::new(&gravity_directions(0.0));
        for k in 0..1000 {
            let (sin, cos) = crate::math::sin_cos(f64::from(k) * 2.4);
            places.add(0, DVec3::new(cos, sin, 0.3));
        }
        let within = |radius: f64| {
            (0..360).all(|degrees| {
                let (sin, cos) = crate::math::sin_cos(f64::from(degrees).to_radians());
                places.contain(0, DVec3::new(cos, sin, 0.0) * radius)
            })
        };
        assert!(places.hulls[0].len() <= MOST_CORNERS);
        assert!(within(0.9) && !within(1.0));
    }
}
