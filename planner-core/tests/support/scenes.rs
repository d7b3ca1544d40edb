//! Scenes written from scratch.

use super::example;
use clamber_core::{Problem, Scenario, read_scenario};

/// A scene of these tables; its kind is that of the model page's example, with further fields.
pub(crate) fn scene_of(tables: &str, kind_fields: &str) -> (Scenario, Problem) {
    let text = scene_text(tables, kind_fields);
    read_scenario("scene.toml", &text).unwrap_or_else(|problems| panic!("{problems}"))
}

/// The text of such a scene.
pub(crate) fn scene_text(tables: &str, kind_fields: &str) -> String {
    let page = example();
    let (_, kind) = page.split_once("[kind.cobble]\n").expect("the page has a kind");
    let (kind, _) = kind.split_once("\n\n").expect("it ends with an empty line");
    format!(
        "format = \"clamber-scenario/1\"\nname = \"made by a test\"\n[kind.cobble]\n{kind}\n{kind_fields}\n{tables}"
    )
}

/// A level deck along axes, 1 m thick, between two corners.
pub(crate) fn deck(name: &str, low: [f64; 2], high: [f64; 2], top: f64) -> String {
    let [[a, b], [c, d]] = [low, high];
    let outline = format!("[[{a}, {b}], [{c}, {b}], [{c}, {d}], [{a}, {d}]]");
    let bottom = top - 1.0;
    format!(
        "[[deck]]\nname = \"{name}\"\noutline_m = {outline}\ntop_m = {top:?}\nbottom_m = {bottom:?}\nfriction = 0.7\n"
    )
}

/// A module of the kind on a deck; `more` are further lines.
pub(crate) fn module(name: &str, on: &str, at: [f64; 2], more: &str) -> String {
    format!("[[module]]\nname = \"{name}\"\nkind = \"cobble\"\non = \"{on}\"\nat_m = {at:?}\n{more}\n")
}

/// A slot on a deck; `more` are further lines.
pub(crate) fn slot_on(name: &str, on: &str, at: [f64; 2], more: &str) -> String {
    format!("[[goal.slot]]\nname = \"{name}\"\non = \"{on}\"\nat_m = {at:?}\n{more}\n")
}
