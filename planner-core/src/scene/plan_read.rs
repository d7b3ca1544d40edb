//! Reads plan files.

use super::build::{body, deck_id};
use super::diagnostic::{Diagnostics, Report};
use super::digest::{scenario_sha256, sha256};
use super::names::{Names, unknown};
use super::plan_entry::{FIRST_PLAN_FORMAT, MOVES, PLAN_FORMAT, PlanFile, StepEntry};
use super::read::resolve;
use super::scenario::{SCENARIO_FORMAT, Scenario};
use super::schema::plan_schema;
use super::text_tree::{is_other_file, parse};
use super::tree::TreeNode;
use super::wording::listed;
use super::{later_fields, sense, shape};
use crate::math::{DQuat, DVec2, DVec3};
use crate::model::{Body, Edition, ModuleId, Placement, Problem};
use crate::motion::{Move, Planted};
use crate::plan::{Plan, PlannerNote, Status, Step, Summary, UtilisationIs};
use serde::Deserialize;

/// Facts about the file of a plan.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct PlanFileFacts {
    /// The digest written in the file.
    pub recorded_sha256: String,
    /// The digest computed from the scenario in the file.
    pub actual_sha256: String,
    /// Whether the scenario in the file has every default filled in.
    pub scenario_is_resolved: bool,
    /// The steps, as indices, whose end names another deck of the ground than the one below the sole's centre.
    pub misnamed_ends: Vec<usize>,
}

/// Reads a plan (JSON, section 7 of the model) and the scenario in it. `name` is that of the file, for the messages; no file is opened.
///
/// Whether the digests in the [`PlanFileFacts`] agree, and whether the plan is sound, is for the checker to decide
/// ([`check_plan`](crate::check_plan)).
///
/// # Errors
/// All errors of the text at once, each with file, line, field, value found, what is allowed and what to do.
pub fn read_plan(name: &str, text: &str) -> Result<(Scenario, Problem, Plan, PlanFileFacts), Diagnostics> {
    let mut report = Report::new(name, text);
    let Some(tree) = parse(text, true, &mut report) else { return Err(report.finish()) };
    if is_other_file(&tree, SCENARIO_FORMAT, PLAN_FORMAT, &mut report) {
        return Err(report.finish());
    }
    shape::check(&tree, &plan_schema(), "", &mut report);
    let edition = edition_of(&tree);
    let scene = tree.get("scenario");
    if edition == Edition::First {
        later_fields::refuse(&tree, &mut report);
    }
    if let Some(scene) = scene {
        sense::check(scene, "scenario.", &mut report);
        check_steps(&tree, scene, &mut report);
    }
    let resolved = scene.and_then(|scene| resolve(scene, "scenario", edition, &mut report));
    if let (Some((scenario, problem)), true, Some(scene)) = (resolved, report.is_clean(), scene) {
        match PlanFile::deserialize(&tree).map(|file| {
            let misnamed_ends = misnamed_ends(&file, &scenario, &problem);
            (file.scenario_sha256.clone(), misnamed_ends, plan(file, &scenario, &problem))
        }) {
            Ok((recorded_sha256, misnamed_ends, Some(plan))) => {
                let actual_sha256 = sha256(scene).unwrap_or_default();
                let scenario_is_resolved = scenario_sha256(&scenario) == actual_sha256;
                let facts =
                    PlanFileFacts { recorded_sha256, actual_sha256, scenario_is_resolved, misnamed_ends };
                return Ok((scenario, problem, plan, facts));
            }
            Ok((.., None)) => bug(&tree, "the plan does not resolve", &mut report),
            Err(error) => bug(&tree, &error.to_string(), &mut report),
        }
    }
    Err(report.finish())
}

/// The edition of the model that a plan's format names.
fn edition_of(tree: &TreeNode) -> Edition {
    if tree.text_of("format") == Some(FIRST_PLAN_FORMAT) { Edition::First } else { Edition::Second }
}

/// The checks should prevent every case that ends here; otherwise a message is better than a panic.
fn bug(tree: &TreeNode, found: &str, report: &mut Report<'_>) {
    report.add(&tree.span, "file", found, "a sound plan is allowed", "report this as a bug");
}

/// Reports names that do not exist, and moves whose parameters are missing or belong to other moves.
fn check_steps(tree: &TreeNode, scene: &TreeNode, report: &mut Report<'_>) {
    // Duplicate names have been reported with the scenario.
    let names = Names::collect(scene, "", &mut Report::new("", ""));
    let bodies = names.decks.keys().chain(names.modules.keys()).copied();
    for (index, step) in tree.list("steps").iter().enumerate() {
        let field = |key: &str| format!("steps[{index}].{key}");
        let is_module = |name: &str| names.are_partial || names.modules.contains_key(name);
        let is_body = |name: &str| is_module(name) || names.decks.contains_key(name);
        if let Some(module) =
            step.get("module").filter(|node| node.text().is_some_and(|name| !is_module(name)))
        {
            unknown(module, field("module"), "module", names.modules.keys().copied(), report);
        }
        let hosts = [("to", step.get("to")), ("end.on", step.get("end").and_then(|end| end.get("on")))];
        for (key, host) in hosts {
            if let Some(host) = host.filter(|node| node.text().is_some_and(|name| !is_body(name))) {
                unknown(host, field(key), "deck or module", bodies.clone(), report);
            }
        }
        check_move(step, &field, report);
        check_stride(step, &names, &field, report);
    }
}

