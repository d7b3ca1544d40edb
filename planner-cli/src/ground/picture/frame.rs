//! From places of the scene to places on the page; axes and a scale bar.

use super::{HEAD, MARGIN, WIDTH};
use crate::svg::{Svg, line};
use crate::wording::trimmed;
use clamber_ground::Ground;
use glam::DVec2;

/// Room for the numbers of the axes.
const LEFT: f64 = 58.0;
const BELOW: f64 = 64.0;
/// Greatest height of the map.
const TALLEST: f64 = 900.0;

pub(super) struct Frame {
    low: DVec2,
    high: DVec2,
    scale: f64,
}

impl Frame {
    pub(super) fn around(ground: &Ground) -> Self {
        let none = (DVec2::INFINITY, DVec2::NEG_INFINITY);
        let corners = ground.cells.iter().flat_map(|(ring, _)| ring);
        let (low, high) = corners.fold(none, |(low, high), p| (low.min(*p), high.max(*p)));
        let size = (high - low).max(DVec2::splat(1e-6));
        let scale = ((WIDTH - LEFT - 2.0 * MARGIN) / size.x).min(TALLEST / size.y);
        Self { low, high, scale }
    }

    /// Where a place is drawn.
    pub(super) fn place(&self, p: DVec2) -> (f64, f64) {
        (MARGIN + LEFT + self.pixels(p.x - self.low.x), HEAD + self.pixels(self.high.y - p.y))
    }

    pub(super) fn pixels(&self, metres: f64) -> f64 {
        metres * self.scale
    }

    pub(super) const fn low(&self) -> DVec2 {
        self.low
    }

    pub(super) const fn high(&self) -> DVec2 {
        self.high
    }

    /// Metres per pixel.
    pub(super) fn pixel(&self) -> f64 {
        1.0 / self.scale
    }

    /// Where the legend may begin.
    pub(super) fn bottom(&self) -> f64 {
        HEAD + self.pixels(self.high.y - self.low.y) + BELOW
    }

    /// The background, the axes and the scale bar.
    pub(super) fn draw(&self, svg: &mut Svg) {
        let (left, top) = self.place(DVec2::new(self.low.x, self.high.y));
        let size = (self.high - self.low) * self.scale;
        svg.rect((left, top), (size.x, size.y), "nothing");
        let step = round_step(90.0 / self.scale);
        let digits = (-step.log10().floor()).clamp(0.0, 6.0) as usize;
        let ticks = |low: f64, high: f64| {
            ((low / step - 1e-9).ceil() as i64..=(high / step + 1e-9).floor() as i64)
                .map(move |i| i as f64 * step)
        };
        let below = top + size.y;
        for x in ticks(self.low.x, self.high.x) {
            let (at, _) = self.place(DVec2::new(x, 0.0));
            svg.path(&line(&[(at, below), (at, below + 5.0)]), "tick");
            svg.text((at, below + 18.0), "centred", &trimmed(x, digits));
        }
        for y in ticks(self.low.y, self.high.y) {
            let (_, at) = self.place(DVec2::new(0.0, y));
            svg.path(&line(&[(left - 5.0, at), (left, at)]), "tick");
            svg.text((left - 9.0, at + 4.0), "right", &trimmed(y, digits));
        }
        svg.text((left + 0.5 * size.x, below + 36.0), "centred", "x in metres");
        svg.upright_text((MARGIN + 8.0, top + 0.5 * size.y), "centred", "y in metres");
        let bar = (left + size.x - self.pixels(step), below + 44.0);
        svg.path(
            &line(&[
                (bar.0, bar.1 - 5.0),
                bar,
                (bar.0 + self.pixels(step), bar.1),
                (bar.0 + self.pixels(step), bar.1 - 5.0),
            ]),
            "bar",
        );
        let words = if step < 0.1 {
            format!("{} mm", trimmed(step * 1e3, 3))
        } else {
            format!("{} m", trimmed(step, 3))
        };
        svg.text((bar.0 + 0.5 * self.pixels(step), bar.1 + 14.0), "centred", &words);
    }
}

/// 1, 2 or 5 times a power of ten, not less than a length.
fn round_step(least: f64) -> f64 {
    let power = 10.0_f64.powf(least.log10().floor());
    [1.0, 2.0, 5.0, 10.0]
        .into_iter()
        .map(|factor| factor * power)
        .find(|step| *step >= least * (1.0 - 1e-9))
        .unwrap_or(power)
}
