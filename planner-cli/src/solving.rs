//! Lends the library a clock, a cancel flag and a pool of threads, and has a problem solved.

use crate::args::{GoalOf, PlanArgs};
use crate::failure::Failure;
use crate::progress::ProgressLine;
use crate::{exit_code, memory};
use clamber_core::{
    Control, InputError, Objective, Phase, Plan, Problem, Signal, Solution, SolveOptions, Status, solve,
};
use signal_hook::consts::{SIGINT, SIGTERM};
use signal_hook::flag::{register, register_conditional_shutdown};
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::{Arc, OnceLock};
use std::time::{Duration, Instant};

/// What asks the program to end: Ctrl-C, schedulers, and a terminal that closes (which only Unix has).
#[cfg(unix)]
const SIGNALS: [i32; 3] = [SIGINT, SIGTERM, signal_hook::consts::SIGHUP];
#[cfg(not(unix))]
const SIGNALS: [i32; 2] = [SIGINT, SIGTERM];

/// This share of the time, but no more than so many seconds, is left for finishing what is begun.
const FINISHING: (f64, f64) = (0.075, 2.0);
/// After an interrupt a first plan that is being checked is waited for that long, in seconds.
const AFTER_INTERRUPT_S: f64 = 1.5;

/// What came of it, and how long it took.
pub(crate) struct Solved {
    pub(crate) solution: Solution,
    pub(crate) elapsed: Duration,
    /// Until the first solution, or the end without one.
    pub(crate) searched: Duration,
    /// Whether somebody asked it to end.
    pub(crate) interrupted: bool,
    /// The threads that were asked for.
    pub(crate) pool: rayon::ThreadPool,
}

impl Solved {
    /// The plan; what was cut short says whether an interrupt did it, or the time.
    pub(crate) fn plan(&self) -> Plan {
        let mut plan = self.solution.plan.clone();
        plan.status = match plan.status {
            Status::BudgetSpent | Status::Cancelled if self.interrupted => Status::Cancelled,
            Status::BudgetSpent | Status::Cancelled => Status::BudgetSpent,
            other => other,
        };
        plan
    }
}

/// Solves a problem within the time that the arguments give.
pub(crate) fn solve_within(
    problem: &Problem,
    args: &PlanArgs,
    line: &ProgressLine,
) -> Result<Solved, Failure> {
    let cancelled = cancel_flag()?;
    let pool = rayon::ThreadPoolBuilder::new()
        .num_threads(args.threads.map_or(0, usize::from))
        .build()
        .map_err(|error| {
            Failure::unreadable(format!("error: no threads to search with: {error}; give fewer --threads"))
        })?;
    let begin = Instant::now();
    let (interrupted_at, first_solution) = (OnceLock::new(), OnceLock::new());
    let finish_s = args.time - (FINISHING.0 * args.time).min(FINISHING.1);
    let signal = || {
        let passed_s = begin.elapsed().as_secs_f64();
        if cancelled.load(Ordering::Relaxed) {
            let since_s = passed_s - interrupted_at.get_or_init(|| passed_s);
            if since_s > AFTER_INTERRUPT_S { Signal::StopNow } else { Signal::Finish }
        } else if passed_s >= args.time {
            Signal::StopNow
        } else if passed_s >= finish_s {
            Signal::Finish
        } else {
            Signal::GoOn
        }
    };
    let progress = |progress: &clamber_core::Progress| {
        if progress.phase == Phase::Improving {
            first_solution.get_or_init(|| begin.elapsed());
        }
        line.show(progress);
    };
    let control = Control::new(&signal).with_progress(&progress);
    let solution = pool.install(|| solve(problem, &options(args), &control)).map_err(refusal)?;
    let elapsed = begin.elapsed();
    Ok(Solved {
        solution,
        elapsed,
        searched: first_solution.get().copied().unwrap_or(elapsed),
        interrupted: cancelled.load(Ordering::Relaxed),
        pool,
    })
}

fn options(args: &PlanArgs) -> SolveOptions {
    SolveOptions {
        strategy: args.planner,
        seed: args.seed,
        weight: args.weight,
        objective: match args.goal_of {
            GoalOf::Objective(objective) => objective,
            GoalOf::Chance => Objective::Margin,
        },
        one_by_one: args.one_by_one,
        trade_offs: args.trade_offs || args.goal_of == GoalOf::Chance,
        shortening: args.polish,
        patience: args.rearrange,
        memory_bytes: memory::for_search(args.memory),
    }
}

/// A flag that is set by the first Ctrl-C, by SIGTERM, with which schedulers ask a program to end, or by SIGHUP, when the terminal closes; the second ends the
/// program.
pub(crate) fn cancel_flag() -> Result<Arc<AtomicBool>, Failure> {
    let flag = Arc::new(AtomicBool::new(false));
    let unhandled =
        |error| Failure::not_sound(format!("error: Ctrl-C and SIGTERM cannot be handled: {error}"));
    for signal in SIGNALS {
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
        _ => Failure::unreadable(format!("error: {error}")),
    }
}
