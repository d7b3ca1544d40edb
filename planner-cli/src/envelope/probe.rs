//! Asks one question for one number: builds the scene, and has the shape judged or the way planned.

use super::point::Answer;
use super::question::{Question, Sizes};
use super::scene::scene;
use crate::failure::Failure;
use crate::output;
use crate::wording::{count, fixed};
use clamber_core::unstable::scene::KindEntry;
use clamber_core::{
    Control, Problem, Scenario, Signal, SolveOptions, Status, assess_start, read_scenario, solve, write_plan,
};
use std::sync::atomic::{AtomicBool, Ordering};
use std::time::{Duration, Instant};

/// What was found, with its witnesses: the scene, and the plan where there is one.
pub(super) struct Probed {
    pub(super) answer: Answer,
    pub(super) why: String,
    pub(super) scene: String,
    pub(super) plan: Option<String>,
}

/// What to ask about.
pub(super) struct Probe<'a> {
    pub(super) kind: &'a KindEntry,
    pub(super) sizes: &'a Sizes,
    pub(super) time_s: f64,
    /// Set when the run is to end.
    pub(super) cancelled: &'a AtomicBool,
}

impl Probe<'_> {
    pub(super) fn ask(&self, question: Question, modules: usize, number: f64) -> Result<Probed, Failure> {
        let scene = output::json(&scene(question, self.kind, self.sizes, modules, number))?;
        let internal = |why: String| {
            Failure::not_sound(format!("internal error: {why}; please report this with the kind"))
        };
        let (scenario, problem) =
            read_scenario("scene.json", &scene).map_err(|found| internal(found.to_string()))?;
        let (answer, why, plan) = if question.is_shape() {
            let (answer, why) = shape(&problem).map_err(internal)?;
            (answer, why, None)
        } else {
            self.way(&scenario, &problem).map_err(internal)?
        };
        Ok(Probed { answer, why, scene, plan })
    }

    /// A plan, or a proof that there is none.
    fn way(
        &self,
        scenario: &Scenario,
        problem: &Problem,
    ) -> Result<(Answer, String, Option<String>), String> {
        let (begin, limit) = (Instant::now(), Duration::from_secs_f64(self.time_s));
        let signal = || {
            if self.cancelled.load(Ordering::Relaxed) {
                Signal::StopNow
            } else if begin.elapsed() >= limit {
                Signal::Finish
            } else {
                Signal::GoOn
            }
        };
        // Any plan will do.
        let options = SolveOptions { shortening: 0, patience: 0, ..SolveOptions::default() };
        let solution = solve(problem, &options, &Control::new(&signal)).map_err(|error| error.to_string())?;
        match (solution.status, &solution.proof) {
            (Status::Solved, _) => {
                let summary = &solution.plan.summary;
                let why = format!(
                    "a checked plan of {}, {} s",
                    count(summary.moves, "move"),
                    fixed(summary.makespan_s, 1)
                );
                let plan =
                    write_plan(scenario, problem, &solution.plan).map_err(|error| error.to_string())?;
                Ok((Answer::Can, why, Some(plan)))
            }
            (Status::ProvedImpossible, Some(proof)) if proof.verify(problem) => {
                Ok((Answer::Cannot, proof.describe(problem), None))
            }
            _ => Ok((Answer::Unknown, solution.reason(problem).unwrap_or_default(), None)),
        }
    }
}

/// Whether a shape stands. Nothing touches in these shapes, so their loads are exact and the answer is a proof either way.
fn shape(problem: &Problem) -> Result<(Answer, String), String> {
    let report = assess_start(problem).map_err(|error| error.to_string())?;
    let used = report.bonds.iter().filter_map(|bond| Some((bond.utilisation?, bond)));
    let worst = used.max_by(|(a, _), (b, _)| a.total_cmp(b));
    Ok(match (&report.reason, worst) {
        (Some(reason), _) => (Answer::Cannot, reason.describe(problem, problem.limits.sway_rad)),
        (None, Some((used, bond))) => {
            let (module, host) = (problem.module_name(bond.child), problem.name_of(bond.host));
            (Answer::Can, format!("it stands: {module} on {host} uses {} of its hold", fixed(used, 3)))
        }
        (None, None) => (Answer::Can, "it stands".into()),
    })
}
