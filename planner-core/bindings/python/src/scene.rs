//! Scenes: read, planned, settled.

use crate::entries::{self, PlaceEntry, Poses};
use crate::plan::Plan;
use crate::{refused, waiting};
use clamber_core::follow::{Settled, settle};
use clamber_core::{
    FileFormat, Problem, Scenario, SolveOptions, Strategy, read_scenario, solve, write_scenario,
};
use pyo3::prelude::*;
use std::sync::Arc;

/// A scene: site, crew, start and goal.
#[pyclass(frozen, module = "clamber._native")]
pub(crate) struct Scene {
    pub(crate) scenario: Arc<Scenario>,
    pub(crate) problem: Arc<Problem>,
}

/// Places, residuals in metres and radians, what is not sound, how hops end.
pub(crate) type SettledEntry =
    (Vec<PlaceEntry>, Vec<(f64, Option<f64>)>, Vec<String>, Vec<(String, String, bool)>);

pub(crate) fn settled_entry(problem: &Problem, settled: &Settled) -> SettledEntry {
    let hops = settled.hops.iter().map(|end| {
        let name = problem.module_name(end.module).to_owned();
        (name, problem.name_of(end.host).to_owned(), end.goes_on)
    });
    (
        entries::places(problem, &settled.configuration),
        settled.residuals.iter().map(|residual| (residual.position_m, residual.angle_rad)).collect(),
        settled.unsound.clone(),
        hops.collect(),
    )
}

#[pymethods]
impl Scene {
    /// Reads the text of a scene; `name` is that of the file, for messages.
    #[new]
    fn new(text: &str, name: &str) -> PyResult<Self> {
        let (scenario, problem) = read_scenario(name, text).map_err(refused)?;
        Ok(Self { scenario: Arc::new(scenario), problem: Arc::new(problem) })
    }

    fn name(&self) -> String {
        self.problem.name.clone()
    }

    fn modules(&self) -> Vec<String> {
        self.problem.modules.iter().map(|module| module.name.clone()).collect()
    }

    fn radii_m(&self) -> Vec<f64> {
        self.problem.module_ids().map(|id| self.problem.kind(id).shell_radius_m).collect()
    }

    /// Names and outlines from above of all decks.
    fn decks(&self) -> Vec<(String, Vec<[f64; 2]>)> {
        let decks = self.problem.decks.iter();
        decks
            .map(|deck| (deck.name.clone(), deck.solid.outline.iter().map(|at| at.to_array()).collect()))
            .collect()
    }

    fn start(&self) -> Vec<PlaceEntry> {
        entries::places(&self.problem, &self.problem.start)
    }

    fn text(&self, as_json: bool) -> PyResult<String> {
        let format = if as_json { FileFormat::Json } else { FileFormat::Toml };
        write_scenario(&self.scenario, format).map_err(refused)
    }

    #[pyo3(signature = (time_s, seed, planner, shortening, patience, progress))]
    fn plan(
        &self,
        py: Python<'_>,
        time_s: f64,
        seed: u64,
        planner: &str,
        shortening: Option<u64>,
        patience: Option<u64>,
        progress: Option<&Bound<'_, PyAny>>,
    ) -> PyResult<Plan> {
        let known = Strategy::all();
        let Some((strategy, _)) = known.iter().copied().find(|(_, name)| *name == planner) else {
            let names: Vec<&str> = known.iter().map(|(_, name)| *name).collect();
            return Err(refused(format!(
                "there is no planner \"{planner}\"; there are {}",
                names.join(", ")
            )));
        };
        let usual = SolveOptions::default();
        let options = SolveOptions {
            strategy,
            seed,
            shortening: shortening.unwrap_or(usual.shortening),
            patience: patience.unwrap_or(usual.patience),
            ..usual
        };
        let solved =
            waiting::waited(py, time_s, progress, |control| solve(&self.problem, &options, control))?;
        let solution = solved.map_err(refused)?;
        Ok(Plan {
            scenario: Arc::clone(&self.scenario),
            problem: Arc::clone(&self.problem),
            reason: solution.reason(&self.problem),
            plan: Arc::new(solution.plan),
        })
    }

    /// The nearest configuration that meets the rules.
    fn settle(&self, poses: Poses) -> PyResult<SettledEntry> {
        let measured = entries::measured(&self.problem, &self.problem.start, &poses)?;
        let settled = settle(&self.problem, &measured, None).map_err(refused)?;
        Ok(settled_entry(&self.problem, &settled))
    }
}
