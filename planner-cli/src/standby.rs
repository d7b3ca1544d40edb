//! A plan kept ready: the first solution, one move after the other, timed and checked beside all other work, so that whoever asks for an answer
//! at once gets one.

use crate::args::PlanArgs;
use clamber_core::check::{CheckReport, Finding, check_and_fill_in, check_plan_unless};
use clamber_core::control::{Budget, Stopped};
use clamber_core::model::Problem;
use clamber_core::plan::{Plan, PlannerNote, Status};
use clamber_core::schedule::{ScheduleError, one_by_one_bare};
use clamber_core::search::Outcome;
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::mpsc::{Receiver, RecvTimeoutError, channel};
use std::sync::{Arc, Mutex};
use std::time::{Duration, Instant};

/// A timed plan and what the checker finds against it.
pub(crate) struct Ready {
    pub(crate) plan: Plan,
    pub(crate) findings: Vec<Finding>,
    /// How long its figures and the check took, in seconds.
    pub(crate) took_s: f64,
}

/// Longer waits are explained.
const MOMENT: Duration = Duration::from_millis(300);

type Made = Result<Ready, ScheduleError>;

/// Makes the plan in a thread of its own.
pub(crate) struct Standby {
    begun: Mutex<Option<Receiver<Made>>>,
    nobody_waits: Arc<AtomicBool>,
    took_s: Arc<Mutex<Option<f64>>>,
    /// Threads that work out figures and check side by side.
    threads: usize,
}

impl Standby {
    pub(crate) fn new(args: &PlanArgs) -> Self {
        Self {
            begun: Mutex::default(),
            nobody_waits: Arc::default(),
            took_s: Arc::default(),
            threads: args.threads.map_or(0, usize::from),
        }
    }

    /// Begins with the plan of an outcome; the first outcome counts.
    pub(crate) fn begin(&self, problem: &Problem, args: &PlanArgs, outcome: &Outcome) {
        let Ok(mut begun) = self.begun.lock() else { return };
        if begun.is_some() {
            return;
        }
        let (problem, outcome, note) = (problem.clone(), outcome.clone(), note(args));
        let (nobody_waits, took_s) = (Arc::clone(&self.nobody_waits), Arc::clone(&self.took_s));
        let (threads, (made, receiver)) = (self.threads, channel());
        let run = move || {
            let make = || make(&problem, &outcome, note, &nobody_waits);
            // Threads of its own: those of the search are busy until it ends.
            let ready = match rayon::ThreadPoolBuilder::new().num_threads(threads).build() {
                Ok(pool) => pool.install(make),
                Err(_) => make(),
            };
            if let (Ok(ready), Ok(mut took)) = (&ready, took_s.lock()) {
                *took = Some(ready.took_s);
            }
            // Nobody may be waiting any more.
            let _ = made.send(ready);
        };
        // Without a thread there is no plan ready, and the answer takes as long as it takes.
        *begun = std::thread::Builder::new().spawn(run).ok().map(|_| receiver);
    }

    /// How long the plan took to be worked out and checked, once it is ready.
    pub(crate) fn took_s(&self) -> Option<f64> {
        self.took_s.lock().ok().and_then(|took| *took)
    }

    /// The plan, as soon as it is there; nothing if none was begun. If that takes longer than a moment, `it_takes_long` is called once.
    pub(crate) fn wait(&self, it_takes_long: impl FnOnce()) -> Option<Made> {
        let receiver = self.begun.lock().ok().and_then(|mut begun| begun.take())?;
        match receiver.recv_timeout(MOMENT) {
            Err(RecvTimeoutError::Timeout) => {
                it_takes_long();
                receiver.recv().ok()
            }
            made => made.ok(),
        }
    }
}

impl Drop for Standby {
    fn drop(&mut self) {
        self.nobody_waits.store(true, Ordering::Relaxed);
    }
}

fn make(problem: &Problem, outcome: &Outcome, note: PlannerNote, nobody_waits: &AtomicBool) -> Made {
    let begin = Instant::now();
    let given_up = || nobody_waits.load(Ordering::Relaxed);
    // No time for a search for the fewest braces.
    let interrupt = || Some(if given_up() { Stopped::Cancelled } else { Stopped::Spent });
    let budget = Budget { interrupt: &interrupt, ..Budget::unlimited() };
    let mut plan = one_by_one_bare(problem, &outcome.trips, note, outcome.status, bound_s(outcome), &budget)?;
    let report = check_and_fill_in(problem, &mut plan, &given_up).ok_or(ScheduleError::Stopped)?;
    let findings = faults(&plan, report);
    Ok(Ready { plan, findings, took_s: begin.elapsed().as_secs_f64() })
}

/// What the checker finds, or nothing if it was given up.
pub(crate) fn findings(
    problem: &Problem,
    plan: &Plan,
    enough: &(dyn Fn() -> bool + Sync),
) -> Option<Vec<Finding>> {
    check_plan_unless(problem, plan, enough).map(|report| faults(plan, report))
}

fn faults(plan: &Plan, report: CheckReport) -> Vec<Finding> {
    let solved = plan.status == Status::Solved;
    let mut found = report.findings;
    // That a part of the way does not reach the goal is no fault of it.
    found.retain(|finding| solved || finding.rule != "goal");
    found
}

/// Who made a plan.
pub(crate) fn note(args: &PlanArgs) -> PlannerNote {
    PlannerNote::new(args.planner.planner().name(), args.seed)
}

/// The bound that stands in a plan. A scene that was proved impossible has no finite one, and files hold finite numbers only.
pub(crate) fn bound_s(outcome: &Outcome) -> f64 {
    if outcome.lower_bound_s.is_finite() { outcome.lower_bound_s } else { 0.0 }
}
