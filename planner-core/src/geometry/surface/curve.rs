//! Boundaries of obstacles on the carrier: circles and straight lines, with the free side on the left.

use super::{Carrier, Obstacle, Plane};
use crate::geometry::Slope;
use crate::math::{DVec2, DVec3, Wave, atan2, sin_cos, turn_of};
use std::f64::consts::TAU;

/// Centres nearer than this are equal, in metres: there is no direction from one to the other.
const CONCENTRIC_M: f64 = 1e-12;

/// A boundary curve. With growing parameter the free side is on the left, seen from outside a sphere or from above a plane.
#[derive(Clone, Debug, PartialEq)]
pub enum Curve {
    /// `centre + u·cos θ + v·sin θ`, a whole turn.
    Circle {
        /// Centre of the circle, in metres.
        centre: DVec3,
        /// Unit axis: `u × v` points along it. The forbidden side of a sphere lies against it.
        axis: DVec3,
        /// Vector to the point at parameter 0; its length is the radius.
        u: DVec3,
        /// Vector to the point a quarter turn on.
        v: DVec3,
    },
    /// `from + direction·t` for t from 0 to `length`, on a plane.
    Line {
        /// The start, in metres.
        from: DVec3,
        /// Unit direction.
        direction: DVec3,
        /// The plane's upward normal.
        up: DVec3,
        /// Its length, in metres.
        length: f64,
    },
}

impl Curve {
    pub(super) fn circle(centre: DVec3, axis: DVec3, radius: f64) -> Self {
        let first = axis.any_orthonormal_vector();
        Self::Circle { centre, axis, u: first * radius, v: axis.cross(first) * radius }
    }

    /// A circle about a point of a plane, counter-clockwise seen from above.
    #[must_use]
    pub fn circle_on(plane: &Slope, centre: DVec3, radius: f64) -> Self {
        Self::Circle { centre, axis: plane.normal, u: plane.u * radius, v: plane.v * radius }
    }

    /// The circle in which a plane cuts a sphere, if it does.
    #[must_use]
    pub fn in_plane(centre: DVec3, radius: f64, plane: &Plane) -> Option<Self> {
        let height = plane.height(centre);
        let squared = radius * radius - height * height;
        (squared > 0.0).then(|| Self::circle(centre - plane.normal * height, plane.normal, squared.sqrt()))
    }

    /// The circle in which two spheres meet, if they do.
    #[must_use]
    pub fn between_spheres(a: DVec3, radius_a: f64, b: DVec3, radius_b: f64) -> Option<Self> {
        let apart = b - a;
        let length = apart.length();
        let along = (length * length + radius_a * radius_a - radius_b * radius_b) / (2.0 * length);
        let squared = radius_a * radius_a - along * along;
        (squared > 0.0).then(|| Self::circle(a + apart / length * along, apart / length, squared.sqrt()))
    }

    /// The last value of the parameter: a whole turn, or the length.
    #[must_use]
    pub const fn span(&self) -> f64 {
        match self {
            Self::Circle { .. } => TAU,
            Self::Line { length, .. } => *length,
        }
    }

    /// The point at a parameter.
    #[must_use]
    pub fn at(&self, t: f64) -> DVec3 {
        match self {
            Self::Circle { centre, u, v, .. } => {
                let (sin, cos) = sin_cos(t);
                *centre + *u * cos + *v * sin
            }
            Self::Line { from, direction, .. } => *from + *direction * t,
        }
    }

    /// The least ball around it: centre and radius, in metres.
    #[must_use]
    pub fn ball_around(&self) -> (DVec3, f64) {
        match self {
            Self::Circle { centre, u, .. } => (*centre, u.length()),
            Self::Line { from, direction, length, .. } => (*from + *direction * (0.5 * length), 0.5 * length),
        }
    }

    /// The parameter of a point that lies on the curve.
    #[must_use]
    pub fn parameter(&self, p: DVec3) -> f64 {
        match self {
            Self::Circle { centre, u, v, .. } => {
                let arm = p - *centre;
                turn_of(atan2(arm.dot(*v), arm.dot(*u)))
            }
            Self::Line { from, direction, .. } => (p - *from).dot(*direction),
        }
    }

    /// Unit direction of growing parameter at a point on the curve.
    #[must_use]
    pub fn tangent_at(&self, p: DVec3) -> DVec3 {
        match self {
            Self::Circle { centre, axis, .. } => axis.cross(p - *centre).normalize(),
            Self::Line { direction, .. } => *direction,
        }
    }

    /// Radius of a circle; `None` for a line.
    #[must_use]
    pub fn radius(&self) -> Option<f64> {
        match self {
            Self::Circle { u, .. } => Some(u.length()),
            Self::Line { .. } => None,
        }
    }

    /// Length of an interval of the parameter, in metres.
    #[must_use]
    pub fn length_of(&self, stretch: f64) -> f64 {
        self.radius().map_or(stretch, |radius| radius * stretch)
    }

    /// Height above a plane along a circle.
    pub(super) fn plane_wave(centre: DVec3, u: DVec3, v: DVec3, plane: &Plane) -> Wave {
        Wave::new(plane.height(centre), plane.normal.dot(u), plane.normal.dot(v))
    }

