//! The layer `follow`: measured poses are settled, plans are followed on crews that do not do as they are told.

#![allow(clippy::disallowed_methods, reason = "tests open files")]

mod between_hosts;
mod broken_values;
mod following;
mod replans;
mod settle;
mod stops;
#[path = "../support/mod.rs"]
mod support;

/// The loop of the page on controllers is the one that is run as an example of the module.
#[test]
fn the_page_shows_what_is_run() {
    let page = include_str!("../../../docs/controller.md");
    let (_, rest) = page.split_once("```rust\n").expect("the page has the loop");
    let (shown, _) = rest.split_once("```").expect("it ends");
    let source = include_str!("../../src/follow/mod.rs");
    let lines = source.lines().filter_map(|line| line.strip_prefix("//!"));
    let run: Vec<&str> = lines.map(|line| line.strip_prefix(' ').unwrap_or(line)).collect();
    assert!(
        run.join("\n").contains(shown.trim_end()),
        "the loop differs from the example in src/follow/mod.rs"
    );
}
