//! The names of a scene, what they refer to, and duplicate names.

use super::diagnostic::{Report, nearest};
use super::raised::plane_through;
use super::tree::{TreeNode, quote};
use super::wording::listed;
use crate::math::DVec3;
use indexmap::IndexMap;

/// Name to index, for every list of named things.
#[derive(Debug, Default)]
pub(super) struct Names<'t> {
    pub(super) decks: IndexMap<&'t str, usize>,
    /// For every deck the upward normal of its top, where it can be read.
    pub(super) deck_ups: Vec<Option<DVec3>>,
    pub(super) kinds: IndexMap<&'t str, usize>,
    pub(super) modules: IndexMap<&'t str, usize>,
    pub(super) slots: IndexMap<&'t str, usize>,
    /// Whether some list is missing or has an unreadable name: then a name not found here may still exist.
    pub(super) are_partial: bool,
}

impl<'t> Names<'t> {
    /// All names of a scenario; duplicates are reported. `base` is the path of the scenario in its file.
    pub(super) fn collect(scene: &'t TreeNode, base: &str, report: &mut Report<'_>) -> Self {
        let decks = scene.list("deck");
        let modules = scene.list("module");
        let slots = scene.get("goal").map_or(&[] as &[TreeNode], |goal| goal.list("slot"));
        let stones = scene.list("stone");
        twice(&[("deck", decks), ("stone", stones), ("module", modules)], 0, base, report);
        let known = decks.len() + stones.len();
        twice(&[("deck", decks), ("stone", stones), ("goal.slot", slots)], known, base, report);
        let kinds = scene.get("kind").map_or(&[] as &[_], TreeNode::entries);
        let lists = [decks, modules, slots];
        let nameless = lists.iter().any(|list| list.iter().any(|node| node.text_of("name").is_none()));
        Self {
            decks: index(decks),
            deck_ups: decks.iter().map(up_of_deck).collect(),
            kinds: kinds.iter().enumerate().map(|(i, entry)| (entry.key.as_str(), i)).collect(),
            modules: index(modules),
            slots: index(slots),
            are_partial: nameless || decks.is_empty() || modules.is_empty() || kinds.is_empty(),
        }
    }
}

fn up_of_deck(deck: &TreeNode) -> Option<DVec3> {
    let corners = deck.get("outline_m")?.items();
    if corners.iter().all(|corner| corner.items().len() == 2) {
        return Some(DVec3::Z);
    }
    let corners: Option<Vec<[f64; 3]>> = corners.iter().map(TreeNode::vector).collect();
    let corners: Vec<Vec<f64>> = corners?.iter().map(|corner| corner.to_vec()).collect();
    plane_through(&corners).map(|plane| plane.normal)
}

fn index(list: &[TreeNode]) -> IndexMap<&str, usize> {
    let mut found = IndexMap::new();
    for (place, node) in list.iter().enumerate() {
        if let Some(name) = node.text_of("name") {
            found.entry(name).or_insert(place);
        }
    }
    found
}

/// Reports duplicate names over some lists; those where both are among the first `known` have been reported already.
fn twice(lists: &[(&str, &[TreeNode])], known: usize, base: &str, report: &mut Report<'_>) {
    let all = lists.iter().flat_map(|(list, nodes)| nodes.iter().enumerate().map(move |(i, n)| (list, i, n)));
    let mut first: IndexMap<&str, usize> = IndexMap::new();
    for (count, (list, place, node)) in all.enumerate() {
        let Some(name) = node.get("name") else { continue };
        let Some(text) = name.text() else { continue };
        match first.get(text) {
            Some(before) if count >= known => {
                let found = format!(
                    "the name {} is used twice, first in line {}",
                    quote(text),
                    report.line_of(*before)
                );
                let allowed = match *list {
                    "goal.slot" => "each name may be used once among decks, stones and slots",
                    _ => "each name may be used once among decks, stones and modules",
                };
                report.add(
                    &name.span,
                    format!("{base}{list}[{place}].name"),
                    found,
                    allowed,
                    "rename one of the two",
                );
            }
            Some(_) => {}
            None => {
                first.insert(text, name.span.start);
            }
        }
    }
}

/// Reports a name that does not exist, with a suggestion. `what` it should refer to follows "a".
pub(super) fn unknown<'a>(
    node: &TreeNode,
    field: String,
    what: &str,
    candidates: impl Iterator<Item = &'a str> + Clone,
    report: &mut Report<'_>,
) {
    const SHOWN: usize = 12;
    let Some(text) = node.text() else { return };
    let help = match nearest(text, candidates.clone()) {
        Some(name) => format!("did you mean {}?", quote(name)),
        None => {
            let more = if candidates.clone().count() > SHOWN { " and others" } else { "" };
            let known: Vec<String> = candidates.take(SHOWN).map(quote).collect();
            format!("there are {}{more}", listed(known.iter().map(String::as_str), "and"))
        }
    };
    let found = format!("no {what} is called {}", quote(text));
    report.add(&node.span, field, found, format!("the name of a {what} is allowed"), help);
}
