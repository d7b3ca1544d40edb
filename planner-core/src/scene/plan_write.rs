//! Writes plan files.

use super::digest::scenario_sha256;
use super::plan_entry::{
    EndEntry, FIRST_PLAN_FORMAT, PLAN_FORMAT, PlanFile, PlannerEntry, StepEntry, SummaryEntry,
};
use super::scenario::Scenario;
use super::write::json;
use super::write_error::WriteError;
use crate::model::{Body, Edition, Problem};
use crate::motion::Move;
use crate::plan::{Plan, Step, UtilisationIs};

/// The text (formatted JSON, section 7 of the model) of a plan for a scenario and its problem, as returned by
/// [`read_scenario`](super::read_scenario).
///
/// # Errors
/// [`WriteError`] when a number is not finite, when a value of the problem makes no sense, when the plan refers to bodies that the problem does not have, or when the scenario is not that of the
/// problem.
pub fn write_plan(scenario: &Scenario, problem: &Problem, plan: &Plan) -> Result<String, WriteError> {
    problem.validate()?;
    scenario.is_of(problem)?;
    let steps: Result<Vec<StepEntry>, WriteError> =
        plan.steps.iter().enumerate().map(|(index, step)| entry(index, step, problem)).collect();
    let file = PlanFile {
        format: match problem.edition {
            Edition::First => FIRST_PLAN_FORMAT,
            Edition::Second => PLAN_FORMAT,
        }
        .into(),
        scenario: scenario.clone(),
        scenario_sha256: scenario_sha256(scenario),
        planner: PlannerEntry {
            name: plan.planner.name.clone(),
            seed: plan.planner.seed,
            version: plan.planner.version.clone(),
        },
        status: plan.status.word().into(),
        reason: plan.reason.clone(),
        utilisation_is: (plan.utilisation_is == UtilisationIs::Bound).then(|| "bound".to_owned()),
        steps: steps?,
        summary: SummaryEntry {
            moves: plan.summary.moves,
            makespan_s: plan.summary.makespan_s,
            energy_j: plan.summary.energy_j,
            travel_m: plan.summary.travel_m,
            utilisation: plan.summary.utilisation,
            gap_m: plan.summary.gap_m,
            lower_bound_s: plan.summary.lower_bound_s,
        },
    };
    super::finite::check(&file)?;
    json(&file)
}

fn entry(index: usize, step: &Step, problem: &Problem) -> Result<StepEntry, WriteError> {
    let name = |body: Body, key: &str| {
        let name = match body {
            Body::Ground(id) if id.index() < problem.grounds.len() => Some(
                problem.decks[problem.deck_at(id, problem.sole_from_above(id, &step.end)).index()]
                    .name
                    .clone(),
            ),
            Body::Ground(_) | Body::Stone(_) => None,
            Body::Module(id) => problem.modules.get(id.index()).map(|module| module.name.clone()),
        };
        name.ok_or_else(|| WriteError::NotOfThisScenario { field: format!("steps[{index}].{key}") })
    };
    let mut entry = StepEntry {
        module: name(Body::Module(step.module), "module")?,
        r#move: step.action.word().into(),
        direction: None,
        angle_rad: None,
        planted: None,
        travel_m: None,
        curvature_per_m: None,
        to: None,
        start_s: step.start_s,
        duration_s: step.duration_s,
        after: step.after.clone(),
        end: EndEntry {
            position_m: step.end.position.to_array(),
            orientation_xyzw: step.end.orientation.to_array(),
            on: name(step.end.host, "end.on")?,
            hold: step.end.hold.into(),
        },
        utilisation: step.utilisation,
        gap_m: step.gap_m,
    };
    match step.action {
        Move::Yaw { angle_rad } => entry.angle_rad = Some(angle_rad),
        Move::Slide { travel_m, curvature_per_m } => {
            (entry.travel_m, entry.curvature_per_m) = (Some(travel_m), Some(curvature_per_m));
        }
        Move::Hop { to } => entry.to = Some(name(to, "to")?),
        Move::Cross { to, travel_m } => {
            (entry.to, entry.travel_m) = (Some(name(Body::Ground(to), "to")?), Some(travel_m));
        }
        Move::Stride { direction, angle_rad, planted, to } => {
            (entry.direction, entry.angle_rad) = (Some(direction.to_array()), Some(angle_rad));
            let names: Result<Vec<String>, WriteError> =
                planted.ids().iter().map(|&id| name(Body::Module(id), "planted")).collect();
            (entry.planted, entry.to) = (Some(names?), Some(name(Body::Ground(to), "to")?));
        }
        Move::Brace | Move::Release => {}
    }
    Ok(entry)
}
