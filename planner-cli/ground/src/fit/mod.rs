//! Finds planes and balls in the cells of a survey.

mod covers;
mod edges;
mod facets;
mod region;
mod stones;

use crate::ball::Ball;
use crate::cells::Cells;
use crate::plane::Plane;

/// Steeper than this, as rise per metre, no deck may be: 60°.
pub(crate) const STEEPEST: f64 = 1.732_050_807_568_877_2;
/// Kept back from the tolerance, in metres, for the rounding of heights and outlines; at most a tenth of it.
const KEPT_BACK_M: f64 = 2e-4;

/// How far straight outlines may lie beside the border of the cells, as a part of the cells' width.
const WITHIN_CELLS: f64 = 0.75;
/// The same as a part of the foot's radius, where cells are small.
const WITHIN_FOOT: f64 = 0.05;

/// What a cell belongs to.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Owner {
    /// Nothing yet.
    Open,
    /// The surface of this number.
    Surface(u32),
    /// The stone of this number.
    Stone(u32),
}

/// A plane piece of ground.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Surface {
    pub(crate) plane: Plane,
    /// Whether it only covers what no plane fits: its plane lies above all of it.
    pub(crate) is_cover: bool,
}

/// Lengths that decide the fit, in metres.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Scale {
    /// The tolerance as it was given.
    pub(crate) given: f64,
    /// Surveyed points of a facet lie within this of its plane.
    pub(crate) tolerance: f64,
    /// The radius of the foot that is to stand on facets.
    pub(crate) foot: f64,
    /// Strips between facets up to about this wide are their edges.
    pub(crate) edge: f64,
    /// The width of a cell, or 0.
    pub(crate) grain: f64,
}

impl Scale {
    pub(crate) fn new(tolerance: f64, foot: f64, cells: &Cells) -> Self {
        let kept = tolerance - KEPT_BACK_M.min(0.1 * tolerance);
        Self {
            given: tolerance,
            tolerance: kept,
            foot,
            edge: (1.5 * cells.grain).max(0.25 * foot),
            grain: cells.grain,
        }
    }

    /// How far a segment of an outline may lie beside the border of the cells.
    pub(crate) fn straightened(&self) -> f64 {
        (WITHIN_CELLS * self.grain).max(WITHIN_FOOT * self.foot)
    }

    /// Points beyond the tolerance may lie this near to an outline: they belong to the strip between two facets.
    pub(crate) fn strip(&self) -> f64 {
        2.0 * self.edge + self.straightened() + 0.5 * self.grain
    }

    /// Regions smaller than a quarter of a foot are no facets.
    fn least_area(&self) -> f64 {
        0.25 * std::f64::consts::PI * self.foot * self.foot
    }
}

/// Which cell belongs to what.
#[derive(Clone, Debug)]
pub(crate) struct Fit {
    pub(crate) owners: Vec<Owner>,
    pub(crate) surfaces: Vec<Surface>,
    pub(crate) stones: Vec<Ball>,
    /// Cells between two facets that fit neither, and were given to the nearer one.
    pub(crate) shared_out: Vec<bool>,
}

/// Finds stones, then facets, then the edges between them; covers what is left.
pub(crate) fn fit(cells: &Cells, scale: &Scale) -> Fit {
    let open = vec![Owner::Open; cells.len()];
    let mut fit =
        Fit { owners: open, surfaces: Vec::new(), stones: Vec::new(), shared_out: vec![false; cells.len()] };
    stones::find(cells, scale, &mut fit);
    facets::find(cells, scale, &mut fit);
    edges::share_out(cells, scale, &mut fit);
    covers::cover(cells, scale, &mut fit);
    fit
}

/// The largest distance of a cell's points from a plane, in metres.
fn misfit(cells: &Cells, cell: usize, plane: &Plane) -> f64 {
    let off = |p: &glam::DVec3| (p.z - plane.at(p.truncate())).abs();
    cells.samples_of(cell).iter().map(off).fold(0.0, f64::max) * plane.cosine()
}
