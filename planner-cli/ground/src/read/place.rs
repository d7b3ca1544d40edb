//! Puts a survey into metres, with z up, about an origin, and cuts a piece out of it.

use super::SurveyFormat;
use crate::error::SurveyError;
use crate::survey::{HeightGrid, Survey};
use glam::DVec3;

/// Farther from the origin than this, in metres, coordinates lose the precision that outlines need.
const FARTHEST_M: f64 = 10_000.0;

/// A unit of length.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Unit {
    /// Metres.
    Metre,
    /// Centimetres.
    Centimetre,
    /// Millimetres.
    Millimetre,
    /// Feet of 0.3048 m.
    Foot,
    /// Inches of 0.0254 m.
    Inch,
}

impl Unit {
    /// All units with their symbols.
    pub const ALL: [(Self, &'static str); 5] = [
        (Self::Metre, "m"),
        (Self::Centimetre, "cm"),
        (Self::Millimetre, "mm"),
        (Self::Foot, "ft"),
        (Self::Inch, "in"),
    ];

    const fn metres(self) -> f64 {
        match self {
            Self::Metre => 1.0,
            Self::Centimetre => 0.01,
            Self::Millimetre => 0.001,
            Self::Foot => 0.3048,
            Self::Inch => 0.0254,
        }
    }
}

/// Which axis of the file points up.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Up {
    /// z, as in scenes.
    #[default]
    Z,
    /// y, as in many meshes: x stays, z becomes -y.
    Y,
}

/// A rectangle seen from above, in metres about the origin.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Window {
    /// The least x and y.
    pub low: [f64; 2],
    /// The greatest x and y.
    pub high: [f64; 2],
}

/// How the coordinates of a file become those of a scene.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Placing {
    /// The unit of the file; needed where the format has none.
    pub unit: Option<Unit>,
    /// The axis that points up.
    pub up: Up,
    /// The place, in the file's unit and with z up, that becomes the origin.
    pub origin: DVec3,
    /// Only what lies in here is used.
    pub window: Option<Window>,
    /// Only what lies below this height is used, in metres above the origin.
    pub ceiling_m: Option<f64>,
}

impl Placing {
    pub(super) fn apply(
        &self,
        raw: Survey,
        format: SurveyFormat,
        notes: &mut Vec<String>,
    ) -> Result<Survey, SurveyError> {
        let unit = match self.unit {
            Some(unit) => unit,
            None if format.has_unit() => {
                notes.push("lengths are taken as metres, as is usual in this format".into());
                Unit::Metre
            }
            None => {
                return Err(SurveyError::new(
                    "--unit",
                    "the unit of length is not known: files of this format do not say it",
                    "the units m, cm, mm, ft and in are allowed",
                    "give it, for instance --unit mm",
                ));
            }
        };
        let metres = unit.metres();
        let up = self.up;
        let placed = |p: DVec3| {
            let turned = if up == Up::Y { DVec3::new(p.x, -p.z, p.y) } else { p };
            (turned - self.origin) * metres
        };
        let placed = match raw {
            Survey::Grid(grid) => {
                if up != Up::Z {
                    return Err(SurveyError::new(
                        "--up",
                        "a height grid was given with another axis up",
                        "z is up in height grids",
                        "leave the option out",
                    ));
                }
                let corner =
                    [(grid.corner[0] - self.origin.x) * metres, (grid.corner[1] - self.origin.y) * metres];
                let heights = grid.heights.iter().map(|z| (z - self.origin.z) * metres).collect();
                Survey::Grid(HeightGrid { corner, cell: grid.cell * metres, heights, ..grid })
            }
            Survey::Mesh { points, triangles } => {
                Survey::Mesh { points: points.into_iter().map(placed).collect(), triangles }
            }
            Survey::Cloud(points) => Survey::Cloud(points.into_iter().map(placed).collect()),
        };
        let cut = self.cut(placed, notes);
        within_reach(&cut)?;
        Ok(cut)
    }