    /// Squared distance to a point minus the square of a radius, along a circle.
    pub(super) fn ball_wave(centre: DVec3, u: DVec3, v: DVec3, ball: DVec3, radius: f64) -> Wave {
        let arm = centre - ball;
        let mean = arm.length_squared() + u.length_squared() - radius * radius;
        Wave::new(mean, 2.0 * arm.dot(u), 2.0 * arm.dot(v))
    }
}

/// A curve, and planes that restrict it: where the curve is above one of them it does not bound the obstacle.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Candidate {
    pub(super) curve: Curve,
    /// The curve counts only where all of these heights are negative.
    pub(super) within: Vec<Plane>,
}

/// Boundary curves of an obstacle on a carrier; `None` when it forbids the whole carrier.
pub(super) fn boundary(carrier: &Carrier, obstacle: &Obstacle) -> Option<Vec<Candidate>> {
    let whole = |curve| Candidate { curve, within: Vec::new() };
    match (carrier, obstacle) {
        (Carrier::Sphere { centre: c, radius: r }, Obstacle::Ball { centre, radius }) => {
            let apart = *centre - *c;
            let length = apart.length();
            if length < CONCENTRIC_M {
                return if r < radius { None } else { Some(Vec::new()) };
            }
            let along = (length * length + r * r - radius * radius) / (2.0 * length);
            let axis = apart / length;
            match cut(along, *r) {
                Cap::Everything => None,
                Cap::Nothing => Some(Vec::new()),
                Cap::Within { rim } => Some(vec![whole(Curve::circle(*c + axis * along, -axis, rim))]),
            }
        }
        (Carrier::Plane(plane), Obstacle::Ball { centre, radius }) => {
            let squared = radius * radius - plane.above(*centre).powi(2);
            let ring = (squared > 0.0)
                .then(|| whole(Curve::circle(plane.onto(*centre), -plane.normal, squared.sqrt())));
            Some(ring.into_iter().collect())
        }
        (Carrier::Sphere { centre: c, radius: r }, Obstacle::Inside(planes)) => {
            let mut curves = Vec::new();
            let mut covers = true;
            for (index, plane) in planes.iter().enumerate() {
                let along = -plane.height(*c);
                if along > *r {
                    continue; // the whole sphere is inside this half-space
                }
                covers = false;
                if along <= -*r {
                    return Some(Vec::new()); // the whole sphere is outside
                }
                let within =
                    planes.iter().enumerate().filter(|(i, _)| *i != index).map(|(_, p)| *p).collect();
                let curve =
                    Curve::circle(*c + plane.normal * along, plane.normal, (r * r - along * along).sqrt());
                curves.push(Candidate { curve, within });
            }
            if covers { None } else { Some(curves) }
        }
        (Carrier::Plane(plane), Obstacle::NearPolygon { outline, radius, .. }) => {
            Some(offset_outline(outline, *radius, plane, 1.0))
        }
        (Carrier::Plane(plane), Obstacle::OutsideArea { outline, radius, .. }) => {
            let rings = outline.rings.iter();
            Some(rings.flat_map(|ring| offset_outline(ring, *radius, plane, -1.0)).collect())
        }
        (Carrier::Plane(_), Obstacle::Inside(_))
        | (Carrier::Sphere { .. }, Obstacle::NearPolygon { .. } | Obstacle::OutsideArea { .. }) => {
            Some(Vec::new())
        }
    }
}

/// The part of a sphere beyond a plane.
enum Cap {
    Everything,
    Nothing,
    /// Within a circle of this radius.
    Within {
        rim: f64,
    },
}

/// The cap beyond a plane at a distance along the axis of a sphere.
fn cut(along: f64, radius: f64) -> Cap {
    if along <= -radius {
        Cap::Everything
    } else if along >= radius {
        Cap::Nothing
    } else {
        Cap::Within { rim: (radius * radius - along * along).sqrt() }
    }
}

/// Lines beside the edges and circles around the corners of a polygon; `side` +1 outside it, −1 inside.
fn offset_outline(outline: &[DVec2], radius: f64, plane: &Slope, side: f64) -> Vec<Candidate> {
    let mut found = Vec::new();
    let count = outline.len();
    for index in 0..count {
        let (a, b, c) = (outline[index], outline[(index + 1) % count], outline[(index + 2) % count]);
        let along = (b - a).normalize();
        let out = DVec2::new(along.y, -along.x) * side;
        // Outside, the free side is on the right of the edge's own direction, so the line runs in the opposite direction.
        let (from, direction) = if side > 0.0 { (b, -along) } else { (a, along) };
        let line = Curve::Line {
            from: plane.point(from + out * radius),
            direction: plane.vector(direction),
            up: plane.normal,
            length: (b - a).length(),
        };
        found.push(Candidate { curve: line, within: Vec::new() });
        let next = (c - b).normalize();
        let turns_left = along.perp_dot(next) > 0.0;
        if radius > 0.0 && turns_left == (side > 0.0) {
            // Around the corner, between the two lines.
            let circle = Curve::circle(plane.point(b), -plane.normal, radius);
            let beyond = |normal: DVec2| {
                let normal = plane.vector(normal);
                Plane { normal, offset: normal.dot(plane.point(b)) }
            };
            let within = vec![beyond(-along), beyond(next)];
            found.push(Candidate { curve: circle, within });
        }
    }
    found
}
