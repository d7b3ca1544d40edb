//! Scenario files in.

use super::build;
use super::diagnostic::{Diagnostics, Report};
use super::plan_entry::PLAN_FORMAT;
use super::ranges::FILE_BYTES;
use super::scenario::{SCENARIO_FORMAT, Scenario};
use super::schema::scenario_schema;
use super::tree::{TreeNode, Value};
use super::{parse_json, parse_toml, sense, shape, twice};
use crate::model::Problem;
use serde::Deserialize;

/// Reads a scenario: TOML, or JSON if `name` ends in `.json` or the text begins with `{`.
///
/// `name` is that of the file, for the messages; nothing is opened.
///
/// # Errors
/// All problems of the text at once.
pub fn read_scenario(name: &str, text: &str) -> Result<(Scenario, Problem), Diagnostics> {
    let mut report = Report::new(name, text);
    let is_json = name.to_ascii_lowercase().ends_with(".json") || text.trim_start().starts_with('{');
    let Some(tree) = parse(text, is_json, &mut report) else { return Err(report.finish()) };
    if is_other_file(&tree, PLAN_FORMAT, SCENARIO_FORMAT, &mut report) {
        return Err(report.finish());
    }
    shape::check(&tree, &scenario_schema(), "", &mut report);
    sense::check(&tree, "", &mut report);
    match resolve(&tree, "", &mut report) {
        Some(scene) if report.is_clean() => Ok(scene),
        _ => Err(report.finish()),
    }
}

/// The tree of a text, unless it is too long or its syntax is wrong.
pub(super) fn parse(text: &str, is_json: bool, report: &mut Report<'_>) -> Option<TreeNode> {
    if text.len() > FILE_BYTES {
        let found = format!("{} bytes were found", text.len());
        report.add(
            &(0..0),
            "file",
            found,
            format!("up to {FILE_BYTES} bytes are allowed"),
            "give a smaller file",
        );
        return None;
    }
    let parsed = if is_json { parse_json::parse(text, report) } else { parse_toml::parse(text, report) };
    let (tree, twice) = parsed?;
    if !matches!(tree.value, Value::Table(_)) {
        let found = format!("{} was found", tree.describe());
        report.add(&tree.span, "file", found, "a table is allowed", "put the fields between { and }");
        return None;
    }
    twice::report(&tree, text, &twice, report);
    Some(tree)
}

/// Whether the tree is a file of ours, but of the other format; reported as such, since all else in it is then wrong too.
pub(super) fn is_other_file(tree: &TreeNode, other: &str, wanted: &str, report: &mut Report<'_>) -> bool {
    let Some(format) = tree.get("format").filter(|format| format.text() == Some(other)) else { return false };
    let allowed = format!("{wanted:?} is allowed");
    report.add(
        &format.span,
        "format",
        format!("{other:?} was found"),
        allowed,
        "give a file of that format here",
    );
    true
}

/// The scenario of a tree that has been checked, with every default written out, and its problem.
pub(super) fn resolve(tree: &TreeNode, field: &str, report: &mut Report<'_>) -> Option<(Scenario, Problem)> {
    if !report.is_clean() {
        return None;
    }
    let scene = Scenario::deserialize(tree).map(|mut scene| {
        build::write_out_defaults(&mut scene);
        let problem = build::problem(&scene);
        (scene, problem)
    });
    match scene {
        Ok((scene, Some(problem))) => return Some((scene, problem)),
        // The checks let nothing through that ends here; a message is better than a panic if they ever do.
        Ok((_, None)) => {
            let field = if field.is_empty() { "file" } else { field };
            report.add(
                &tree.span,
                field,
                "the scene does not resolve",
                "a sound scene is allowed",
                "report this as a bug",
            );
        }
        Err(error) => {
            let field = if field.is_empty() { "file" } else { field };
            report.add(
                &tree.span,
                field,
                error.to_string(),
                "a sound scene is allowed",
                "report this as a bug",
            );
        }
    }
    None
}
