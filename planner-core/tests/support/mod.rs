//! What the tests of several layers share: fixtures and their plans, crews by hand and at random, scenes as text, shapes of goals, counted asks,
//! committed texts.

#![allow(dead_code, unused_imports, reason = "each binary uses its part")]
#![allow(clippy::disallowed_methods, reason = "tests open files")]

mod asks;
mod committed;
mod crews;
mod fixtures;
mod plans;
mod random;
mod random_crews;
mod scenes;
mod shapes;

pub(crate) use asks::{Asks, interrupted};
pub(crate) use committed::{compare, example, here, whole_example};
pub(crate) use crews::{
    Laid, add, bare_ground, block, brace_all, centre, cobble, empty, lay_anew, on_deck, on_shell, slot, steel,
};
pub(crate) use fixtures::{FIXTURES, IMPOSSIBLE, SLOW, fixture, folder, number, resized, soon_planned, text};
pub(crate) use plans::{heading, outcome, plan_by, planned, solved, timed_one_by_one, with_figures};
pub(crate) use random::{Dice, fixed};
pub(crate) use random_crews::crew;
pub(crate) use scenes::{deck, module, scene_of, scene_text, slot_on};
pub(crate) use shapes::target;

/// Asserts that two numbers agree within an absolute tolerance.
#[track_caller]
pub(crate) fn assert_near(found: f64, expected: f64, tolerance: f64) {
    assert!((found - expected).abs() <= tolerance, "found {found}, expected {expected} within {tolerance:e}");
}
