//! Residuals as rows of squares: those of the survey where they are large enough to see, else as fine as the page shows.

use super::Fitted;
use super::frame::Frame;
use super::style::CLASSES;
use crate::svg::{Svg, number};
use clamber_ground::Seen;
use glam::DVec2;
use std::collections::BTreeMap;
use std::fmt::Write;

/// The least width of a square in pixels.
const LEAST: f64 = 2.5;

pub(super) fn draw(svg: &mut Svg, frame: &Frame, fitted: &Fitted<'_>) {
    let ground = &fitted.ground;
    let width = ground.cell_m.max(LEAST * frame.pixel());
    let size = frame.high() - frame.low();
    let (columns, rows) = ((size.x / width).ceil() as usize, (size.y / width).ceil() as usize);
    let mut squares: Vec<Option<&str>> = vec![None; columns * rows];
    for (ring, seen) in &ground.cells {
        let class = class(*seen, fitted.options.tolerance_m);
        let none = (DVec2::INFINITY, DVec2::NEG_INFINITY);
        let (low, high) = ring.iter().fold(none, |(low, high), p| (low.min(*p), high.max(*p)));
        let first = ((low - frame.low()) / width - 0.5).ceil().max(DVec2::ZERO);
        let last = ((high - frame.low()) / width - 0.5).floor();
        for row in first.y as usize..(last.y + 1.0).clamp(0.0, rows as f64) as usize {
            for column in first.x as usize..(last.x + 1.0).clamp(0.0, columns as f64) as usize {
                let middle = frame.low() + (DVec2::new(column as f64, row as f64) + 0.5) * width;
                if is_inside(ring, middle) {
                    squares[row * columns + column] = Some(class);
                }
            }
        }
    }
    for (class, data) in runs(frame, &squares, columns, width) {
        svg.rows(&data, class);
    }
}

/// Convex rings only: cells are squares and triangles.
fn is_inside(ring: &[DVec2], p: DVec2) -> bool {
    (0..ring.len()).all(|i| (ring[(i + 1) % ring.len()] - ring[i]).perp_dot(p - ring[i]) >= -1e-12)
}

fn class(seen: Seen, tolerance: f64) -> &'static str {
    match seen {
        Seen::On(residual) | Seen::Stone(residual) => {
            let share = residual / tolerance;
            if share.abs() > 1.0 {
                return "beyond";
            }
            CLASSES.iter().find(|(limit, _)| share <= *limit).map_or("a4", |(_, class)| *class)
        }
        Seen::Covered => "under",
        Seen::Outside => "outside",
    }
}

/// Path data of all squares of each class; squares side by side are one rectangle.
fn runs<'a>(
    frame: &Frame,
    squares: &[Option<&'a str>],
    columns: usize,
    width: f64,
) -> BTreeMap<&'a str, String> {
    let mut found: BTreeMap<&str, String> = BTreeMap::new();
    let side = frame.pixels(width);
    for (row, line) in squares.chunks(columns).enumerate() {
        let mut column = 0;
        while column < columns {
            let same = line[column..].iter().take_while(|other| **other == line[column]).count();
            if let Some(class) = line[column] {
                let corner = frame.low() + DVec2::new(column as f64, row as f64 + 1.0) * width;
                let (x, y) = frame.place(corner);
                let long = number(side * same as f64);
                let data = found.entry(class).or_default();
                let _ = write!(data, "M{} {}h{long}v{}h-{long}z", number(x), number(y), number(side));
            }
            column += same;
        }
    }
    found
}
