//! Plans: figures, steps, poses over time, checking.

use crate::entries::{self, PlaceEntry};
use crate::refused;
use crate::scene::Scene;
use clamber_core::unstable::course::Course;
use clamber_core::{Move, Problem, Scenario, check_plan, read_plan, write_plan};
use pyo3::prelude::*;
use pyo3::types::PyBytes;
use std::collections::BTreeMap;
use std::sync::Arc;

/// A timed plan with its scene.
#[pyclass(frozen, module = "clamber._native")]
pub(crate) struct Plan {
    pub(crate) scenario: Arc<Scenario>,
    pub(crate) problem: Arc<Problem>,
    pub(crate) plan: Arc<clamber_core::Plan>,
    pub(crate) reason: Option<String>,
}

/// Module, move, start, duration, after, where it ends, utilisation, gap, and what the move is given: numbers by name, and a body.
type StepEntry = (
    String,
    &'static str,
    f64,
    f64,
    Vec<usize>,
    PlaceEntry,
    f64,
    Option<f64>,
    BTreeMap<&'static str, f64>,
    Option<String>,
);

#[pymethods]
impl Plan {
    /// Reads the text of a plan file; `name` is that of the file, for messages.
    #[new]
    fn new(text: &str, name: &str) -> PyResult<Self> {
        let (scenario, problem, plan, _) = read_plan(name, text).map_err(refused)?;
        let reason = plan.reason.clone();
        Ok(Self { scenario: Arc::new(scenario), problem: Arc::new(problem), plan: Arc::new(plan), reason })
    }

    fn scene(&self) -> Scene {
        Scene { scenario: Arc::clone(&self.scenario), problem: Arc::clone(&self.problem) }
    }

    fn status(&self) -> &'static str {
        self.plan.status.word()
    }

    fn reason(&self) -> Option<String> {
        self.reason.clone()
    }

    /// Makespan, energy, travel, utilisation, gap, lower bound of the makespan.
    fn figures(&self) -> (f64, f64, f64, f64, Option<f64>, f64) {
        let own = &self.plan.summary;
        (own.makespan_s, own.energy_j, own.travel_m, own.utilisation, own.gap_m, own.lower_bound_s)
    }

    fn steps(&self) -> Vec<StepEntry> {
        let entry = |step: &clamber_core::Step| {
            let numbers = match step.action {
                Move::Yaw { angle_rad } | Move::Stride { angle_rad, .. } => vec![("angle_rad", angle_rad)],
                Move::Slide { travel_m, curvature_per_m } => {
                    vec![("travel_m", travel_m), ("curvature_per_m", curvature_per_m)]
                }
                Move::Cross { travel_m, .. } => vec![("travel_m", travel_m)],
                _ => Vec::new(),
            };
            let to = step.action.new_host().map(|to| self.problem.name_of(to).to_owned());
            (
                self.problem.module_name(step.module).to_owned(),
                step.action.word(),
                step.start_s,
                step.duration_s,
                step.after.clone(),
                entries::place(&self.problem, step.module, &step.end),
                step.utilisation,
                step.gap_m,
                numbers.into_iter().collect(),
                to,
            )
        };
        self.plan.steps.iter().map(entry).collect()
    }

    /// The text of the plan file.
    fn text(&self) -> PyResult<String> {
        write_plan(&self.scenario, &self.problem, &self.plan).map_err(refused)
    }

    /// What the check finds wrong: rule, step, time, words. None: the plan is sound.
    fn check(&self, py: Python<'_>) -> PyResult<Vec<(&'static str, Option<usize>, Option<f64>, String)>> {
        let report = py.detach(|| check_plan(&self.problem, &self.plan)).map_err(refused)?;
        let entry = |finding: clamber_core::Finding| {
            (finding.rule.name(), finding.step, finding.at_s, finding.message)
        };
        Ok(report.findings.into_iter().map(entry).collect())
    }

    /// Seven doubles for each module at each time, in the machine's byte order: the centre in metres, the orientation `[x, y, z, w]`.
    fn poses<'py>(&self, py: Python<'py>, times_s: Vec<f64>) -> PyResult<Bound<'py, PyBytes>> {
        let course = Course::new(&self.problem, &self.plan).map_err(refused)?;
        let mut bytes = Vec::with_capacity(times_s.len() * self.problem.modules.len() * 56);
        for at_s in times_s {
            for id in self.problem.module_ids() {
                let (position, orientation) = course.pose(id, at_s);
                let numbers = position.to_array().into_iter().chain(orientation.to_array());
                bytes.extend(numbers.flat_map(f64::to_ne_bytes));
            }
        }
        Ok(PyBytes::new(py, &bytes))
    }
}
