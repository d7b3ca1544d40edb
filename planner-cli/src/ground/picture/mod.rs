//! What was fitted, seen from above: residuals as colours, outlines and names over them.

mod frame;
mod legend;
mod raster;
mod style;

use super::{Fitted, report};
use crate::svg::{Svg, closed, line};
use clamber_ground::{Surface, Use};
use frame::Frame;
use glam::DVec2;

/// Width of the page in pixels.
const WIDTH: f64 = 1000.0;
/// Room at the page's edges.
const MARGIN: f64 = 24.0;
/// Height of the title.
const HEAD: f64 = 76.0;

/// The picture as an SVG file.
pub(super) fn draw(fitted: &Fitted<'_>) -> String {
    let frame = Frame::around(&fitted.ground);
    let height = frame.bottom() + legend::HEIGHT;
    let mut svg = Svg::file(WIDTH, height, style::STYLE, style::PATTERNS);
    svg.text((MARGIN, 34.0), "title", &format!("Ground of {}", shortened(&fitted.file)));
    svg.text((MARGIN, 56.0), "note", &format!("{}; {}", report::summary(fitted), report::asked(fitted)));
    frame.draw(&mut svg);
    raster::draw(&mut svg, &frame, fitted);
    for surface in &fitted.ground.surfaces {
        outline(&mut svg, &frame, surface);
    }
    for stone in &fitted.ground.stones {
        let at = frame.place(stone.ball.centre.truncate());
        svg.circle(at, frame.pixels(stone.ball.radius), "stone");
    }
    names(&mut svg, &frame, fitted);
    legend::draw(&mut svg, frame.bottom(), fitted.options.tolerance_m);
    svg.finish()
}

fn outline(svg: &mut Svg, frame: &Frame, surface: &Surface) {
    let class = match surface.sort {
        Use::Facet => "facet",
        Use::Ledge => "ledge",
        Use::Cover => "cover",
    };
    let edges: Vec<(DVec2, DVec2)> = surface
        .outlines
        .iter()
        .flat_map(|ring| (0..ring.len()).map(move |i| (ring[i], ring[(i + 1) % ring.len()])))
        .collect();
    if surface.sort != Use::Facet {
        for ring in &surface.outlines {
            let points: Vec<(f64, f64)> = ring.iter().map(|p| frame.place(*p)).collect();
            svg.path(&closed(&points), class);
        }
        return;
    }
    for (from, to) in &edges {
        let is_cut = edges.contains(&(*to, *from));
        if !is_cut || (from.x, from.y) < (to.x, to.y) {
            let ends = [frame.place(*from), frame.place(*to)];
            svg.path(&line(&ends), if is_cut { "cut" } else { class });
        }
    }
}

/// Names where they have room; the report has the others.
fn names(svg: &mut Svg, frame: &Frame, fitted: &Fitted<'_>) {
    for surface in &fitted.ground.surfaces {
        let (x, y) = frame.place(surface.room_at);
        let room = frame.pixels(surface.room_m);
        if room >= 3.4 * surface.name.len() as f64 {
            svg.text((x, y - 2.0), "name", &surface.name);
            let detail = if surface.plane.tilt_deg() > 0.0 {
                format!("slope {:.1}°", surface.plane.tilt_deg())
            } else {
                format!("top {:.3} m", surface.plane.height)
            };
            svg.text((x, y + 12.0), "detail", &detail);
        }
    }
    for stone in &fitted.ground.stones {
        let (x, y) = frame.place(stone.ball.centre.truncate());
        if frame.pixels(stone.ball.radius) >= 20.0 {
            svg.text((x, y + 4.0), "name", &stone.name);
        }
    }
}

fn shortened(words: &str) -> String {
    let count = words.chars().count();
    if count <= 80 {
        words.into()
    } else {
        format!("…{}", words.chars().skip(count - 79).collect::<String>())
    }
}
