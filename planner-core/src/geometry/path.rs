//! The path of one point: a circular arc in space, or a straight line.

use super::Slope;
use crate::math::{DVec3, Wave, sin, sin_cos};
use std::f64::consts::PI;

/// The path of a point over the progress of a motion. The parameter runs from 0 to [`span`](Self::span): an angle on an arc, a fraction of the length
/// on a line.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Path {
    /// `centre + cosine·cos θ + sine·sin θ` for θ from 0 to `span` (either sign).
    Arc {
        /// Centre of the circle, in metres.
        centre: DVec3,
        /// Vector from the centre to the start, in metres.
        cosine: DVec3,
        /// Vector from the centre to the point a quarter turn on, in metres.
        sine: DVec3,
        /// Angle of the whole arc, in radians.
        span: f64,
    },
    /// `from + step·s` for s from 0 to 1.
    Line {
        /// The start, in metres.
        from: DVec3,
        /// Vector from start to end, in metres.
        step: DVec3,
    },
    /// An arc whose centre goes evenly along a line: `centre + step·θ/span + cosine·cos θ + sine·sin θ` for θ from 0 to `span`, which is not 0.
    Trochoid {
        /// Centre of the circle at the start, in metres.
        centre: DVec3,
        /// Vector from the centre to the start, in metres.
        cosine: DVec3,
        /// Vector from the centre to the point a quarter turn on, in metres.
        sine: DVec3,
        /// Angle of the whole motion, in radians.
        span: f64,
        /// Way of the centre, in metres.
        step: DVec3,
    },
}

/// A path is looked at in parts, at most so many.
const MOST_PARTS: f64 = 1024.0;

impl Path {
    /// The last value of the parameter.
    #[must_use]
    pub const fn span(&self) -> f64 {
        match self {
            Self::Arc { span, .. } | Self::Trochoid { span, .. } => *span,
            Self::Line { .. } => 1.0,
        }
    }

    /// The same path, shifted.
    #[must_use]
    pub fn shifted(&self, by: DVec3) -> Self {
        match *self {
            Self::Arc { centre, cosine, sine, span } => Self::Arc { centre: centre + by, cosine, sine, span },
            Self::Line { from, step } => Self::Line { from: from + by, step },
            Self::Trochoid { centre, cosine, sine, span, step } => {
                Self::Trochoid { centre: centre + by, cosine, sine, span, step }
            }
        }
    }

    /// The same path in the frame of a plane: its coordinates, and the height above it.
    #[must_use]
    pub fn in_frame(&self, plane: &Slope) -> Self {
        if plane.is_level() {
            return self.shifted(DVec3::NEG_Z * plane.origin.z);
        }
        let turned = |d: DVec3| DVec3::new(d.dot(plane.u), d.dot(plane.v), d.dot(plane.normal));
        match *self {
            Self::Arc { centre, cosine, sine, span } => Self::Arc {
                centre: turned(centre - plane.origin),
                cosine: turned(cosine),
                sine: turned(sine),
                span,
            },
            Self::Line { from, step } => Self::Line { from: turned(from - plane.origin), step: turned(step) },
            Self::Trochoid { centre, cosine, sine, span, step } => Self::Trochoid {
                centre: turned(centre - plane.origin),
                cosine: turned(cosine),
                sine: turned(sine),
                span,
                step: turned(step),
            },
        }
    }

    /// The point at a parameter.
    #[must_use]
    pub fn at(&self, t: f64) -> DVec3 {
        match self {
            Self::Arc { centre, cosine, sine, .. } => {
                let (s, c) = sin_cos(t);
                *centre + *cosine * c + *sine * s
            }
            Self::Line { from, step } => *from + *step * t,
            Self::Trochoid { centre, cosine, sine, span, step } => {
                let (s, c) = sin_cos(t);
                *centre + *step * (t / *span) + *cosine * c + *sine * s
            }
        }
    }

    /// The part of it between two fractions, from 0 to 1.
    #[must_use]
    pub fn part(&self, from: f64, to: f64) -> Self {
        match *self {
            Self::Arc { centre, cosine, sine, span } => {
                let (s, c) = sin_cos(from * span);
                Self::Arc {
                    centre,
                    cosine: cosine * c + sine * s,
                    sine: sine * c - cosine * s,
                    span: (to - from) * span,
                }
            }
            Self::Line { from: begin, step } => {
                Self::Line { from: begin + step * from, step: step * (to - from) }
            }
            Self::Trochoid { centre, cosine, sine, span, step } => {
                let (s, c) = sin_cos(from * span);
                let centre = centre + step * from;
                let (cosine, sine) = (cosine * c + sine * s, sine * c - cosine * s);
                if to == from {
                    return Self::Line { from: centre + cosine, step: DVec3::ZERO };
                }
                Self::Trochoid { centre, cosine, sine, span: (to - from) * span, step: step * (to - from) }
            }
        }
    }

    /// The path in parts that are about as long as asked for, in metres; at most some thousand.
    #[must_use]
    pub fn in_parts(&self, length_m: f64) -> Vec<Self> {
        let count = (self.length() / length_m).ceil().clamp(1.0, MOST_PARTS);
        (0..count as usize).map(|part| self.part(part as f64 / count, (part + 1) as f64 / count)).collect()
    }

