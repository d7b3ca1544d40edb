//! Long work off the GIL: Ctrl-C stops it, and progress is told to a Python function.

use clamber_core::{Control, Phase, Progress, Signal};
use pyo3::exceptions::PyRuntimeError;
use pyo3::prelude::*;
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::{Mutex, PoisonError};
use std::time::{Duration, Instant};

/// How often Ctrl-C is looked for.
const TICK: Duration = Duration::from_millis(20);

/// Does some work that a [`Control`] bounds, in a thread of its own. After `time_s` it finishes; Ctrl-C, or an exception of `progress`, stops it and is
/// passed on.
pub(crate) fn waited<T: Send>(
    py: Python<'_>,
    time_s: f64,
    progress: Option<&Bound<'_, PyAny>>,
    work: impl FnOnce(&Control<'_>) -> T + Send,
) -> PyResult<T> {
    let begin = Instant::now();
    let cancelled = AtomicBool::new(false);
    let latest: Mutex<Option<Progress>> = Mutex::new(None);
    let signal = || {
        if cancelled.load(Ordering::Relaxed) {
            Signal::StopNow
        } else if begin.elapsed().as_secs_f64() >= time_s {
            Signal::Finish
        } else {
            Signal::GoOn
        }
    };
    let note = |progress: &Progress| *latest.lock().unwrap_or_else(PoisonError::into_inner) = Some(*progress);
    std::thread::scope(|scope| {
        let worker = scope.spawn(|| work(&Control::new(&signal).with_progress(&note)));
        let mut trouble = None;
        while !worker.is_finished() {
            py.detach(|| std::thread::sleep(TICK));
            let told = latest.lock().unwrap_or_else(PoisonError::into_inner).take();
            let asked = py.check_signals().and_then(|()| match (progress, told) {
                (Some(progress), Some(told)) if trouble.is_none() => progress.call1(words(&told)).map(drop),
                _ => Ok(()),
            });
            if let Err(error) = asked {
                cancelled.store(true, Ordering::Relaxed);
                trouble.get_or_insert(error);
            }
        }
        let done = worker
            .join()
            .map_err(|_| PyRuntimeError::new_err("internal error; please report it with the scene"))?;
        trouble.map_or(Ok(done), Err)
    })
}

/// Phase, configurations expanded, makespan of the best plan in seconds or `None`.
fn words(progress: &Progress) -> (&'static str, u64, Option<f64>) {
    let phase = if progress.phase == Phase::Improving { "improving" } else { "searching" };
    (phase, progress.statistics.expanded, progress.makespan_s)
}
