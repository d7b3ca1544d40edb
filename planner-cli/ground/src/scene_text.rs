//! Writes decks and stones as the beginning of a scene.

use crate::ground::{Ground, Surface, Use};
use crate::words::trimmed;
use glam::DVec2;
use std::fmt::Write;

/// Digits after the point: corners to 0.1 mm (finer only where borders demand it), heights of slopes so that all corners lie on one plane.
const PLACE_DIGITS: usize = 7;
const HEIGHT_DIGITS: usize = 9;

/// What a survey of shapes cannot tell about a surface.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Surfacing {
    /// The friction at feet and shells; `None` leaves it to be filled in.
    pub friction: Option<f64>,
    /// Whether magnets hold.
    pub ferrous: bool,
    /// Whether cups hold.
    pub sealable: bool,
}

/// The scene's decks and stones in TOML. `head` are lines of a comment, `name` is the scene's name.
#[must_use]
pub fn scene_text(ground: &Ground, surfacing: &Surfacing, name: &str, head: &[String]) -> String {
    let mut text = String::new();
    for line in head {
        let _ = writeln!(text, "# {}", line.replace(['\n', '\r'], " "));
    }
    let _ = writeln!(text, "format = \"clamber-scenario/1\"\nname = {}", quoted(name));
    for surface in &ground.surfaces {
        for (name, outline) in surface.deck_names().iter().zip(&surface.outlines) {
            deck(&mut text, surface, name, outline, surfacing);
        }
    }
    for stone in &ground.stones {
        let [x, y, z] = stone.ball.centre.to_array().map(|v| trimmed(v, PLACE_DIGITS));
        let _ = write!(
            text,
            "\n[[stone]]\nname = {}\nat_m = [{x}, {y}, {z}]\nradius_m = {}\n{}",
            quoted(&stone.name),
            trimmed(stone.ball.radius, PLACE_DIGITS),
            friction(surfacing)
        );
    }
    text
}

fn deck(text: &mut String, surface: &Surface, name: &str, outline: &[DVec2], surfacing: &Surfacing) {
    let _ = writeln!(text, "\n[[deck]]\nname = {}", quoted(name));
    let plane = &surface.plane;
    let place = |p: &DVec2| format!("{}, {}", trimmed(p.x, PLACE_DIGITS), trimmed(p.y, PLACE_DIGITS));
    let is_level = plane.slope == DVec2::ZERO;
    let corners: Vec<String> = if is_level {
        outline.iter().map(|p| format!("[{}]", place(p))).collect()
    } else {
        let heights = from_a_wide_corner(outline);
        heights.iter().map(|p| format!("[{}, {}]", place(p), trimmed(plane.at(*p), HEIGHT_DIGITS))).collect()
    };
    let _ = writeln!(text, "outline_m = [{}]", corners.join(", "));
    if is_level {
        let _ = writeln!(text, "top_m = {}", trimmed(plane.height, PLACE_DIGITS));
    }
    *text += &friction(surfacing);
    if surfacing.ferrous {
        *text += "ferrous = true\n";
    }
    if surfacing.sealable && surface.sort != Use::Cover {
        *text += "sealable = true\n";
    }
    if surface.relief_m > 0.0 {
        let _ = writeln!(text, "relief_m = {}", trimmed(surface.relief_m, 4));
    }
    if surface.tilt_deg > 0.0 {
        let _ = writeln!(text, "tilt_deg = {}", trimmed(surface.tilt_deg, 2));
    }
}

fn friction(surfacing: &Surfacing) -> String {
    match surfacing.friction {
        Some(value) => format!("friction = {}\n", trimmed(value, 6)),
        None => "# friction =          # fill in: a survey of shapes does not tell it\n".into(),
    }
}

/// The corners of an outline, beginning so that the first three corners not in line, which fix the plane, span as large a triangle as they can.
fn from_a_wide_corner(outline: &[DVec2]) -> Vec<DVec2> {
    let count = outline.len();
    let span = |first: usize| {
        let corner = |i: usize| outline[(first + i) % count];
        let third = (2..count).find(|i| {
            let along = (corner(1) - corner(0)).normalize_or_zero();
            along.perp_dot(corner(*i) - corner(0)).abs() > 1e-6
        });
        third.map_or(0.0, |third| {
            let [a, b, c] = [corner(0), corner(1), corner(third)];
            let longest = a.distance(b).max(b.distance(c)).max(c.distance(a));
            (b - a).perp_dot(c - a).abs() / longest
        })
    };
    let first = (0..count).max_by(|a, b| span(*a).total_cmp(&span(*b)).then(b.cmp(a))).unwrap_or(0);
    (0..count).map(|i| outline[(first + i) % count]).collect()
}

/// A basic string of TOML.
fn quoted(words: &str) -> String {
    let mut text = String::from("\"");
    for c in words.chars() {
        match c {
            '"' => text += "\\\"",
            '\\' => text += "\\\\",
            c if c.is_control() => {
                let _ = write!(text, "\\u{:04X}", c as u32);
            }
            c => text.push(c),
        }
    }
    text + "\""
}