    /// Length of the path in metres, of a trochoid a bound above it.
    #[must_use]
    pub fn length(&self) -> f64 {
        match self {
            Self::Arc { cosine, span, .. } => cosine.length() * span.abs(),
            Self::Line { step, .. } => step.length(),
            Self::Trochoid { cosine, span, step, .. } => cosine.length() * span.abs() + step.length(),
        }
    }

    /// Upper bound on the distance of any point of the path from the point at half the span.
    #[must_use]
    pub fn reach_from_middle(&self) -> f64 {
        match self {
            Self::Arc { cosine, sine, span, .. } => {
                let radius = cosine.length().max(sine.length());
                2.0 * radius * sin((0.25 * span.abs()).min(0.5 * PI))
            }
            Self::Line { step, .. } => 0.5 * step.length(),
            Self::Trochoid { cosine, sine, span, step, .. } => {
                let radius = cosine.length().max(sine.length());
                2.0 * radius * sin((0.25 * span.abs()).min(0.5 * PI)) + 0.5 * step.length()
            }
        }
    }

    /// Curvature bound: the largest second derivative of the point with respect to the progress (0 to 1).
    #[must_use]
    pub fn curvature_bound(&self) -> f64 {
        match self {
            Self::Arc { cosine, span, .. } | Self::Trochoid { cosine, span, .. } => {
                cosine.length() * span * span
            }
            Self::Line { .. } => 0.0,
        }
    }

    /// The coordinate along `direction` as a wave of the angle; only for arcs.
    pub(super) fn wave(centre: DVec3, cosine: DVec3, sine: DVec3, direction: DVec3, origin: DVec3) -> Wave {
        Wave::new((centre - origin).dot(direction), cosine.dot(direction), sine.dot(direction))
    }

    /// Least coordinate along a direction.
    #[must_use]
    pub fn least_along(&self, direction: DVec3) -> f64 {
        match *self {
            Self::Arc { centre, cosine, sine, span } => {
                Self::wave(centre, cosine, sine, direction, DVec3::ZERO).least(span)
            }
            Self::Line { from, step } => from.dot(direction) + step.dot(direction).min(0.0),
            Self::Trochoid { .. } => {
                self.least_by_chords(&|p| p.dot(direction), &|line| Some(line.least_along(direction))).0
            }
        }
    }

    /// Greatest coordinate along a direction.
    #[must_use]
    pub fn greatest_along(&self, direction: DVec3) -> f64 {
        -self.least_along(-direction)
    }

    /// Least distance to a fixed point, and the parameter where it is reached.
    ///
    /// The squared distance is a wave on an arc and a parabola on a line, so this is exact; on a trochoid to 1e-9 m.
    #[must_use]
    pub fn least_distance_to_point(&self, q: DVec3) -> (f64, f64) {
        let span = self.span();
        if let Self::Trochoid { .. } = self {
            return self.least_by_chords(&|p| p.distance(q), &|line| Some(line.least_distance_to_point(q).0));
        }
        let mut best = ((self.at(0.0) - q).length(), 0.0);
        let mut consider = |t: f64| {
            let distance = (self.at(t) - q).length();
            if distance < best.0 {
                best = (distance, t);
            }
        };
        consider(span);
        match self {
            Self::Arc { centre, cosine, sine, .. } => {
                let offset = *centre - q;
                let wave = Wave::new(0.0, offset.dot(*cosine), offset.dot(*sine));
                wave.stationary(span).for_each(&mut consider);
            }
            Self::Line { from, step } => {
                let squared = step.length_squared();
                if squared > 0.0 {
                    consider(((q - *from).dot(*step) / squared).clamp(0.0, 1.0));
                }
            }
            Self::Trochoid { .. } => {}
        }
        best
    }

    /// The least of a value that changes by no more than its point moves, and the parameter where it is reached, to 1e-9 m. `on_line` gives its least
    /// value on a straight path, or `None` where that does not matter.
    ///
    /// A part of the path stays within its sagitta of its chord. So the least value on the chord, less the sagitta, is a lower bound on the part; parts
    /// that might hold a smaller value are halved.
    pub(super) fn least_by_chords(
        &self,
        value: &impl Fn(DVec3) -> f64,
        on_line: &impl Fn(&Self) -> Option<f64>,
    ) -> (f64, f64) {
        let (span, curvature) = (self.span(), self.curvature_bound());
        let at = |share: f64| self.at(share * span);
        let (first, last) = (value(at(0.0)), value(at(1.0)));
        let mut best = if last < first { (last, span) } else { (first, 0.0) };
        let mut open = vec![(0.0, 1.0)];
        while let Some((from, to)) = open.pop() {
            let (begin, width): (DVec3, f64) = (at(from), to - from);
            let chord = Self::Line { from: begin, step: at(to) - begin };
            let sagitta = curvature * width * width / 8.0;
            if on_line(&chord).is_none_or(|least| least - sagitta >= best.0 - NEAR_M) || width < f64::EPSILON
            {
                continue;
            }
            let middle = 0.5 * (from + to);
            let here = value(at(middle));
            if here < best.0 {
                best = (here, middle * span);
            }
            open.extend([(from, middle), (middle, to)]);
        }
        best
    }
}

/// Accuracy of least values on trochoids, in metres.
const NEAR_M: f64 = 1e-9;
