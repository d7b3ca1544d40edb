//! Moves and figures in words and units for people.

use crate::number::unsigned_zero;
use clamber_core::{Body, Move, Problem, UtilisationIs};

/// Curvatures below this, in 1/m, are called straight: a radius of 200 m.
const STRAIGHT_PER_M: f64 = 0.005;

/// A move with its parameters: `slide 12.3 cm`, `yaw 45.0° left`, `hop onto m2`.
pub(crate) fn of_move(problem: &Problem, action: &Move) -> String {
    match *action {
        Move::Yaw { angle_rad } => format!("yaw {}{}", degrees(angle_rad.abs()), side(angle_rad)),
        Move::Slide { travel_m, curvature_per_m } => {
            let back = if travel_m < 0.0 { " back" } else { "" };
            let bend = if curvature_per_m.abs() < STRAIGHT_PER_M {
                String::new()
            } else {
                format!(", curving{} {:.2}/m", side(curvature_per_m), curvature_per_m.abs())
            };
            format!("slide {}{back}{bend}", length(travel_m.abs()))
        }
        Move::Hop { to } => format!("hop onto {}", problem.name_of(to)),
        Move::Cross { to, travel_m } => {
            let back = if travel_m < 0.0 { " back" } else { "" };
            format!("cross {}{back} onto {}", length(travel_m.abs()), problem.name_of(Body::Ground(to)))
        }
        Move::Stride { angle_rad, to, .. } => {
            let back = if angle_rad < 0.0 { " back" } else { "" };
            let turned = angle_rad.abs().to_degrees();
            format!("stride {turned:.1}°{back} onto {}", problem.name_of(Body::Ground(to)))
        }
        Move::Brace | Move::Release => action.word().to_owned(),
    }
}

/// Centimetres, or millimetres below one.
pub(crate) fn length(metres: f64) -> String {
    if metres < 0.01 { format!("{:.1} mm", metres * 1e3) } else { format!("{:.1} cm", metres * 100.0) }
}

/// Millimetres, or a dash where there is no gap.
pub(crate) fn gap(metres: Option<f64>) -> String {
    metres.map_or_else(|| "-".into(), |metres| fixed(metres * 1e3, 1))
}

/// A count with its noun: `1 move`, `2 moves`.
pub(crate) fn count(number: usize, noun: &str) -> String {
    if number == 1 { format!("1 {noun}") } else { format!("{number} {noun}s") }
}

/// A number without needless digits, at most three after the point.
pub(crate) fn short(value: f64) -> String {
    trimmed(value, 3)
}

/// `a, b and c`.
pub(crate) fn list(words: &[&str]) -> String {
    match words.split_last() {
        Some((last, rest)) if !rest.is_empty() => format!("{} and {last}", rest.join(", ")),
        _ => words.concat(),
    }
}

/// A number with at most so many digits after the point, and no needless zeros.
pub(crate) fn trimmed(value: f64, digits: usize) -> String {
    let text = format!("{value:.digits$}");
    let text = if text.contains('.') { text.trim_end_matches('0').trim_end_matches('.') } else { &text };
    unsigned_zero(text).to_owned()
}

fn degrees(radians: f64) -> String {
    let degrees = radians.to_degrees();
    if degrees < 1.0 { format!("{degrees:.3}°") } else { format!("{degrees:.1}°") }
}

fn side(value: f64) -> &'static str {
    if value < 0.0 { " right" } else { " left" }
}

/// A number with so many digits after the point, and no negative zero.
pub(crate) fn fixed(value: f64, digits: usize) -> String {
    unsigned_zero(&format!("{value:.digits$}")).to_owned()
}

/// What stands before a utilisation: whether it is reached, or a bound on it.
pub(crate) const fn up_to(used: UtilisationIs) -> &'static str {
    match used {
        UtilisationIs::Exact => "up to",
        UtilisationIs::Bound => "at most",
    }
}
