//! Outlines: turns the ragged borders between cells into few straight edges that both sides share.

mod arcs;
mod nodes;
mod pieces;
mod simplify;
mod triangles;

use crate::cells::Cells;
use crate::error::SurveyError;
use crate::fit::{Fit, Owner, Scale};
use arcs::Arc;
use glam::DVec2;
pub(crate) use simplify::Care;

/// What lies beside a border: a surface, or none (no data, or a stone).
pub(crate) type Side = Option<u32>;

/// An edge of a surface, with the surface on its left.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Border {
    pub(crate) from: DVec2,
    pub(crate) to: DVec2,
    /// What lies on the right.
    pub(crate) beyond: Side,
}

/// The corners of outlines are rounded to this, in metres.
const ROUNDED_M: f64 = 1e-4;
/// The same where that would make outlines meet themselves.
const FINELY_ROUNDED_M: f64 = 1e-7;
/// Rounds in which borders that get into each other's way are drawn with more care.
const ROUNDS: usize = 12;

/// The outlines of all surfaces.
#[derive(Clone, Debug, Default)]
pub(crate) struct Outlines {
    /// For each surface simple polygons, counter-clockwise, that share whole edges where they meet. Several are needed around a hole.
    pub(crate) pieces: Vec<Vec<Vec<DVec2>>>,
    /// For each surface the edges between it and others.
    pub(crate) borders: Vec<Vec<Border>>,
    /// Borders that had to be left as ragged as their cells.
    pub(crate) ragged: usize,
}

/// Draws the outlines of a fit, each border with at least so much care.
pub(crate) fn draw(
    cells: &Cells,
    scale: &Scale,
    fit: &Fit,
    least_care: Care,
) -> Result<Outlines, SurveyError> {
    let sides: Vec<Side> = fit
        .owners
        .iter()
        .map(|owner| match owner {
            Owner::Surface(number) => Some(*number),
            Owner::Stone(_) | Owner::Open => None,
        })
        .collect();
    let arcs = arcs::between(cells, &sides, &fit.shared_out);
    let mut care = vec![least_care; arcs.len()];
    for round in 0..=ROUNDS {
        let last = round == ROUNDS;
        let lines = simplify::simplified(cells, scale, fit, &arcs, &care);
        let step = if last { FINELY_ROUNDED_M } else { ROUNDED_M };
        let drawn = nodes::settled(cells, scale, &arcs, &lines, &care, last, step);
        match triangles::between(&drawn) {
            Ok(triangles) => {
                let ragged = care.iter().filter(|care| **care == Care::Ragged).count();
                return Ok(outlines(fit, &triangles, ragged));
            }
            Err(crossing) => {
                let mut changed = false;
                for arc in crossing {
                    changed |= care[arc].raise();
                }
                if !changed {
                    // Nothing more can be done for those that cross: their neighbours move them.
                    care.iter_mut().for_each(|care| {
                        care.raise();
                    });
                }
            }
        }
    }
    Err(SurveyError::new(
        "outlines",
        "the borders between the facets cross each other however they are drawn",
        "surfaces that do not overlap, seen from above, are allowed",
        "give a higher --tolerance, or take the surface on squares with --cell",
    ))
}

fn outlines(fit: &Fit, triangles: &triangles::Triangles, ragged: usize) -> Outlines {
    let count = fit.surfaces.len();
    let pieces = triangles.by_side(count).iter().map(|members| pieces::pieces(triangles, members)).collect();
    Outlines { pieces, borders: triangles.borders(count), ragged }
}

/// The ends of an arc.
fn ends(arc: &Arc) -> [u32; 2] {
    [arc.corners[0], arc.corners[arc.corners.len() - 1]]
}
