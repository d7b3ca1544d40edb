//! Marks for single places, coordinates, and the scale bar.

use crate::svg::{Svg, closed, line};
use clamber_core::DVec2;

/// Least distance between two coordinates in pixels.
const APART: f64 = 36.0;

/// A small triangle: a pocket.
pub(crate) fn pocket(svg: &mut Svg, (x, y): (f64, f64)) {
    svg.path(&closed(&[(x, y - 5.0), (x + 4.6, y + 3.2), (x - 4.6, y + 3.2)]), "pocket");
}

/// A dot: a rest.
pub(crate) fn rest(svg: &mut Svg, at: (f64, f64)) {
    svg.circle(at, 2.0, "rest");
}

/// A ring: where the module stands.
pub(crate) fn start(svg: &mut Svg, at: (f64, f64)) {
    svg.circle(at, 6.0, "start");
}

/// Round coordinates in metres along the lower and the left edge of a face in plan, whose middle is at a place and half as wide and high
/// as `half` in pixels; `scale` is in pixels per metre.
pub(crate) fn coordinates(svg: &mut Svg, middle: DVec2, half: (f64, f64), scale: f64) {
    let least = APART / scale;
    let power = 10f64.powf(least.log10().floor());
    let step = [1.0, 2.0, 5.0].into_iter().map(|f| f * power).find(|s| *s >= least).unwrap_or(10.0 * power);
    let round = |middle: f64, half: f64| {
        let (low, high) = (middle - half / scale, middle + half / scale);
        let (first, last) = ((low / step - 1e-9).ceil() as i64, (high / step + 1e-9).floor() as i64);
        (first..=last).map(move |k| k as f64 * step)
    };
    for x in round(middle.x, half.0) {
        let at = (x - middle.x) * scale;
        svg.path(&line(&[(at, half.1), (at, half.1 + 5.0)]), "bar");
        svg.text((at, half.1 + 17.0), "centred", &crate::wording::short(x));
    }
    for y in round(middle.y, half.1) {
        let at = (middle.y - y) * scale;
        svg.path(&line(&[(-half.0 - 5.0, at), (-half.0, at)]), "bar");
        svg.text((-half.0 - 8.0, at + 4.0), "right", &crate::wording::short(y));
    }
}

/// A bar of a round length of at most `room` pixels, with its length; `scale` is in pixels per metre.
pub(crate) fn scale_bar(svg: &mut Svg, (x, y): (f64, f64), scale: f64, room: f64, where_: &str) {
    let longest = room / scale;
    let power = 10f64.powf(longest.log10().floor());
    let round = [5.0, 2.0, 1.0].into_iter().map(|f| f * power).find(|l| *l <= longest).unwrap_or(power);
    let length = round * scale;
    svg.path(
        &(line(&[(x, y - 3.0), (x, y + 3.0)])
            + &line(&[(x, y), (x + length, y)])
            + &line(&[(x + length, y - 3.0), (x + length, y + 3.0)])),
        "bar",
    );
    let words = if round >= 1.0 {
        format!("{} m", crate::wording::short(round))
    } else {
        format!("{} cm", crate::wording::short(round * 100.0))
    };
    svg.text((x + length + 6.0, y + 4.0), "note", &format!("{words}{where_}"));
}
