//! Covers: decks over what neither a facet nor a stone fits. The plane of a cover lies above all of its points, and no foot fits on it, so that a
//! crew goes around. Covers are kept low by keeping them small.

use super::region::{Marks, add_cell};
use super::{Fit, Owner, Scale, Surface};
use crate::cells::Cells;
use crate::plane::{Moments, Plane};
use glam::DVec2;
use std::collections::VecDeque;

/// The least width of a cover as a part of the foot's diameter, so that no foot fits on it.
const NARROW: f64 = 0.9;
/// The greatest length of a cover in diameters of the foot.
const LONG: f64 = 6.0;
/// A cover's points lie within this many tolerances of its plane, or half a foot's radius if that is more.
const TOLERANCES: f64 = 4.0;
/// Steeper than this, as rise per metre, no cover is: 45°.
const STEEPEST: f64 = 1.0;
/// Cells of one cover at most.
const MOST_CELLS: usize = 2000;

pub(super) fn cover(cells: &Cells, scale: &Scale, fit: &mut Fit) {
    let mut marks = Marks::new(cells.len());
    for seed in 0..cells.len() {
        if fit.owners[seed] != Owner::Open {
            continue;
        }
        let (members, plane) = piece(cells, scale, fit, seed, &mut marks);
        let number = fit.surfaces.len() as u32;
        members.iter().for_each(|cell| fit.owners[*cell] = Owner::Surface(number));
        fit.surfaces.push(Surface { plane, is_cover: true });
    }
}

/// The cells of one cover, and its plane.
fn piece(cells: &Cells, scale: &Scale, fit: &Fit, seed: usize, marks: &mut Marks) -> (Vec<usize>, Plane) {
    let deepest = (TOLERANCES * scale.tolerance).max(0.5 * scale.foot);
    marks.clear();
    marks.set(seed);
    let (mut members, mut moments) = (vec![seed], Moments::default());
    add_cell(&mut moments, cells, seed);
    let mut plane = over(cells, &members, &moments).0;
    let (mut low, mut high) = extent(cells, seed);
    let mut queue: VecDeque<usize> = cells.beside(seed).collect();
    while let Some(cell) = queue.pop_front() {
        if fit.owners[cell] != Owner::Open || members.len() >= MOST_CELLS || !marks.set(cell) {
            continue;
        }
        let (own_low, own_high) = extent(cells, cell);
        let size = high.max(own_high) - low.min(own_low);
        let is_narrow = size.min_element() <= NARROW * 2.0 * scale.foot;
        let is_short = size.max_element() <= LONG * 2.0 * scale.foot;
        let mut more = moments;
        add_cell(&mut more, cells, cell);
        members.push(cell);
        let (next, depth) = over(cells, &members, &more);
        if is_narrow && is_short && depth <= deepest {
            (moments, plane) = (more, next);
            (low, high) = (low.min(own_low), high.max(own_high));
            queue.extend(cells.beside(cell));
        } else {
            members.pop();
        }
    }
    (members, plane)
}

/// A plane along cells that lies above all their points, to a tenth of a millimetre, and how deep the deepest lies below it.
fn over(cells: &Cells, members: &[usize], moments: &Moments) -> (Plane, f64) {
    let best = moments.plane();
    let slope = best.slope.clamp_length_max(STEEPEST);
    let along = Plane { height: 0.0, slope };
    let points = || members.iter().flat_map(|cell| cells.samples_of(*cell));
    let above = |p: &glam::DVec3| p.z - along.at(p.truncate());
    let highest = points().map(above).fold(f64::NEG_INFINITY, f64::max);
    let lowest = points().map(above).fold(f64::INFINITY, f64::min);
    (Plane { height: (highest * 1e4).ceil() * 1e-4, slope }, highest - lowest)
}

fn extent(cells: &Cells, cell: usize) -> (DVec2, DVec2) {
    let corners = cells.loop_of(cell).iter().map(|corner| cells.corners[*corner as usize]);
    corners.fold((DVec2::INFINITY, DVec2::NEG_INFINITY), |(low, high), p| (low.min(p), high.max(p)))
}
