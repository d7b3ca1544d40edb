//! Consistency of a scenario beyond the shape of its fields: names that exist, values that agree with one another.

use super::diagnostic::Report;
use super::names::{Names, unknown};
use super::scenario::LimitsEntry;
use super::shape::join;
use super::standing::Standing;
use super::tree::{TreeNode, Value};
use crate::geometry::{OutlineFault, outline_fault};
use crate::math::DVec2;

/// Reports inconsistencies of a scenario. Examines whatever can be read, despite other errors. `base` is the path of the scenario in its file, empty
/// or ending in a dot.
pub(super) fn check(scene: &TreeNode, base: &str, report: &mut Report<'_>) {
    let names = Names::collect(scene, base, report);
    for (index, deck) in scene.list("deck").iter().enumerate() {
        check_deck(deck, &format!("{base}deck[{index}]"), report);
    }
    for entry in scene.get("kind").map_or(&[] as &[_], TreeNode::entries) {
        check_kind(&entry.node, &join(&format!("{base}kind"), &entry.key), report);
    }
    check_limits(scene, base, report);
    let modules = scene.list("module");
    let slots = scene.get("goal").map_or(&[] as &[TreeNode], |goal| goal.list("slot"));
    let kinds = || names.kinds.keys().copied();
    for (list, nodes) in [("module", modules), ("goal.slot", slots)] {
        for (index, node) in nodes.iter().enumerate() {
            if let Some(kind) =
                node.get("kind").filter(|kind| !names.are_partial && !knows(&names.kinds, kind))
            {
                unknown(kind, format!("{base}{list}[{index}].kind"), "kind", kinds(), report);
            }
        }
    }
    for (index, slot) in slots.iter().enumerate() {
        if let Some(module) =
            slot.get("module").filter(|module| !names.are_partial && !knows(&names.modules, module))
        {
            let candidates = names.modules.keys().copied();
            unknown(module, format!("{base}goal.slot[{index}].module"), "module", candidates, report);
        }
    }
    for (index, module) in modules.iter().enumerate() {
        check_lost(module, &format!("{base}module[{index}].lost"), report);
    }
    check_optional(slots, base, report);
    let gather = scene.get("goal").and_then(|goal| goal.get("gather")?.get("deck"));
    if let Some(deck) = gather.filter(|deck| !names.are_partial && !knows(&names.decks, deck)) {
        unknown(deck, format!("{base}goal.gather.deck"), "deck", names.decks.keys().copied(), report);
    }
    let modules =
        Standing { list: format!("{base}module"), what: "module", nodes: modules, own: &names.modules };
    let slots = Standing { list: format!("{base}goal.slot"), what: "slot", nodes: slots, own: &names.slots };
    modules.check(&names, report);
    slots.check(&names, report);
}

fn knows(names: &indexmap::IndexMap<&str, usize>, node: &TreeNode) -> bool {
    node.text().is_none_or(|text| names.contains_key(text))
}

/// A plan that begins above the limit begins below a higher one; and gravity is never tilted past the horizontal.
fn check_limits(scene: &TreeNode, base: &str, report: &mut Report<'_>) {
    let Some(limits) = scene.get("limits") else { return };
    let hold_factor = limits.number_of("hold_factor").unwrap_or(LimitsEntry::default().hold_factor);
    if let Some(node) = limits.get("recover_factor")
        && node.number().is_some_and(|factor| factor >= hold_factor)
    {
        let found = format!("{} was found", node.describe());
        let allowed = format!("less than hold_factor, which is {hold_factor}, is allowed");
        let help = "lower it, or leave it out where the start keeps hold_factor";
        report.add(&node.span, format!("{base}limits.recover_factor"), found, allowed, help);
    }
}

fn check_lost(module: &TreeNode, field: &str, report: &mut Report<'_>) {
    let parts = module.list("lost");
    for (index, part) in parts.iter().enumerate() {
        if parts[..index].iter().any(|before| before.text().is_some() && before.text() == part.text()) {
            let found = format!("{} was found twice", part.describe());
            let allowed = "each part once is allowed";
            report.add(&part.span, format!("{field}[{index}]"), found, allowed, "remove one of the two");
        }
    }
}

/// A slot that must be filled stands on none that may stay empty.
fn check_optional(slots: &[TreeNode], base: &str, report: &mut Report<'_>) {
    let is_optional =
        |slot: &TreeNode| slot.get("optional").is_some_and(|node| matches!(node.value, Value::Flag(true)));
    for (index, slot) in slots.iter().enumerate().filter(|(_, slot)| !is_optional(slot)) {
        let below =
            slots.iter().find(|below| below.text_of("name").is_some_and(|n| slot.text_of("on") == Some(n)));
        if let (Some(on), Some(below)) = (slot.get("on"), below)
            && is_optional(below)
        {
            let found = format!("{} was found, which may stay empty", on.describe());
            let allowed = "a slot that is not optional stands on a deck or on such a slot";
            let help = "add optional = true here, or remove it there";
            report.add(&on.span, format!("{base}goal.slot[{index}].on"), found, allowed, help);
        }
    }
}

fn check_deck(deck: &TreeNode, field: &str, report: &mut Report<'_>) {
    if let (Some(bottom), Some(top)) = (deck.get("bottom_m"), deck.number_of("top_m"))
        && bottom.number().is_some_and(|bottom| bottom >= top)
    {
        let found = format!("{} was found, and the top is at {top}", bottom.describe());
        let allowed = "a height below top_m is allowed";
        let help = "lower the bottom, or leave it out for a deck that goes down without end";
        report.add(&bottom.span, format!("{field}.bottom_m"), found, allowed, help);
    }
    let Some(outline) = deck.get("outline_m") else { return };
    let corner = |node: &TreeNode| node.vector().map(DVec2::from_array);
    let corners: Option<Vec<DVec2>> = outline.items().iter().map(corner).collect();
    let Some(corners) = corners.filter(|corners| (3..=1024).contains(&corners.len())) else { return };
    let Some(fault) = outline_fault(&corners) else { return };
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
}

fn check_kind(kind: &TreeNode, field: &str, report: &mut Report<'_>) {
    let Some(radius) = kind.number_of("shell_radius_m").filter(|radius| *radius > 0.0) else { return };
    let mut demand = |key: &str, fits: &dyn Fn(f64) -> bool, allowed: String, help: &str| {
        if let Some(node) = kind.get(key)
            && node.number().is_some_and(|number| !fits(number))
        {
            report.add(&node.span, join(field, key), format!("{} was found", node.describe()), allowed, help);
        }
    };
    demand(
        "ride_height_m",
        &|height| height >= radius,
        format!("not less than shell_radius_m, which is {radius}, is allowed"),
        "raise it: the sole lies outside the shell",
    );
    demand(
        "foot_radius_m",
        &|foot| foot <= radius,
        format!("not more than shell_radius_m, which is {radius}, is allowed"),
        "lower it: the foot fits on a shell of its own kind",
    );
    if let Some(foot) = kind.number_of("foot_radius_m").filter(|foot| *foot > 0.0) {
        demand(
            "peel_radius_m",
            &|peel| peel <= foot,
            format!("not more than foot_radius_m, which is {foot}, is allowed"),
            "lower it: the foot peels within its disc",
        );
    }
    if let Some(ride) = kind.number_of("ride_height_m").filter(|ride| *ride >= radius) {
        demand(
            "com_height_m",
            &|height| (-ride..=radius).contains(&height),
            format!("from -{ride} (the sole) up to {radius} (the top of the shell) is allowed"),
            "put the centre of mass inside the module",
        );
    }
}
