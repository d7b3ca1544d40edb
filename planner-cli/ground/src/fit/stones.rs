//! Stones: regions of cells that a ball fits, and a plane does not.

use super::region::{Marks, around};
use super::{Fit, Owner, Scale};
use crate::ball::{Ball, misfits};
use crate::cells::Cells;
use glam::DVec3;
use std::collections::VecDeque;

/// Fewer points than this do not tell a ball from a bump.
const LEAST_POINTS: usize = 12;
/// A ball fits if its points are this much nearer to it, in the mean, than to the best plane.
const BETTER: f64 = 0.5;
/// And if in the mean they are no farther from it than this part of the tolerance.
const CLOSE: f64 = 0.4;
/// Directions around the top in which the surface must be seen.
const SECTORS: usize = 8;
/// How far from the top it must be seen in each direction, in radians: 30°.
const SEEN_RAD: f64 = 0.52;
/// Points farther off than this many times the median do not count in the fit: 2.7 standard deviations of a normal distribution.
const USUAL: f64 = 4.0;
/// Rounds of leaving them out.
const TRIMS: usize = 5;
/// Rounds of growing and fitting anew.
const ROUNDS: usize = 6;
/// Larger balls than this, in metres, are ground.
const LARGEST_M: f64 = 2.0;

pub(super) fn find(cells: &Cells, scale: &Scale, fit: &mut Fit) {
    let mut marks = Marks::new(cells.len());
    for cell in summits(cells) {
        if fit.owners[cell] != Owner::Open {
            continue;
        }
        for reach in [0.5 * scale.foot, scale.foot, 2.0 * scale.foot] {
            if let Some((ball, members)) = ball_at(cells, scale, fit, cell, reach, &mut marks) {
                let number = fit.stones.len() as u32;
                members.iter().for_each(|cell| fit.owners[*cell] = Owner::Stone(number));
                fit.stones.push(ball);
                break;
            }
        }
    }
}

/// Cells no lower than those beside them, the highest first.
fn summits(cells: &Cells) -> Vec<usize> {
    let top = |cell: usize| cells.samples_of(cell).iter().map(|p| p.z).fold(f64::NEG_INFINITY, f64::max);
    let mut found: Vec<(f64, usize)> = (0..cells.len())
        .filter(|cell| cells.beside(*cell).all(|other| top(other) <= top(*cell)))
        .map(|cell| (top(cell), cell))
        .collect();
    found.sort_by(|a, b| b.0.total_cmp(&a.0).then(a.1.cmp(&b.1)));
    found.into_iter().map(|(_, cell)| cell).collect()
}

fn ball_at(
    cells: &Cells,
    scale: &Scale,
    fit: &Fit,
    summit: usize,
    reach: f64,
    marks: &mut Marks,
) -> Option<(Ball, Vec<usize>)> {
    let free = |cell: usize| fit.owners[cell] == Owner::Open;
    let start = around(cells, summit, reach, marks, free);
    let mut points = points_of(cells, &start);
    // On flat ground there is nothing to do, and a rough fit shows it.
    let mut ball = (points.len() >= LEAST_POINTS / 2).then(|| Ball::roughly(&points)).flatten()?;
    let (near_ball, near_plane) = misfits(&points, &ball);
    if near_ball > near_plane || near_plane < 0.1 * scale.tolerance {
        return None;
    }
    ball = Ball::fit(&points)?;
    if misfits(&points, &ball).0 > BETTER * near_plane {
        return None;
    }
    let mut members = Vec::new();
    for _ in 0..ROUNDS {
        let fits = |cell: usize| {
            let upper = |p: &DVec3| p.z >= ball.centre.z && ball.distance(*p).abs() <= scale.tolerance;
            cells.samples_of(cell).iter().all(upper)
        };
        if !fits(summit) || ball.radius > LARGEST_M {
            return None;
        }
        marks.clear();
        marks.set(summit);
        members.clear();
        let mut queue = VecDeque::from([summit]);
        while let Some(cell) = queue.pop_front() {
            members.push(cell);
            for other in cells.beside(cell) {
                if free(other) && !marks.has(other) && fits(other) {
                    marks.set(other);
                    queue.push_back(other);
                }
            }
        }
        points = points_of(cells, &members);
        ball = Ball::fit(&points)?;
    }
    let fits = points.iter().all(|(p, _)| ball.distance(*p).abs() <= scale.tolerance);
    let (near_ball, near_plane) = misfits(&points, &ball);
    let is_better =
        near_ball <= (BETTER * near_plane).min(CLOSE * scale.tolerance) && near_plane > 0.5 * scale.tolerance;
    let is_ball = fits && is_better && points.len() >= LEAST_POINTS && is_seen_all_round(&ball, &points);
    is_ball.then(|| (without_rim(ball, &points, scale), members))
}

/// The ball without the points at its rim that may belong to the ground: those that are unusually far off.
fn without_rim(ball: Ball, points: &[(DVec3, f64)], scale: &Scale) -> Ball {
    let mut better = ball;
    for _ in 0..TRIMS {
        let mut distances: Vec<f64> = points.iter().map(|(p, _)| better.distance(*p).abs()).collect();
        distances.sort_by(f64::total_cmp);
        let usual = USUAL * distances[distances.len() / 2];
        let kept: Vec<(DVec3, f64)> =
            points.iter().copied().filter(|(p, _)| better.distance(*p).abs() <= usual).collect();
        match Ball::fit(&kept) {
            Some(next) if points.iter().all(|(p, _)| next.distance(*p).abs() <= scale.tolerance) => {
                better = next
            }
            _ => return better,
        }
    }
    better
}

fn points_of(cells: &Cells, members: &[usize]) -> Vec<(DVec3, f64)> {
    members
        .iter()
        .flat_map(|cell| cells.samples_of(*cell).iter().map(|p| (*p, cells.weight_in(*cell))))
        .collect()
}

/// Whether the surface is seen far enough from the top in all directions; a ridge or a corner is not.
fn is_seen_all_round(ball: &Ball, points: &[(DVec3, f64)]) -> bool {
    let mut seen = [0.0_f64; SECTORS];
    for (p, _) in points {
        let out = *p - ball.centre;
        let turn = out.y.atan2(out.x) / std::f64::consts::TAU + 0.5;
        let sector = ((turn * SECTORS as f64) as usize).min(SECTORS - 1);
        seen[sector] = seen[sector].max(out.truncate().length().atan2(out.z));
    }
    seen.iter().all(|angle| *angle >= SEEN_RAD)
}
