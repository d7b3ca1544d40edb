//! Plans followed on real modules.

use crate::entries::{self, Poses};
use crate::plan::Plan;
use crate::scene::{SettledEntry, settled_entry};
use crate::{refused, waiting};
use clamber_core::follow::{Command, Event, Part, Recovery, Remedy, SafeStop, StepState, Tube};
use clamber_core::{Scenario, SolveOptions};
use pyo3::prelude::*;
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};

/// Follows a plan; see `clamber.Follower`.
#[pyclass(frozen, module = "clamber._native")]
pub(crate) struct Follower {
    inner: Mutex<clamber_core::follow::Follower<'static>>,
}

/// What to do, the step or `None`, the name of the module.
type CommandEntry = (&'static str, Option<usize>, String);

/// What to do, the first commands, a new plan, what is wrong with the stop.
type RecoveryEntry = (&'static str, Vec<CommandEntry>, Option<Plan>, Vec<String>);

impl Follower {
    fn lock(&self) -> MutexGuard<'_, clamber_core::follow::Follower<'static>> {
        self.inner.lock().unwrap_or_else(PoisonError::into_inner)
    }

    fn note(&self, event: Event) -> PyResult<Vec<CommandEntry>> {
        let mut follower = self.lock();
        let commands = follower.note(event).map_err(refused)?;
        Ok(entries_of(&follower, &commands))
    }
}

fn entries_of(follower: &clamber_core::follow::Follower<'_>, commands: &[Command]) -> Vec<CommandEntry> {
    let (problem, plan) = (follower.problem(), follower.plan());
    let of_step = |word, step: usize| {
        let module = plan.steps[step].module;
        (word, Some(step), problem.module_name(module).to_owned())
    };
    let entry = |command: &Command| match *command {
        Command::Start { step } => of_step("start", step),
        Command::Hold { step } => of_step("hold", step),
        Command::Finish { step } => of_step("finish", step),
        Command::TakeBack { step } => of_step("take_back", step),
        Command::Brace { module } => ("brace", None, problem.modules[module].name.clone()),
    };
    commands.iter().map(entry).collect()
}

fn stop_entry(
    follower: &clamber_core::follow::Follower<'_>,
    stop: &SafeStop,
) -> (Vec<CommandEntry>, Vec<String>) {
    let findings = stop.findings.iter().map(ToString::to_string).collect();
    (entries_of(follower, &stop.commands), findings)
}

#[pymethods]
impl Follower {
    /// Follows a plan from its beginning, or from a state that was written.
    #[new]
    fn new(py: Python<'_>, plan: &Plan, state: Option<&str>) -> PyResult<Self> {
        let state = match state {
            Some(text) => Some(serde_json::from_str(text).map_err(refused)?),
            None => None,
        };
        let begun = py.detach(|| match state {
            Some(state) => clamber_core::follow::Follower::resume(&plan.problem, &plan.plan, state),
            None => clamber_core::follow::Follower::new(&plan.problem, &plan.plan),
        });
        Ok(Self { inner: Mutex::new(begun.map_err(refused)?.into_owned()) })
    }

    fn state(&self) -> PyResult<String> {
        serde_json::to_string(self.lock().state()).map_err(refused)
    }

    /// For each step `waiting`, `under_way`, `done` or `stalled`, and its share.
    fn steps(&self) -> Vec<(&'static str, f64)> {
        let entry = |state: &StepState| match *state {
            StepState::Waiting => ("waiting", 0.0),
            StepState::UnderWay(share) => ("under_way", share),
            StepState::Done => ("done", 1.0),
            StepState::Stalled(share) => ("stalled", share),
        };
        self.lock().state().steps.iter().map(entry).collect()
    }

    fn is_done(&self) -> bool {
        self.lock().is_done()
    }

    fn is_moving(&self) -> bool {
        self.lock().is_moving()
    }

    fn is_halted(&self) -> bool {
        self.lock().state().halted
    }

    fn may_start(&self) -> Vec<usize> {
        self.lock().may_start()
    }

    fn expected(&self) -> Vec<entries::PlaceEntry> {
        let follower = self.lock();
        entries::places(follower.problem(), &follower.expected())
    }

    fn started(&self, step: usize) -> PyResult<Vec<CommandEntry>> {
        self.note(Event::Started { step })
    }

    fn share(&self, step: usize, share: f64) -> PyResult<Vec<CommandEntry>> {
        self.note(Event::Share { step, share })
    }

    fn ended(&self, step: usize) -> PyResult<Vec<CommandEntry>> {
        self.note(Event::Ended { step })
    }

    fn stalled(&self, step: usize, share: f64) -> PyResult<Vec<CommandEntry>> {
        self.note(Event::Stalled { step, share })
    }

    fn lost(&self, module: &str, part: &str) -> PyResult<Vec<CommandEntry>> {
        let module = entries::module(self.lock().problem(), module)?.index();
        let part = match part {
            "drive" => Part::Drive,
            "yaw" => Part::Yaw,
            "cup" => Part::Cup,
            "all" => Part::All,
            other => return Err(refused(format!("a part is drive, yaw, cup or all, not \"{other}\""))),
        };
        self.note(Event::Lost { module, part })
    }

    fn halt(&self) -> (Vec<CommandEntry>, Vec<String>) {
        let mut follower = self.lock();
        let stop = follower.halt();
        stop_entry(&follower, &stop)
    }

    /// The settled crew, and the modules beyond the tube with how far they are.
    #[pyo3(signature = (poses, tube))]
    fn whereabouts(
        &self,
        py: Python<'_>,
        poses: Poses,
        tube: (f64, f64),
    ) -> PyResult<(SettledEntry, Vec<(String, f64, f64)>)> {
        let follower = self.lock().clone();
        let measured = entries::measured(follower.problem(), &follower.expected(), &poses)?;
        let tube = Tube { position_m: tube.0, angle_rad: tube.1 };
        let found = py.detach(|| follower.whereabouts(&measured, tube)).map_err(refused)?;
        let problem = follower.problem();
        let beyond = found
            .beyond
            .iter()
            .map(|own| (problem.module_name(own.module).to_owned(), own.position_m, own.angle_rad));
        Ok((settled_entry(problem, &found.settled), beyond.collect()))
    }

    fn recover(
        &self,
        py: Python<'_>,
        poses: Poses,
        tube: (f64, f64),
        time_s: f64,
        seed: u64,
        progress: Option<&Bound<'_, PyAny>>,
    ) -> PyResult<RecoveryEntry> {
        let follower = self.lock().clone();
        if follower.is_moving() {
            return Err(refused(
                "the crew is still moving; report how each step that is under way has ended or stopped",
            ));
        }
        let measured = entries::measured(follower.problem(), &follower.expected(), &poses)?;
        let tube = Tube { position_m: tube.0, angle_rad: tube.1 };
        let options = SolveOptions { seed, shortening: 0, patience: 0, ..SolveOptions::default() };
        let found = waiting::waited(py, time_s, progress, |control| {
            follower.recover(&measured, tube, &options, control)
        })?;
        Ok(match found.map_err(refused)? {
            Recovery::GoOn => ("go_on", Vec::new(), None, Vec::new()),
            Recovery::Stop(stop) => {
                let (commands, findings) = stop_entry(&follower, &stop);
                ("stop", commands, None, findings)
            }
            Recovery::Follow { remedy, first, problem, plan } => {
                let word = match remedy {
                    Remedy::Refit => "refit",
                    Remedy::Replan => "replan",
                    Remedy::FewerSlots => "fewer_slots",
                };
                let scenario = Arc::new(Scenario::of(&problem).map_err(refused)?);
                let reason = plan.reason.clone();
                let plan = Plan { scenario, problem: Arc::new(*problem), plan: Arc::new(*plan), reason };
                (word, entries_of(&follower, &first), Some(plan), Vec::new())
            }
        })
    }
}
