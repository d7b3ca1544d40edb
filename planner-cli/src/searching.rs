//! Runs a planner with a clock, a cancel flag and a pool of threads. The clock lives here: the library has none.

use crate::args::PlanArgs;
use crate::exit_code;
use crate::failure::Failure;
use crate::memory;
use crate::progress::ProgressLine;
use crate::standby::Standby;
use clamber_core::control::{Budget, Stopped};
use clamber_core::model::Problem;
use clamber_core::search::{InputError, Observer, Options, Outcome, Progress};
use signal_hook::consts::{SIGINT, SIGTERM};
use signal_hook::flag::{register, register_conditional_shutdown};
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};
use std::time::{Duration, Instant};

/// Of the time that is left when a solution is found, this share may go into making it shorter; the rest is for timing its moves.
const SHORTENING: f64 = 0.4;
/// And this share where other trips are looked for afterwards.
const SHORTENING_BEFORE: f64 = 0.04;

/// The time that was given, and Ctrl-C.
pub(crate) struct Clock {
    cancelled: Arc<AtomicBool>,
    begin: Instant,
    seconds: f64,
}

impl Clock {
    /// How much of the time is used up, from 0 to 1 and beyond.
    pub(crate) fn share_used(&self) -> f64 {
        self.begin.elapsed().as_secs_f64() / self.seconds
    }

    /// The time that was given.
    pub(crate) const fn seconds(&self) -> f64 {
        self.seconds
    }

    /// Whether somebody has asked for an answer at once.
    pub(crate) fn is_cancelled(&self) -> bool {
        self.cancelled.load(Ordering::Relaxed)
    }

    /// Why to stop now, if at all, with so many seconds kept back for what comes after.
    pub(crate) fn interrupt(&self, reserve_s: f64) -> Option<Stopped> {
        if self.is_cancelled() {
            Some(Stopped::Cancelled)
        } else {
            (self.begin.elapsed().as_secs_f64() + reserve_s >= self.seconds).then_some(Stopped::Spent)
        }
    }
}

/// What came of a search.
pub(crate) struct Searched {
    pub(crate) clock: Clock,
    /// A plan that is ready before the best one is.
    pub(crate) standby: Standby,
    /// The threads that were asked for.
    pub(crate) pool: rayon::ThreadPool,
    pub(crate) outcome: Outcome,
    pub(crate) elapsed: Duration,
    /// Estimated time from the best configuration found to the goal, in seconds.
    pub(crate) nearest_s: Option<f64>,
    /// Whether the time was up.
    pub(crate) time_is_up: bool,
}

/// Searches until there is an answer, the time is up, or Ctrl-C.
pub(crate) fn search(problem: &Problem, args: &PlanArgs, line: &ProgressLine) -> Result<Searched, Failure> {
    let clock = Clock { cancelled: cancel_flag()?, begin: Instant::now(), seconds: args.time };
    let standby = Standby::new(args);
    let interrupt = || {
        let long_enough = |found: Instant| {
            let left_s = args.time - (found - clock.begin).as_secs_f64();
            let share = if args.rearranges(problem) { SHORTENING_BEFORE } else { SHORTENING };
            found.elapsed().as_secs_f64() > share * left_s
        };
        clock.interrupt(0.0).or_else(|| line.found().is_some_and(long_enough).then_some(Stopped::Spent))
    };
    let bytes = memory::for_search(args.memory);
    let budget = Budget { expansions: u64::MAX, bytes, interrupt: &interrupt };
    let options = Options { seed: args.seed, greed: args.greed, polish: args.polish, ..Options::default() };
    let pool = rayon::ThreadPoolBuilder::new()
        .num_threads(args.threads.map_or(0, usize::from))
        .build()
        .map_err(|error| {
            Failure::unreadable(format!("error: no threads to search with: {error}; give fewer --threads"))
        })?;
    let planner = args.planner.planner();
    let watch = Watch { problem, args, line, standby: &standby };
    let outcome = pool.install(|| planner.plan(problem, &options, &budget, &watch)).map_err(refusal)?;
    let elapsed = clock.begin.elapsed();
    let nearest_s = line.last().map(|progress| progress.nearest_s).filter(|s| s.is_finite());
    let time_is_up = elapsed.as_secs_f64() >= args.time;
    Ok(Searched { clock, standby, pool, outcome, elapsed, nearest_s, time_is_up })
}

/// Tells of progress, and has a plan made ready of the first solution.
struct Watch<'a> {
    problem: &'a Problem,
    args: &'a PlanArgs,
    line: &'a ProgressLine,
    standby: &'a Standby,
}

impl Observer for Watch<'_> {
    fn progress(&self, progress: &Progress) {
        self.line.progress(progress);
    }

    fn better(&self, outcome: &Outcome) {
        self.standby.begin(self.problem, self.args, outcome);
        self.line.better(outcome);
    }
}

/// A flag that the first Ctrl-C sets, or SIGTERM, by which schedulers ask a program to end; the second ends the program.
fn cancel_flag() -> Result<Arc<AtomicBool>, Failure> {
    let flag = Arc::new(AtomicBool::new(false));
    let unhandled =
        |error| Failure::not_sound(format!("error: Ctrl-C and SIGTERM cannot be handled: {error}"));
    for signal in [SIGINT, SIGTERM] {
        // In this order: only a flag that was set before ends the program.
        register_conditional_shutdown(signal, exit_code::INTERRUPTED.into(), Arc::clone(&flag))
            .and_then(|_| register(signal, Arc::clone(&flag)))
            .map_err(unhandled)?;
    }
    Ok(flag)
}

fn refusal(error: InputError) -> Failure {
    match error {
        InputError::UnsoundStart(_) => {
            Failure::not_sound(format!("error: {error}; `clamber inspect` shows the whole start"))
        }
        InputError::NoGoal | InputError::Greed(_) => Failure::unreadable(format!("error: {error}")),
    }
}
