//! Whether two problems are the same but for rounding.

use crate::model::ranges;
use crate::model::{Configuration, Kind, Limits, Placement, Problem};

/// Poses differ by rounding as long as they are within this, in metres and radians: a thousandth of what the rules allow.
const SAME_POSE: f64 = 1e-9;
/// Numbers differ by rounding as long as they are within this share of their size.
const SAME_SHARE: f64 = 1e-12;

/// A field in which two problems differ by more than rounding, if there is any. Both make sense.
pub(super) fn difference(a: &Problem, b: &Problem) -> Option<String> {
    let parts = [
        ("name", a.name == b.name && a.edition == b.edition),
        ("site", a.site == b.site),
        ("limits", same_limits(&a.limits, &b.limits)),
        ("deck", a.decks == b.decks && a.grounds == b.grounds),
        (
            "kind",
            a.kinds.len() == b.kinds.len() && a.kinds.iter().zip(&b.kinds).all(|(a, b)| same_kind(a, b)),
        ),
        ("goal", a.goal == b.goal),
    ];
    if let Some((field, _)) = parts.into_iter().find(|(_, is_same)| !is_same) {
        return Some(field.to_owned());
    }
    if a.modules.len() != b.modules.len() || a.start.len() != b.start.len() {
        return Some("module".to_owned());
    }
    let places = |crew: &Configuration| crew.iter().map(|(_, place)| *place).collect::<Vec<_>>();
    let modules = a.modules.iter().zip(&b.modules).zip(places(&a.start).into_iter().zip(places(&b.start)));
    modules
        .enumerate()
        .find(|(_, ((m, n), (p, q)))| m != n || !same_place(p, q))
        .map(|(index, _)| format!("module[{index}]"))
}

fn same_number(a: f64, b: f64) -> bool {
    (a - b).abs() <= SAME_SHARE * a.abs().max(b.abs())
}

fn same_limits(a: &Limits, b: &Limits) -> bool {
    ranges::LIMITS.iter().all(|(_, value, _)| same_number(value(a), value(b)))
        && a.recover_factor == b.recover_factor
}

fn same_kind(a: &Kind, b: &Kind) -> bool {
    a.name == b.name && ranges::KIND.iter().all(|(_, value, _)| same_number(value(a), value(b)))
}

fn same_place(a: &Placement, b: &Placement) -> bool {
    a.host == b.host
        && a.hold == b.hold
        && a.position.abs_diff_eq(b.position, SAME_POSE)
        && a.up().abs_diff_eq(b.up(), SAME_POSE)
        && a.heading().abs_diff_eq(b.heading(), SAME_POSE)
}
