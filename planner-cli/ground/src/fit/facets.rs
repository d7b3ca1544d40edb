//! Facets: regions of cells whose points all lie within the tolerance of one plane.
//!
//! Regions grow from the flattest places (region growing as in Besl & Jain, *Segmentation through variable-order surface fitting*, PAMI 10 (1988)
//! 167). Then cells at the border between two facets go to the one whose plane is nearer, and planes are fitted anew, in turns, as in Lloyd's
//! method (Cohen-Steiner, Alliez & Desbrun, *Variational shape approximation*, SIGGRAPH 2004). Both references are from memory.

use super::region::{Marks, add_cell, area_of, around, moments_of, parts};
use super::{Fit, Owner, STEEPEST, Scale, Surface, misfit};
use crate::cells::Cells;
use crate::plane::{Moments, Plane};
use std::collections::{BTreeSet, VecDeque};

/// Rounds of growing and fitting anew; most regions need three.
const GROWTH_ROUNDS: usize = 10;
/// Rounds in which borders move.
const BORDER_ROUNDS: usize = 24;
/// While a region grows its plane is fitted anew each time it has grown by this factor.
const REFIT_FACTOR: f64 = 1.2;
/// Seeds are tried in classes of flatness, this many up to the tolerance, each in the order of the cells.
const FLATNESS_CLASSES: f64 = 16.0;

pub(super) fn find(cells: &Cells, scale: &Scale, fit: &mut Fit) {
    let mut marks = Marks::new(cells.len());
    let mut spent = vec![false; cells.len()];
    for seed in seeds(cells, scale, fit, &mut marks) {
        if spent[seed] || fit.owners[seed] != Owner::Open {
            continue;
        }
        let Some((plane, members)) = grown(cells, scale, fit, seed, &mut marks) else { continue };
        if area_of(cells, &members) < scale.least_area() {
            members.iter().for_each(|cell| spent[*cell] = true);
            continue;
        }
        let number = fit.surfaces.len() as u32;
        members.iter().for_each(|cell| fit.owners[*cell] = Owner::Surface(number));
        fit.surfaces.push(Surface { plane, is_cover: false });
    }
    merge(cells, scale, fit);
    settle_borders(cells, scale, fit, &mut marks);
    merge(cells, scale, fit);
    separate_parts(cells, scale, fit);
    level(cells, scale, fit);
}

/// Cells whose surroundings are flat, the flattest first.
fn seeds(cells: &Cells, scale: &Scale, fit: &Fit, marks: &mut Marks) -> Vec<usize> {
    let mut rated: Vec<(u32, usize)> = Vec::new();
    for cell in (0..cells.len()).filter(|cell| fit.owners[*cell] == Owner::Open && !cells.steep[*cell]) {
        let near = around(cells, cell, scale.foot, marks, |other| fit.owners[other] == Owner::Open);
        let plane = moments_of(cells, &near).plane();
        let worst = near.iter().map(|other| misfit(cells, *other, &plane)).fold(0.0, f64::max);
        // Beside an edge the surroundings are not flat, but a narrow ledge is all edge: the cell itself still counts.
        let own = misfit(cells, cell, &plane).max(0.5 * worst.min(2.0 * scale.tolerance));
        if worst.is_finite() {
            rated.push(((worst.max(own) / scale.tolerance * FLATNESS_CLASSES) as u32, cell));
        }
    }
    rated.sort_unstable();
    rated.into_iter().map(|(_, cell)| cell).collect()
}