/// Reports planted modules and decks that do not exist, and a direction that is no unit vector.
fn check_stride(step: &TreeNode, names: &Names<'_>, field: &dyn Fn(&str) -> String, report: &mut Report<'_>) {
    for (index, node) in step.list("planted").iter().enumerate() {
        let is_known = |name: &str| names.are_partial || names.modules.contains_key(name);
        if node.text().is_some_and(|name| !is_known(name)) {
            let field = format!("{}[{index}]", field("planted"));
            unknown(node, field, "module", names.modules.keys().copied(), report);
        }
    }
    if let Some([x, y]) = step.get("direction").and_then(|node| node.vector::<2>()) {
        let length = DVec2::new(x, y).length();
        if length.is_nan() || (length - 1.0).abs() > UNIT {
            let node = step.get("direction").map_or(&step.span, |node| &node.span);
            report.add(
                node,
                field("direction"),
                format!("a vector of length {length} was found"),
                "a unit vector is allowed, within 1e-9",
                "divide it by its length",
            );
        }
    }
}

/// Directions are unit vectors within this.
const UNIT: f64 = 1e-9;

fn check_move(step: &TreeNode, field: &dyn Fn(&str) -> String, report: &mut Report<'_>) {
    let Some((word, own)) = MOVES.iter().find(|(word, _)| step.text_of("move") == Some(word)) else { return };
    let allowed = if own.is_empty() {
        format!("a {word} has no parameters")
    } else {
        format!("a {word} has {}", listed(own.iter().copied(), "and"))
    };
    let mut keys: Vec<&str> = Vec::new();
    for key in MOVES.iter().flat_map(|(_, keys)| keys.iter().copied()) {
        if !keys.contains(&key) {
            keys.push(key);
        }
    }
    for key in keys {
        match step.entries().iter().find(|entry| entry.key == key) {
            Some(entry) if !own.contains(&key) => {
                let found = format!("{key} was found in a {word}");
                report.add(
                    &entry.key_span,
                    field(key),
                    found,
                    allowed.clone(),
                    "remove it, or change the move",
                );
            }
            None if own.contains(&key) => {
                report.add(
                    &step.span,
                    field(key),
                    "missing",
                    allowed.clone(),
                    format!("add {key}, or change the move"),
                );
            }
            _ => {}
        }
    }
}

/// The steps whose end names a deck that is not below the sole's centre.
fn misnamed_ends(file: &PlanFile, scenario: &Scenario, problem: &Problem) -> Vec<usize> {
    let is_misnamed = |step: &StepEntry| {
        let [x, y, _] = step.end.position_m;
        deck_id(scenario, &step.end.on).is_some_and(|deck| !problem.is_deck_below(deck, DVec2::new(x, y)))
    };
    let steps = file.steps.iter().enumerate();
    steps.filter(|(_, step)| is_misnamed(step)).map(|(index, _)| index).collect()
}

fn plan(file: PlanFile, scenario: &Scenario, problem: &Problem) -> Option<Plan> {
    let steps: Option<Vec<Step>> =
        file.steps.into_iter().map(|entry| step(entry, scenario, problem)).collect();
    let (status, _) = Status::WORDS.into_iter().find(|(_, word)| *word == file.status)?;
    Some(Plan {
        planner: PlannerNote {
            name: file.planner.name,
            seed: file.planner.seed,
            version: file.planner.version,
        },
        status,
        reason: file.reason,
        utilisation_is: match file.utilisation_is.as_deref() {
            Some("bound") => UtilisationIs::Bound,
            _ => UtilisationIs::Exact,
        },
        steps: steps?,
        summary: Summary {
            moves: file.summary.moves,
            makespan_s: file.summary.makespan_s,
            energy_j: file.summary.energy_j,
            travel_m: file.summary.travel_m,
            utilisation: file.summary.utilisation,
            gap_m: file.summary.gap_m,
            lower_bound_s: file.summary.lower_bound_s,
        },
    })
}

fn step(entry: StepEntry, scenario: &Scenario, problem: &Problem) -> Option<Step> {
    let Body::Module(module) = body(scenario, &problem.decks, &entry.module)? else { return None };
    let action = match entry.r#move.as_str() {
        "yaw" => Move::Yaw { angle_rad: entry.angle_rad? },
        "slide" => Move::Slide { travel_m: entry.travel_m?, curvature_per_m: entry.curvature_per_m? },
        "hop" => Move::Hop { to: body(scenario, &problem.decks, entry.to.as_deref()?)? },
        "cross" => {
            let to = body(scenario, &problem.decks, entry.to.as_deref()?)?.ground()?;
            Move::Cross { to, travel_m: entry.travel_m? }
        }
        "stride" => {
            let module = |name: &String| body(scenario, &problem.decks, name)?.module();
            let planted: Option<Vec<ModuleId>> = entry.planted?.iter().map(module).collect();
            Move::Stride {
                direction: DVec2::from_array(entry.direction?),
                angle_rad: entry.angle_rad?,
                planted: Planted::new(&planted?)?,
                to: body(scenario, &problem.decks, entry.to.as_deref()?)?.ground()?,
            }
        }
        "brace" => Move::Brace,
        "release" => Move::Release,
        _ => return None,
    };
    Some(Step {
        module,
        action,
        start_s: entry.start_s,
        duration_s: entry.duration_s,
        after: entry.after,
        end: Placement {
            position: DVec3::from_array(entry.end.position_m),
            orientation: DQuat::from_array(entry.end.orientation_xyzw),
            host: body(scenario, &problem.decks, &entry.end.on)?,
            hold: entry.end.hold.into(),
        },
        utilisation: entry.utilisation,
        gap_m: entry.gap_m,
    })
}
