//! Kinds of module that a scene takes from files beside it, so that the parameters of one machine are written only once.
//!
//! A field given beside `from` overrides that of the file. What is taken is inserted into the tree of the scene, so that all later steps see a scene
//! in which every kind is complete; spans say which file a value came from.

use super::diagnostic::{Diagnostics, Report, nearest};
use super::kind_entry::KindEntry;
use super::kinds_entry::KINDS_FORMAT;
use super::scenario::SCENARIO_FORMAT;
use super::schema::kinds_schema;
use super::sense::check_kind;
use super::shape::{self, join};
use super::text_tree::{is_json, is_other_file, parse};
use super::tree::{Entry, TreeNode, Value, quote};
use super::wording::listed;
use indexmap::IndexMap;
use serde::Deserialize;

/// Reads a file beside the scene, by its plain name; an error is a phrase that says why it cannot be read and what to do.
pub type ReadBeside<'a> = &'a dyn Fn(&str) -> Result<String, String>;

/// Reads a file of kinds: TOML, or JSON if `name` ends in `.json` or the text begins with `{`.
///
/// # Errors
/// All errors of the text at once, each with file, line, field, value found, what is allowed and what to do.
///
/// ```
/// let whole = include_str!("../../examples/pair.toml");
/// let (_, rest) = whole.split_once("[kind.cobble]").expect("there is a kind");
/// let (kind, _) = rest.split_once("[[module]]").expect("there are modules");
/// let text = format!("format = \"clamber-kinds/1\"\n[kind.cobble]{kind}");
/// let kinds = clamber_core::unstable::scene::read_kinds("crew.toml", &text)?;
/// assert_eq!(kinds["cobble"].mass_kg, 0.5);
/// # Ok::<(), clamber_core::Diagnostics>(())
/// ```
pub fn read_kinds(name: &str, text: &str) -> Result<IndexMap<String, KindEntry>, Diagnostics> {
    let mut report = Report::new(name, text);
    let Some(tree) = parse(text, is_json(name, text), &mut report) else { return Err(report.finish()) };
    if is_other_file(&tree, SCENARIO_FORMAT, KINDS_FORMAT, &mut report) {
        return Err(report.finish());
    }
    shape::check(&tree, &kinds_schema(), "", &mut report);
    let kinds = tree.get("kind");
    for entry in kinds.map_or(&[] as &[Entry], TreeNode::entries) {
        check_kind(&entry.node, &join("kind", &entry.key), &mut report);
    }
    match kinds.map(IndexMap::deserialize) {
        Some(Ok(kinds)) if report.is_clean() => return Ok(kinds),
        // The checks should prevent this; otherwise a message is better than a panic.
        Some(Err(error)) if report.is_clean() => {
            let help = "report this as a bug";
            report.add(&tree.span, "kind", error.to_string(), "a sound file of kinds is allowed", help);
        }
        _ => {}
    }
    Err(report.finish())
}

/// Inserts the kinds that the scene takes from files into its tree.
pub(super) fn take(scene: &mut TreeNode, read: ReadBeside<'_>, report: &mut Report<'_>) {
    let Some(kinds) = scene.get_mut("kind") else { return };
    let mut files: IndexMap<String, Option<TreeNode>> = IndexMap::new();
    for entry in kinds.entries_mut() {
        let Some(from) = entry.node.get("from").cloned() else { continue };
        let field = join("kind", &entry.key);
        let taken = from_file(&from, &join(&field, "from"), read, &mut files, report)
            .and_then(|(file, tree)| one(entry, &field, file, tree, report));
        // What could not be read has been reported; its missing fields are not reported again.
        entry.node.value = taken.map_or(Value::Unread, Value::Table);
    }
}

/// The file that a kind is taken from, and its tree; each file is read once.
fn from_file<'t>(
    from: &'t TreeNode,
    field: &str,
    read: ReadBeside<'_>,
    files: &'t mut IndexMap<String, Option<TreeNode>>,
    report: &mut Report<'_>,
) -> Option<(&'t str, &'t TreeNode)> {
    let Some(file) = from.text().filter(|file| is_plain(file)) else {
        let found = format!("{} was found", from.describe());
        let allowed = "the plain name of a file beside the scene is allowed, without a folder";
        report.add(&from.span, field, found, allowed, "put the file beside the scene and give its name");
        return None;
    };
    if !files.contains_key(file) {
        let tree = match read(file) {
            Ok(text) => tree_of(file, text, report),
            Err(why) => {
                let found = format!("{} cannot be read: {why}", quote(file));
                let allowed = "a file of kinds beside the scene is allowed";
                report.add(
                    &from.span,
                    field,
                    found,
                    allowed,
                    "put the file there, or write the kind out here",
                );
                None
            }
        };
        files.insert(file.to_owned(), tree);
    }
    Some((file, files.get(file)?.as_ref()?))
}

/// The fields of one kind of a file, with those given in the scene in their place.
fn one(
    entry: &Entry,
    field: &str,
    file: &str,
    tree: &TreeNode,
    report: &mut Report<'_>,
) -> Option<Vec<Entry>> {
    let named = entry.node.get("name").cloned();
    let name = match &named {
        Some(node) => match node.text() {
            Some(name) => name,
            None => {
                let found = format!("{} was found", node.describe());
                let help = "name the kind, or leave this out where it has the same name";
                report.add(
                    &node.span,
                    join(field, "name"),
                    found,
                    format!("a name in {file} is allowed"),
                    help,
                );
                return None;
            }
        },
        None => entry.key.as_str(),
    };
    let kinds = || tree.get("kind").map_or(&[] as &[Entry], TreeNode::entries);
    let Some(taken) = kinds().iter().find(|kind| kind.key == name) else {
        let names = || kinds().iter().map(|kind| kind.key.as_str());
        let span = named.as_ref().map_or(&entry.key_span, |node| &node.span);
        let found = format!("there is no kind {} in {file}", quote(name));
        let help = match nearest(name, names()) {
            Some(like) => format!("did you mean `{like}`?"),
            None => "give `name` with one of these".into(),
        };
        report.add(
            span,
            join(field, "name"),
            found,
            format!("the kinds there are {}", listed(names(), "and")),
            help,
        );
        return None;
    };
    let own = |key: &str| !matches!(key, "from" | "name");
    let given: Vec<Entry> = entry.node.entries().iter().filter(|e| own(&e.key)).cloned().collect();
    let kept = taken.node.entries().iter().filter(|old| given.iter().all(|new| new.key != old.key)).cloned();
    Some(kept.chain(given.iter().cloned()).collect())
}

/// The tree of a file of kinds, with its spans in the report; `None` if the file has errors.
fn tree_of(file: &str, text: String, report: &mut Report<'_>) -> Option<TreeNode> {
    let mut own = Report::new(file.to_owned(), text.clone());
    let tree = parse(&text, is_json(file, &text), &mut own).filter(|tree| {
        if !is_other_file(tree, SCENARIO_FORMAT, KINDS_FORMAT, &mut own) {
            shape::check(tree, &kinds_schema(), "", &mut own);
        }
        own.is_clean()
    });
    let moved = report.take_in(own);
    tree.map(|tree| tree.shifted(moved))
}

/// Whether a text names a file without a folder, on any operating system.
fn is_plain(file: &str) -> bool {
    !matches!(file, "" | "." | "..")
        && !file.contains(|c: char| matches!(c, '/' | '\\' | ':') || c.is_control())
}
