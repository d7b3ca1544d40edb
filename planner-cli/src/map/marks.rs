//! Marks for single places, and the scale bar.

use crate::svg::{Svg, closed, line};

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