/// The region that grows from a seed.
fn grown(
    cells: &Cells,
    scale: &Scale,
    fit: &Fit,
    seed: usize,
    marks: &mut Marks,
) -> Option<(Plane, Vec<usize>)> {
    let free = |cell: usize| fit.owners[cell] == Owner::Open && !cells.steep[cell];
    let start = around(cells, seed, scale.foot, marks, free);
    let mut plane = moments_of(cells, &start).plane();
    let fits = |cell: usize, plane: &Plane| misfit(cells, cell, plane) <= scale.tolerance;
    if !fits(seed, &plane) {
        // Where the surroundings are uneven the nearest cells alone may be flat.
        let near: Vec<usize> = std::iter::once(seed).chain(cells.beside(seed).filter(|c| free(*c))).collect();
        plane = moments_of(cells, &near).plane();
    }
    let mut members: Vec<usize> = Vec::new();
    for _ in 0..GROWTH_ROUNDS {
        if !fits(seed, &plane) {
            return None;
        }
        marks.clear();
        marks.set(seed);
        let (mut now, mut queue) = (Vec::new(), VecDeque::from([seed]));
        let (mut moments, mut fitted) = (Moments::default(), start.len().max(8));
        while let Some(cell) = queue.pop_front() {
            now.push(cell);
            add_cell(&mut moments, cells, cell);
            if now.len() as f64 >= REFIT_FACTOR * fitted as f64 {
                plane = moments.plane();
                fitted = now.len();
            }
            for other in cells.beside(cell) {
                if free(other) && !marks.has(other) && fits(other, &plane) {
                    marks.set(other);
                    queue.push_back(other);
                }
            }
        }
        plane = moments.plane();
        let is_stable = now == members && now.iter().all(|cell| fits(*cell, &plane));
        members = now;
        if is_stable {
            break;
        }
    }
    members.retain(|cell| fits(*cell, &plane));
    (plane.slope.length() <= STEEPEST && !members.is_empty()).then_some((plane, members))
}

/// The cells of each surface.
pub(super) fn members(fit: &Fit) -> Vec<Vec<usize>> {
    let mut members = vec![Vec::new(); fit.surfaces.len()];
    for (cell, owner) in fit.owners.iter().enumerate() {
        if let Owner::Surface(number) = owner {
            members[*number as usize].push(cell);
        }
    }
    members
}

/// Joins neighbouring facets that one plane fits.
fn merge(cells: &Cells, scale: &Scale, fit: &mut Fit) {
    let mut members = members(fit);
    let mut sums: Vec<Moments> = members.iter().map(|list| moments_of(cells, list)).collect();
    loop {
        let mut joined = false;
        for (a, b) in neighbours(cells, fit) {
            let (a, b) = (a as usize, b as usize);
            if members[a].is_empty() || members[b].is_empty() {
                continue;
            }
            let mut both = sums[a];
            both.join(&sums[b]);
            let plane = both.plane();
            let fits =
                |list: &[usize]| list.iter().all(|cell| misfit(cells, *cell, &plane) <= scale.tolerance);
            if plane.slope.length() <= STEEPEST && fits(&members[a]) && fits(&members[b]) {
                let moved = std::mem::take(&mut members[b]);
                moved.iter().for_each(|cell| fit.owners[*cell] = Owner::Surface(a as u32));
                members[a].extend(moved);
                sums[a] = both;
                fit.surfaces[a].plane = plane;
                joined = true;
            }
        }
        if !joined {
            return;
        }
    }
}

/// Pairs of surfaces that have neighbouring cells.
fn neighbours(cells: &Cells, fit: &Fit) -> BTreeSet<(u32, u32)> {
    let mut pairs = BTreeSet::new();
    for cell in 0..cells.len() {
        let Owner::Surface(own) = fit.owners[cell] else { continue };
        for other in cells.beside(cell) {
            if let Owner::Surface(other) = fit.owners[other]
                && other > own
            {
                pairs.insert((own, other));
            }
        }
    }
    pairs
}

