//! Free areas as rows of pixels whose ends are found by halving.

use super::projection::Projection;
use crate::svg::number;
use clamber_core::DVec3;
use std::fmt::Write;

/// Height of a row and distance of samples along it, in pixels.
const STEP: f64 = 1.0;
/// Halvings to find where a run ends, to a hundredth of a pixel.
const HALVINGS: usize = 7;

/// Path data of the places for which `class_of` gives each class below `classes`.
pub(crate) fn rows(
    projection: Projection,
    classes: usize,
    class_of: impl Fn(DVec3) -> Option<usize>,
) -> Vec<String> {
    let (half_x, half_y) = projection.half();
    let mut paths = vec![String::new(); classes];
    let class = |x: f64, y: f64| projection.place_at((x, y)).and_then(&class_of);
    let rows = (2.0 * half_y / STEP).ceil() as usize;
    let columns = (2.0 * half_x / STEP).ceil() as usize;
    for row in 0..rows {
        let y = -half_y + (row as f64 + 0.5) * STEP;
        let mut open: Option<(f64, usize)> = None;
        let mut before: Option<usize> = None;
        for column in 0..=columns + 1 {
            let x = -half_x + (column as f64 - 0.5) * STEP;
            let here = class(x, y);
            if here == before {
                continue;
            }
            let edge = boundary(&class, before, x - STEP, x, y);
            if let Some((from, kind)) = open.take() {
                push_run(&mut paths[kind], from, edge, y);
            }
            open = here.map(|kind| (edge, kind));
            before = here;
        }
        if let Some((from, kind)) = open {
            push_run(&mut paths[kind], from, half_x, y);
        }
    }
    paths
}

/// Where the class of the left side ends.
fn boundary(
    class: &impl Fn(f64, f64) -> Option<usize>,
    left: Option<usize>,
    mut low: f64,
    mut high: f64,
    y: f64,
) -> f64 {
    for _ in 0..HALVINGS {
        let middle = 0.5 * (low + high);
        if class(middle, y) == left { low = middle } else { high = middle }
    }
    0.5 * (low + high)
}

fn push_run(path: &mut String, from: f64, to: f64, y: f64) {
    let (x, top, width) = (number(from), number(y - 0.5 * STEP), number(to - from));
    let _ = write!(path, "M{x} {top}h{width}v{STEP}h-{width}z");
}
