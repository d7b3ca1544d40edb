//! The moves of one module, in the order in which it makes them.

use crate::failure::Failure;
use crate::number::Number;
use crate::{csv_table, output};
use clamber_core::unstable::schedule::Network;
use clamber_core::{Body, ModuleId, Move, Plan, Problem};
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
    /// The direction of a stride, seen from above.
    #[serde(skip_serializing_if = "Option::is_none")]
    direction: Option<[f64; 2]>,
    /// The planted module that turns at its own rate in a stride.
    #[serde(skip_serializing_if = "Option::is_none")]
    leads: Option<String>,
    /// The planted modules that follow it by force.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    follow: Vec<String>,
    #[serde(skip_serializing_if = "Option::is_none")]
    to: Option<String>,
    /// The steps whose ends it waits for.
    after: Vec<usize>,
    /// The same with who makes them.
    waits_for: Vec<Event>,
    /// The steps that wait for its end.
    signals: Vec<Event>,
    /// How much later it may start without delaying the end of all.
    #[serde(skip_serializing_if = "Option::is_none")]
    slack_s: Option<f64>,
    /// What there is if it stops half-way.
    if_stopped: &'static str,
    /// All steps that have surely ended when this one has: from there the crew can go on.
    resume: Vec<usize>,
    end: End,
}

/// The end of a step.
#[derive(Debug, Serialize)]
struct Event {
    step: usize,
    module: String,
}

#[derive(Debug, Serialize)]
struct End {
    position_m: [f64; 3],
    orientation_xyzw: [f64; 4],
    on: String,
    hold: &'static str,
}

/// One move as a row of a table.
#[derive(Default, Serialize)]
struct MoveRow<'a> {
    module: &'a str,
    step: usize,
    start_s: Number,
    duration_s: Number,
    r#move: &'static str,
    travel_m: Option<Number>,
    curvature_per_m: Option<Number>,
    angle_rad: Option<Number>,
    to: Option<&'a str>,
    after: String,
    signals: String,
    slack_s: Option<Number>,
    if_stopped: &'static str,
    end_x_m: Number,
    end_y_m: Number,
    end_z_m: Number,
    end_qx: Number,
    end_qy: Number,
    end_qz: Number,
    end_qw: Number,
    end_on: &'a str,
    end_hold: &'static str,
}

/// The lists of all modules in the order of the scene, also of those that never move. `any_pace` says that the plan was proven sound whatever
/// is delayed.
pub(crate) fn move_lists(problem: &Problem, plan: &Plan, any_pace: bool) -> Vec<MoveList> {
    let network = Network::of_plan(plan);
    let event = |step: usize| Event { step, module: problem.module_name(plan.steps[step].module).to_owned() };
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
            direction: None,
            leads: None,
            follow: Vec::new(),
            to: None,
            after: step.after.clone(),
            waits_for: step.after.iter().map(|&before| event(before)).collect(),
            signals: (0..plan.steps.len())
                .filter(|&k| plan.steps[k].after.contains(&number))
                .map(event)
                .collect(),
            slack_s: network.as_ref().map(|n| n.slack_s(number)),
            if_stopped: if_stopped(&step.action, any_pace),
            resume: ended_with(plan, number),
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
            Move::Cross { to, travel_m } => {
                entry.to = Some(problem.name_of(Body::Ground(to)).to_owned());
                entry.travel_m = Some(travel_m);
            }
            Move::Stride { direction, angle_rad, planted, to } => {
                entry.to = Some(problem.name_of(Body::Ground(to)).to_owned());
                entry.angle_rad = Some(angle_rad);
                entry.direction = Some(direction.to_array());
                // The first leads; the others follow its angle by force, or they would fight.
                let name = |id: &ModuleId| problem.module_name(*id).to_owned();
                entry.leads = planted.ids().first().map(name);
                entry.follow = planted.ids().iter().skip(1).map(name).collect();
            }
            Move::Brace | Move::Release => {}
        }
        lists[step.module.index()].moves.push(entry);
    }
    lists
}

/// What there is if a move stops half-way and the others go on as far as they wait for nothing of it.
const fn if_stopped(action: &Move, any_pace: bool) -> &'static str {
    match action {
        // The foot is between two hosts and holds less than on either, or goes over an edge.
        Move::Hop { .. } | Move::Cross { .. } => "between_hosts",
        // It stands on a closed chain of drives: at the top of the crank one alone does not hold it.
        Move::Stride { .. } => "goes_on",
        _ if !any_pace => "not_proven",
        Move::Yaw { .. } | Move::Slide { .. } => "stands",
        Move::Brace | Move::Release => "rolling",
    }
}

/// A step and all that it waits for, directly or not.
fn ended_with(plan: &Plan, step: usize) -> Vec<usize> {
    let mut ended = vec![false; plan.steps.len()];
    let mut open = vec![step];
    while let Some(next) = open.pop() {
        if !std::mem::replace(&mut ended[next], true) {
            open.extend(&plan.steps[next].after);
        }
    }
    (0..ended.len()).filter(|&k| ended[k]).collect()
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
    csv_table::text(lists.iter().flat_map(|list| &list.moves).map(row))
}

/// Lists as JSON, one move to a line.
pub(crate) fn jsonl(lists: &[&MoveList]) -> Result<String, Failure> {
    let lines: Result<Vec<String>, Failure> =
        lists.iter().flat_map(|list| &list.moves).map(output::json_line).collect();
    lines.map(|lines| lines.concat())
}

fn row(entry: &MoveEntry) -> MoveRow<'_> {
    let joined = |steps: &mut dyn Iterator<Item = usize>| {
        steps.map(|step| step.to_string()).collect::<Vec<_>>().join(" ")
    };
    let [end_x_m, end_y_m, end_z_m] = entry.end.position_m.map(Number);
    let [end_qx, end_qy, end_qz, end_qw] = entry.end.orientation_xyzw.map(Number);
    MoveRow {
        module: &entry.module,
        step: entry.step,
        start_s: Number(entry.start_s),
        duration_s: Number(entry.duration_s),
        r#move: entry.r#move,
        travel_m: entry.travel_m.map(Number),
        curvature_per_m: entry.curvature_per_m.map(Number),
        angle_rad: entry.angle_rad.map(Number),
        to: entry.to.as_deref(),
        after: joined(&mut entry.after.iter().copied()),
        signals: joined(&mut entry.signals.iter().map(|event| event.step)),
        slack_s: entry.slack_s.map(Number),
        if_stopped: entry.if_stopped,
        end_x_m,
        end_y_m,
        end_z_m,
        end_qx,
        end_qy,
        end_qz,
        end_qw,
        end_on: &entry.end.on,
        end_hold: entry.end.hold,
    }
}