/// Gives each cell at a border to the facet whose plane is nearer, and takes in open cells that fit. Both planes must fit the cell; which is nearer
/// is judged by all points under a foot around it, because noise of single points would make borders ragged.
fn settle_borders(cells: &Cells, scale: &Scale, fit: &mut Fit, marks: &mut Marks) {
    for _ in 0..BORDER_ROUNDS {
        let mut moved = 0;
        for cell in (0..cells.len()).filter(|cell| !cells.steep[*cell]) {
            let own = match fit.owners[cell] {
                Owner::Stone(_) => continue,
                Owner::Open => None,
                Owner::Surface(own) => Some(own),
            };
            let plane = |number: u32| fit.surfaces[number as usize].plane;
            let mut candidates: Vec<u32> = Vec::new();
            for other in cells.beside(cell) {
                if let Owner::Surface(number) = fit.owners[other]
                    && Some(number) != own
                    && !candidates.contains(&number)
                    && misfit(cells, cell, &plane(number)) <= scale.tolerance
                {
                    candidates.push(number);
                }
            }
            if candidates.is_empty() {
                continue;
            }
            let near = around(cells, cell, scale.foot, marks, |_| true);
            let rated = |number: u32| {
                let each = |other: &usize| misfit(cells, *other, &plane(number)).min(scale.tolerance);
                near.iter().map(|other| each(other).powi(2) * cells.areas[*other]).sum::<f64>()
            };
            let mut best = own.map(|own| (rated(own), own));
            for number in candidates {
                let there = rated(number);
                if best.is_none_or(|(here, _)| there < here * (1.0 - 1e-9)) {
                    best = Some((there, number));
                }
            }
            if let Some((_, number)) = best
                && Some(number) != own
            {
                fit.owners[cell] = Owner::Surface(number);
                moved += 1;
            }
        }
        for (number, list) in members(fit).iter().enumerate().filter(|(_, list)| !list.is_empty()) {
            let plane = moments_of(cells, list).plane();
            let fits = |cell: &usize| misfit(cells, *cell, &plane) <= scale.tolerance;
            // A better plane for most that is worse for some would make cells come and go.
            if plane.slope.length() <= STEEPEST && list.iter().all(fits) {
                fit.surfaces[number].plane = plane;
            }
        }
        if moved == 0 {
            return;
        }
    }
}

/// Facets that fell apart become several; crumbs go to a facet around them that fits, or are opened.
fn separate_parts(cells: &Cells, scale: &Scale, fit: &mut Fit) {
    let planes: Vec<Plane> = fit.surfaces.iter().map(|surface| surface.plane).collect();
    let all = members(fit);
    fit.surfaces.clear();
    let before = fit.owners.clone();
    let mut crumbs: Vec<Vec<usize>> = Vec::new();
    for (number, list) in all.iter().enumerate() {
        let own = Owner::Surface(number as u32);
        for part in parts(cells, list, |cell| before[cell] == own) {
            let owner = if area_of(cells, &part) < scale.least_area() {
                crumbs.push(part.clone());
                Owner::Open
            } else {
                fit.surfaces.push(Surface { plane: planes[number], is_cover: false });
                Owner::Surface(fit.surfaces.len() as u32 - 1)
            };
            part.iter().for_each(|cell| fit.owners[*cell] = owner);
        }
    }
    for crumb in crumbs {
        let around = crumb.iter().flat_map(|cell| cells.beside(*cell)).map(|other| fit.owners[other]);
        let fits = |owner: &Owner| match owner {
            Owner::Surface(number) => {
                let plane = fit.surfaces[*number as usize].plane;
                crumb.iter().all(|cell| misfit(cells, *cell, &plane) <= scale.tolerance)
            }
            _ => false,
        };
        if let Some(owner) = around.into_iter().find(fits) {
            crumb.iter().for_each(|cell| fit.owners[*cell] = owner);
        }
    }
}

/// Makes facets level whose points a level plane fits about as well.
fn level(cells: &Cells, scale: &Scale, fit: &mut Fit) {
    for (number, list) in members(fit).iter().enumerate() {
        let plane = Plane::level(rounded(moments_of(cells, list).mean_height()));
        let mean = |plane: &Plane| {
            let sum: f64 = list
                .iter()
                .map(|cell| {
                    let each =
                        cells.samples_of(*cell).iter().map(|p| plane.distance(*p).powi(2)).sum::<f64>();
                    each * cells.weight_in(*cell)
                })
                .sum();
            (sum / area_of(cells, list)).sqrt()
        };
        let fits = list.iter().all(|cell| misfit(cells, *cell, &plane) <= scale.tolerance);
        let surface = &mut fit.surfaces[number];
        if fits && mean(&plane) <= mean(&surface.plane) + 0.05 * scale.tolerance {
            surface.plane = plane;
        }
    }
}

/// To a tenth of a millimetre.
fn rounded(height: f64) -> f64 {
    (height * 1e4).round() / 1e4
}
