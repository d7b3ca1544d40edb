//! Consistency of a deck: its outline, its heights, and its bottom.

use super::diagnostic::Report;
use super::raised;
use super::scenario::LimitsEntry;
use super::tree::TreeNode;
use crate::geometry::{OutlineFault, Slope, outline_fault};
use crate::math::DVec2;

/// Reports what does not agree in a deck called `field`. `limits` is the table of limits, if there is one.
pub(super) fn check(deck: &TreeNode, limits: Option<&TreeNode>, field: &str, report: &mut Report<'_>) {
    check_tilt(deck, limits, field, report);
    let Some(outline) = deck.get("outline_m") else { return };
    let counts: Vec<usize> = outline.items().iter().map(|corner| corner.items().len()).collect();
    if !(3..=1024).contains(&counts.len()) {
        return;
    }
    if counts.iter().all(|count| *count == 2) {
        let corners: Option<Vec<[f64; 2]>> = outline.items().iter().map(TreeNode::vector).collect();
        check_level(deck, field, report);
        let Some(corners) = corners else { return };
        check_outline(outline, &corners, field, report);
        return;
    }
    if counts.iter().any(|count| *count != 3) {
        if counts.iter().all(|count| (2..=3).contains(count)) {
            let found = "some corners have heights and some have not";
            let allowed = "corners [x, y] and a top_m, or corners [x, y, z] are allowed";
            let help = "give every corner its height, or none";
            report.add(&outline.span, format!("{field}.outline_m"), found, allowed, help);
        }
        return;
    }
    let corners: Option<Vec<[f64; 3]>> = outline.items().iter().map(TreeNode::vector).collect();
    let Some(corners) = corners else { return };
    if let Some(top) = deck.get("top_m") {
        let found = format!("{} was found, and the corners have heights", top.describe());
        let allowed = "top_m is allowed where the corners are [x, y]";
        report.add(&top.span, format!("{field}.top_m"), found, allowed, "remove it");
    }
    let from_above: Vec<[f64; 2]> = corners.iter().map(|[x, y, _]| [*x, *y]).collect();
    if check_outline(outline, &from_above, field, report) {
        check_heights(outline, &corners, field, report);
        check_bottom(deck, &corners, field, report);
    }
}

/// A deck whose corners have no heights has a top, above its bottom.
fn check_level(deck: &TreeNode, field: &str, report: &mut Report<'_>) {
    let Some(top) = deck.get("top_m") else {
        let allowed = "a number is allowed, or corners [x, y, z] of a sloped deck";
        report.add(
            &deck.span,
            format!("{field}.top_m"),
            "missing",
            allowed,
            "add the height of the top in metres",
        );
        return;
    };
    if let (Some(bottom), Some(top)) = (deck.get("bottom_m"), top.number())
        && bottom.number().is_some_and(|bottom| bottom >= top)
    {
        let found = format!("{} was found, and the top is at {top}", bottom.describe());
        let allowed = "a height below top_m is allowed";
        let help = "lower the bottom, or leave it out for a deck that goes down without end";
        report.add(&bottom.span, format!("{field}.bottom_m"), found, allowed, help);
    }
}

/// Whether an outline seen from above is sound; otherwise its first fault is reported.
fn check_outline(outline: &TreeNode, corners: &[[f64; 2]], field: &str, report: &mut Report<'_>) -> bool {
    let corners: Vec<DVec2> = corners.iter().copied().map(DVec2::from_array).collect();
    let Some(fault) = outline_fault(&corners) else { return true };
    let (found, help) = match fault {
        OutlineFault::ZeroEdge(at) => {
            (format!("corner {at} is the same point as the one before it"), "remove one of the two")
        }
        OutlineFault::Meets(i, j) => (
            format!("the edges from corner {i} and from corner {j} meet"),
            "put the corners in the order in which one walks round the deck",
        ),
        OutlineFault::Clockwise => ("the corners go clockwise".into(), "list them the other way round"),
    };
    let allowed = "a polygon is allowed that is counter-clockwise and does not meet itself";
    report.add(&outline.span, format!("{field}.outline_m"), found, allowed, help);
    false
}

fn check_heights(outline: &TreeNode, corners: &[[f64; 3]], field: &str, report: &mut Report<'_>) {
    let Some(fault) = raised::fault(corners) else { return };
    let (found, help) = match fault {
        raised::Fault::InLine => ("all corners are in one line".to_owned(), "give a corner beside the line"),
        raised::Fault::OffPlane(at, off_m) => (
            format!("corner {at} is {:.3} mm off the plane through the first three corners", off_m * 1e3),
            "mend its height, or split the deck in two",
        ),
        raised::Fault::TooSteep(degrees) => {
            (format!("a slope of {degrees:.3}° was found"), "make it the side of a deck: a wall")
        }
    };
    let allowed = "corners of one plane, within 1 mm and at most 60° steep, are allowed";
    report.add(&outline.span, format!("{field}.outline_m"), found, allowed, help);
}

fn check_bottom(deck: &TreeNode, corners: &[[f64; 3]], field: &str, report: &mut Report<'_>) {
    let heights = |plane: Slope| corners.iter().map(move |[x, y, _]| plane.height_at(DVec2::new(*x, *y)));
    let corners: Vec<Vec<f64>> = corners.iter().map(|corner| corner.to_vec()).collect();
    let lowest = raised::plane_through(&corners).map(|plane| heights(plane).fold(f64::INFINITY, f64::min));
    if let (Some(bottom), Some(lowest)) = (deck.get("bottom_m"), lowest)
        && bottom.number().is_some_and(|bottom| bottom >= lowest)
    {
        let found =
            format!("{} was found, and the lowest corner of the top is at {lowest}", bottom.describe());
        let allowed = "a height below all corners is allowed";
        let help = "lower the bottom, or leave it out for a deck that goes down without end";
        report.add(&bottom.span, format!("{field}.bottom_m"), found, allowed, help);
    }
}

/// Gravity is never tilted past the horizontal.
fn check_tilt(deck: &TreeNode, limits: Option<&TreeNode>, field: &str, report: &mut Report<'_>) {
    let default = LimitsEntry::default().sway_deg;
    let limit = |key: &str, default: f64| limits.and_then(|table| table.number_of(key)).unwrap_or(default);
    let tilted = limit("sway_deg", default) + limit("motion_tilt_deg", 0.0);
    if let Some(node) = deck.get("tilt_deg")
        && node.number().is_some_and(|tilt| tilt + tilted > 90.0)
    {
        let found =
            format!("{} was found, and sway_deg and motion_tilt_deg are {tilted} together", node.describe());
        let allowed = "the three may be 90 together";
        report.add(
            &node.span,
            format!("{field}.tilt_deg"),
            found,
            allowed,
            "lower it, or cut the deck into facets",
        );
    }
}