    fn cut(&self, survey: Survey, notes: &mut Vec<String>) -> Survey {
        let ceiling = self.ceiling_m.unwrap_or(f64::INFINITY);
        let window = self.window.unwrap_or(Window { low: [f64::NEG_INFINITY; 2], high: [f64::INFINITY; 2] });
        if self.ceiling_m.is_none() && self.window.is_none() {
            return survey;
        }
        let inside = |p: DVec3| {
            p.z <= ceiling
                && (window.low[0]..=window.high[0]).contains(&p.x)
                && (window.low[1]..=window.high[1]).contains(&p.y)
        };
        let (before, survey, after) = match survey {
            Survey::Grid(mut grid) => {
                let (corner, cell, columns) = (grid.corner, grid.cell, grid.columns);
                let before = grid.heights.iter().filter(|z| !z.is_nan()).count();
                for (index, z) in grid.heights.iter_mut().enumerate() {
                    let x = corner[0] + ((index % columns) as f64 + 0.5) * cell;
                    let y = corner[1] + ((index / columns) as f64 + 0.5) * cell;
                    if !inside(DVec3::new(x, y, *z)) {
                        *z = f64::NAN;
                    }
                }
                let after = grid.heights.iter().filter(|z| !z.is_nan()).count();
                (before, Survey::Grid(grid), after)
            }
            Survey::Cloud(mut points) => {
                let before = points.len();
                points.retain(|p| inside(*p));
                let after = points.len();
                (before, Survey::Cloud(points), after)
            }
            Survey::Mesh { points, triangles } => {
                let before = triangles.len();
                let below = triangles
                    .into_iter()
                    .filter(|t| t.iter().all(|corner| points[*corner as usize].z <= ceiling));
                let (points, triangles) = clipped(&points, below, &window);
                let after = triangles.len();
                (before, Survey::Mesh { points, triangles }, after)
            }
        };
        let what = match survey {
            Survey::Grid(_) => "cells",
            Survey::Cloud(_) => "points",
            Survey::Mesh { .. } => "triangles",
        };
        notes.push(format!("cut out by --window or --ceiling: {after} of {before} {what} are left"));
        survey
    }
}

/// The parts of triangles within a window, as triangles.
fn clipped(
    points: &[DVec3],
    triangles: impl Iterator<Item = [u32; 3]>,
    window: &Window,
) -> (Vec<DVec3>, Vec<[u32; 3]>) {
    let (mut kept, mut found) = (Vec::new(), Vec::new());
    // Each side as an axis, a sign and a limit: inside is sign * coordinate <= limit.
    let sides = [
        (0, -1.0, -window.low[0]),
        (0, 1.0, window.high[0]),
        (1, -1.0, -window.low[1]),
        (1, 1.0, window.high[1]),
    ];
    for triangle in triangles {
        let mut polygon: Vec<DVec3> = triangle.iter().map(|corner| points[*corner as usize]).collect();
        for (axis, sign, limit) in sides.into_iter().filter(|(_, _, limit)| limit.is_finite()) {
            let beyond = |p: &DVec3| sign * p[axis] - limit;
            let mut next = Vec::with_capacity(polygon.len() + 1);
            for (i, a) in polygon.iter().enumerate() {
                let b = &polygon[(i + 1) % polygon.len()];
                let (from, to) = (beyond(a), beyond(b));
                if from <= 0.0 {
                    next.push(*a);
                }
                if (from < 0.0 && to > 0.0) || (from > 0.0 && to < 0.0) {
                    next.push(*a + (*b - *a) * (from / (from - to)));
                }
            }
            polygon = next;
        }
        let first = kept.len() as u32;
        let count = polygon.len() as u32;
        kept.extend(polygon);
        found.extend((2..count).map(|i| [first, first + i - 1, first + i]));
    }
    (kept, found)
}

fn within_reach(survey: &Survey) -> Result<(), SurveyError> {
    let far = |p: DVec3| p.abs().max_element() > FARTHEST_M;
    let one = match survey {
        Survey::Grid(grid) => {
            let end = |axis: usize, count: usize| grid.corner[axis] + grid.cell * count as f64;
            let ends = DVec3::new(end(0, grid.columns), end(1, grid.rows), 0.0);
            let corner = DVec3::new(grid.corner[0], grid.corner[1], 0.0);
            let high = grid.heights.iter().copied().find(|z| z.abs() > FARTHEST_M);
            [corner, ends]
                .into_iter()
                .chain(high.map(|z| DVec3::new(corner.x, corner.y, z)))
                .find(|p| far(*p))
        }
        Survey::Mesh { points, .. } | Survey::Cloud(points) => points.iter().copied().find(|p| far(*p)),
    };
    one.map_or(Ok(()), |p| {
        Err(SurveyError::new(
            "coordinates",
            format!("a point at x {:.1}, y {:.1}, z {:.1} m was found", p.x, p.y, p.z),
            "up to 10 km from the origin of the scene are allowed",
            "give a place of the site as --origin X Y Z, in the file's unit, and check --unit",
        ))
    })
}
