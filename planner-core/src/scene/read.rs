//! Reads scenario files.

use super::diagnostic::{Diagnostics, Report};
use super::kinds::{self, ReadBeside};
use super::plan_entry::PLAN_FORMAT;
use super::scenario::{SCENARIO_FORMAT, Scenario};
use super::schema::resolved_schema;
use super::text_tree::{is_json, is_other_file, parse};
use super::tree::TreeNode;
use super::{build, sense, shape};
use crate::model::{Edition, Problem};
use serde::Deserialize;

/// Reads a scenario: TOML, or JSON if `name` ends in `.json` or the text begins with `{`.
///
/// Returns the scenario with every default filled in, and its problem. `name` is that of the file, for the messages; no file is opened.
///
/// # Errors
/// All errors of the text at once, each with file, line, field, value found, what is allowed and what to do.
pub fn read_scenario(name: &str, text: &str) -> Result<(Scenario, Problem), Diagnostics> {
    read_scenario_with(name, text, &|_| Err("here a scene is read without the files beside it".into()))
}

/// The same for a scene that may take kinds from files beside it (`from`): `read` returns the text of a file by its plain name.
///
/// # Errors
/// All errors of the text at once, and those of the files from which it takes kinds.
///
/// ```
/// use clamber_core::unstable::scene::read_scenario_with;
///
/// let whole = include_str!("../../examples/pair.toml");
/// let (head, rest) = whole.split_once("[kind.cobble]").expect("there is a kind");
/// let (kind, tail) = rest.split_once("[[module]]").expect("there are modules");
/// let kinds = format!("format = \"clamber-kinds/1\"\n[kind.cobble]{kind}");
/// let scene = format!("{head}[kind.cobble]\nfrom = \"crew.toml\"\nmass_kg = 0.52\n[[module]]{tail}");
/// let (scenario, _) = read_scenario_with("pair.toml", &scene, &|file| {
///     if file == "crew.toml" { Ok(kinds.clone()) } else { Err("there is no such file".into()) }
/// })?;
/// assert_eq!((scenario.kind["cobble"].mass_kg, scenario.kind["cobble"].magnet_force_n), (0.52, 30.0));
/// # Ok::<(), clamber_core::Diagnostics>(())
/// ```
pub fn read_scenario_with(
    name: &str,
    text: &str,
    read: ReadBeside<'_>,
) -> Result<(Scenario, Problem), Diagnostics> {
    let mut report = Report::new(name, text);
    let Some(mut tree) = parse(text, is_json(name, text), &mut report) else { return Err(report.finish()) };
    if is_other_file(&tree, PLAN_FORMAT, SCENARIO_FORMAT, &mut report) {
        return Err(report.finish());
    }
    kinds::take(&mut tree, read, &mut report);
    shape::check(&tree, &resolved_schema(), "", &mut report);
    sense::check(&tree, "", &mut report);
    match resolve(&tree, "", Edition::Second, &mut report) {
        Some(scene) if report.is_clean() => Ok(scene),
        _ => Err(report.finish()),
    }
}

/// The scenario of a checked tree, with every default filled in, and its problem.
pub(super) fn resolve(
    tree: &TreeNode,
    field: &str,
    edition: Edition,
    report: &mut Report<'_>,
) -> Option<(Scenario, Problem)> {
    if !report.is_clean() {
        return None;
    }
    let scene = Scenario::deserialize(tree).map(|mut scene| {
        build::write_out_defaults(&mut scene, edition);
        let problem = build::problem(&scene, edition);
        (scene, problem)
    });
    match scene {
        Ok((scene, Some(problem))) => return Some((scene, problem)),
        // The checks should prevent every case that ends here; otherwise a message is better than a panic.
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
