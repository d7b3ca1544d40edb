//! What the signs mean.

use super::style;
use crate::cautions;
use crate::svg::{Svg, closed, line};
use clamber_core::{Body, GroundId, Move, Plan};

pub(super) const HEIGHT: f64 = 74.0;

pub(super) fn draw(svg: &mut Svg, plan: &Plan, top: f64) {
    // What only some plans have is listed where they do.
    let first = |is_it: fn(&Move) -> bool| plan.steps.iter().map(|step| step.action).find(is_it);
    let crosses = first(|action| matches!(action, Move::Cross { .. })).map(|action| (action, "cross"));
    let strides = first(|action| matches!(action, Move::Stride { .. })).map(|action| (action, "stride"));
    let moves = [
        (Move::Slide { travel_m: 0.0, curvature_per_m: 0.0 }, "slide"),
        (Move::Yaw { angle_rad: 0.0 }, "yaw"),
        (Move::Hop { to: Body::Ground(GroundId(0)) }, "hop"),
        (Move::Brace, "brace"),
        (Move::Release, "release"),
    ];
    let mut x = 24.0;
    for (action, word) in moves.into_iter().chain(crosses).chain(strides) {
        let (class, letter) = style::of(&action);
        svg.rect((x, top), (22.0, 16.0), class);
        svg.text((x + 11.0, top + 12.0), style::letter_class(&action), letter);
        svg.text((x + 28.0, top + 12.0), "note", word);
        x += 88.0;
    }
    svg.rect((x, top + 6.0), (22.0, 4.0), "braced");
    svg.text((x + 28.0, top + 12.0), "note", "braced");
    svg.rect((x + 88.0, top + 2.0), (22.0, 12.0), "carried");
    svg.text((x + 116.0, top + 12.0), "note", "carried");
    svg.rect((x + 176.0, top), (22.0, 16.0), "critical");
    svg.text((x + 204.0, top + 12.0), "note", "a delay here delays the end");
    let (x, y) = (24.0, top + 38.0);
    svg.path(&line(&[(x, y - 4.0), (x + 22.0, y - 4.0)]), "waits");
    svg.text((x + 28.0, y), "note", "waits");
    svg.path(&line(&[(x + 100.0, y - 12.0), (x + 100.0, y + 2.0)]), "event");
    svg.path(&closed(&[(x + 97.0, y - 4.0), (x + 103.0, y - 4.0), (x + 100.0, y + 2.0)]), "head");
    svg.text((x + 116.0, y), "note", "starts when that step of another module has ended");
    svg.path(&line(&[(x + 440.0, y - 4.0), (x + 470.0, y - 4.0)]), "limit");
    svg.text((x + 478.0, y), "note", "most that may be used of the worst bond");
    svg.text((x, y + 22.0), "note", cautions::SHORT);
}
