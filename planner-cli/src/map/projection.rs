//! From places of a face to places on the page, and back.

use clamber_core::unstable::geometry::Slope;
use clamber_core::unstable::geometry::surface::Carrier;
use clamber_core::unstable::math::heading_frame;
use clamber_core::{Body, DQuat, DVec2, DVec3, Problem};

/// Radius in pixels of the disc that holds a whole sphere.
const DISC: f64 = 104.0;
/// Largest width and height of a deck in pixels.
const DECK: f64 = 440.0;

/// How one face is drawn: pixels relative to the middle of its panel, y downwards.
#[derive(Clone, Copy, Debug)]
pub(crate) enum Projection {
    /// Lambert's azimuthal equal-area projection; the whole sphere is a disc of [`DISC`].
    Lambert {
        /// The sphere's centre.
        centre: DVec3,
        /// Its radius in metres.
        radius: f64,
        /// From page axes (right, up, outwards) to the world.
        frame: DQuat,
        /// Which world axis is to the right of the middle.
        right: char,
    },
    /// Straight down on a plane.
    Plan {
        /// The plane of the carrier.
        plane: Slope,
        /// The world's x and y in the middle.
        middle: DVec2,
        /// Half the width and height in pixels.
        half: (f64, f64),
        /// Pixels per metre.
        scale: f64,
    },
}

impl Projection {
    pub(crate) fn new(problem: &Problem, host: Body, carrier: &Carrier) -> Self {
        match (host, carrier) {
            (Body::Module(id), Carrier::Sphere { centre, radius }) => {
                let up = problem.start.get(id).up();
                let right = if up.x.abs() < 0.9 { (DVec3::X, 'x') } else { (DVec3::Y, 'y') };
                let frame = heading_frame(up, right.0).unwrap_or(DQuat::IDENTITY);
                Self::Lambert { centre: *centre, radius: *radius, frame, right: right.1 }
            }
            (Body::Ground(deck), Carrier::Plane(plane)) => {
                let corners = || problem.ground(deck).outline.corners().map(|at| plane.point(at).truncate());
                let low = corners().fold(DVec2::INFINITY, DVec2::min);
                let high = corners().fold(DVec2::NEG_INFINITY, DVec2::max);
                let size = high - low;
                let scale = DECK / size.max_element();
                let half = (0.5 * size.x * scale, 0.5 * size.y * scale);
                Self::Plan { plane: *plane, middle: 0.5 * (low + high), half, scale }
            }
            // A face has the carrier of its host; anything else is an empty panel.
            _ => Self::Plan { plane: Slope::level(0.0), middle: DVec2::ZERO, half: (0.0, 0.0), scale: 1.0 },
        }
    }

    /// Half the width and height of what is drawn, in pixels.
    pub(crate) const fn half(&self) -> (f64, f64) {
        match self {
            Self::Lambert { .. } => (DISC, DISC),
            Self::Plan { half, .. } => *half,
        }
    }

    /// Where a place of the carrier is drawn.
    pub(crate) fn to_page(self, p: DVec3) -> (f64, f64) {
        match self {
            Self::Lambert { centre, frame, .. } => {
                let n = frame.inverse() * (p - centre).normalize_or(DVec3::Z);
                let stretch = (0.5 / (1.0 + n.z).max(1e-12)).sqrt() * DISC;
                (n.x * stretch, -n.y * stretch)
            }
            Self::Plan { plane, middle, scale, .. } => {
                let at = plane.onto(p).truncate() - middle;
                (at.x * scale, -at.y * scale)
            }
        }
    }

    /// The place of the carrier drawn at a point; `None` outside the panel.
    pub(crate) fn place_at(self, (x, y): (f64, f64)) -> Option<DVec3> {
        match self {
            Self::Lambert { centre, radius, frame, .. } => {
                let (u, v) = (x / DISC, -y / DISC);
                let squared = u * u + v * v;
                if squared > 1.0 {
                    return None;
                }
                let stretch = 2.0 * (1.0 - squared).sqrt();
                let n = DVec3::new(u * stretch, v * stretch, 1.0 - 2.0 * squared);
                Some(centre + frame * n * radius)
            }
            Self::Plan { plane, middle, half, scale } => (x.abs() <= half.0 && y.abs() <= half.1)
                .then(|| plane.under(middle + DVec2::new(x, -y) / scale)),
        }
    }

    /// Pixels per metre: everywhere in plan, in the middle of a disc.
    pub(crate) fn scale(self) -> f64 {
        match self {
            Self::Lambert { radius, .. } => 0.5 * DISC / radius,
            Self::Plan { scale, .. } => scale,
        }
    }

    /// Radius in pixels of the circle at an angle from the middle of a disc.
    pub(crate) fn ring(angle_rad: f64) -> f64 {
        DISC * (0.5 * angle_rad).sin()
    }
}
