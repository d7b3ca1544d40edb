//! The moves of one module, in the order in which it makes them.

use crate::failure::Failure;
use crate::output;
use clamber_core::model::Problem;
use clamber_core::motion::{Move, Plan};
use serde::Serialize;

/// Characters with which a spreadsheet begins a formula, in both widths.
const FORMULA: [char; 8] = ['=', '+', '-', '@', '＝', '＋', '－', '＠'];

/// What one module does.
#[derive(Debug, Serialize)]
pub(crate) struct MoveList {
    pub(crate) module: String,
    pub(crate) moves: Vec<MoveEntry>,
}

/// One move, with the figures that its controller needs.
#[derive(Debug, Serialize)]
pub(crate) struct MoveEntry {
    module: String,
    step: usize,
    start_s: f64,
    duration_s: f64,
    r#move: &'static str,
    #[serde(skip_serializing_if = "Option::is_none")]
    travel_m: Option<f64>,
    #[serde(skip_serializing_if = "Option::is_none")]
    curvature_per_m: Option<f64>,
    #[serde(skip_serializing_if = "Option::is_none")]
    angle_rad: Option<f64>,
    #[serde(skip_serializing_if = "Option::is_none")]
    to: Option<String>,
    after: Vec<usize>,
    end: End,
}

#[derive(Debug, Serialize)]
struct End {
    position_m: [f64; 3],
    orientation_xyzw: [f64; 4],
    on: String,
    hold: &'static str,
}

const COLUMNS: [&str; 19] = [
    "module",
    "step",
    "start_s",
    "duration_s",
    "move",
    "travel_m",
    "curvature_per_m",
    "angle_rad",
    "to",
    "after",
    "end_x_m",
    "end_y_m",
    "end_z_m",
    "end_qx",
    "end_qy",
    "end_qz",
    "end_qw",
    "end_on",
    "end_hold",
];

/// The lists of all modules in the order of the scene, also of those that never move.
pub(crate) fn move_lists(problem: &Problem, plan: &Plan) -> Vec<MoveList> {
    let mut lists: Vec<MoveList> = problem
        .module_ids()
        .map(|id| MoveList { module: problem.module_name(id).to_owned(), moves: Vec::new() })
        .collect();
    let mut order: Vec<usize> = (0..plan.steps.len()).collect();
    order.sort_by(|&a, &b| plan.steps[a].start_s.total_cmp(&plan.steps[b].start_s));
    for number in order {
        let step = &plan.steps[number];
        let mut entry = MoveEntry {
            module: problem.module_name(step.module).to_owned(),
            step: number,
            start_s: step.start_s,
            duration_s: step.duration_s,
            r#move: step.action.word(),
            travel_m: None,
            curvature_per_m: None,
            angle_rad: None,
            to: None,
            after: step.after.clone(),
            end: End {
                position_m: step.end.position.to_array(),
                orientation_xyzw: step.end.orientation.to_array(),
                on: problem.name_of(step.end.host).to_owned(),
                hold: step.end.hold.word(),
            },
        };
        match step.action {
            Move::Yaw { angle_rad } => entry.angle_rad = Some(angle_rad),
            Move::Slide { travel_m, curvature_per_m } => {
                (entry.travel_m, entry.curvature_per_m) = (Some(travel_m), Some(curvature_per_m));
            }
            Move::Hop { to } => entry.to = Some(problem.name_of(to).to_owned()),
            Move::Brace | Move::Release => {}
        }
        lists[step.module.index()].moves.push(entry);
    }
    lists
}

/// Refuses names that a spreadsheet would run: CSV cannot mark them as text without changing them, and a changed name is another module.
pub(crate) fn refuse_formulas(lists: &[MoveList]) -> Result<(), Failure> {
    let hosts = lists.iter().flat_map(|list| &list.moves).map(|entry| entry.end.on.as_str());
    let mut names: Vec<&str> = lists
        .iter()
        .map(|list| list.module.as_str())
        .chain(hosts)
        .filter(|name| name.starts_with(FORMULA))
        .collect();
    names.sort_unstable();
    names.dedup();
    if names.is_empty() {
        return Ok(());
    }
    Err(Failure::unreadable(format!(
        "error: a spreadsheet would take these names in CSV for formulas: {}; rename them in the scene, or use --format jsonl",
        names.join(", ")
    )))
}

/// Lists as CSV under one header.
pub(crate) fn csv(lists: &[&MoveList]) -> Result<String, Failure> {
    let mut writer = csv::Writer::from_writer(Vec::new());
    let mut write = || -> Result<(), csv::Error> {
        writer.write_record(COLUMNS)?;
        for entry in lists.iter().flat_map(|list| &list.moves) {
            writer.write_record(cells(entry))?;
        }
        writer.flush().map_err(csv::Error::from)
    };
    let trouble = |error: String| Failure::not_sound(format!("internal error: no CSV: {error}"));
    write().map_err(|error| trouble(error.to_string()))?;
    let bytes = writer.into_inner().map_err(|error| trouble(error.to_string()))?;
    String::from_utf8(bytes).map_err(|error| trouble(error.to_string()))
}

/// Lists as JSON, one move to a line.
pub(crate) fn jsonl(lists: &[&MoveList]) -> Result<String, Failure> {
    let lines: Result<Vec<String>, Failure> =
        lists.iter().flat_map(|list| &list.moves).map(output::json_line).collect();
    lines.map(|lines| lines.concat())
}

fn cells(entry: &MoveEntry) -> Vec<String> {
    let maybe = |value: Option<f64>| value.map(|v| v.to_string()).unwrap_or_default();
    let after: Vec<String> = entry.after.iter().map(usize::to_string).collect();
    let mut cells = vec![
        entry.module.clone(),
        entry.step.to_string(),
        entry.start_s.to_string(),
        entry.duration_s.to_string(),
        entry.r#move.to_owned(),
        maybe(entry.travel_m),
        maybe(entry.curvature_per_m),
        maybe(entry.angle_rad),
        entry.to.clone().unwrap_or_default(),
        after.join(" "),
    ];
    cells.extend(entry.end.position_m.iter().chain(&entry.end.orientation_xyzw).map(f64::to_string));
    cells.extend([entry.end.on.clone(), entry.end.hold.to_owned()]);
    cells
}
