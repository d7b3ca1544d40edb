//! `clamber rehearse`: a simulated crew follows a plan while things fail, and what it does is judged.

mod args;
mod crew;
mod fault;
mod log;
mod record;
mod run;
mod text;

use crate::failure::Failure;
use crate::sort::Sort;
use crate::{exit_code, files, output};
pub(crate) use args::RehearseArgs;
use clamber_core::Status;
use clamber_core::follow::Follower;
pub(crate) use log::parts as parts_of_log;
pub(crate) use record::is_about_the_crew;
use run::{Rules, Run};
use std::sync::Mutex;
use std::sync::atomic::{AtomicU32, Ordering};

pub(crate) fn run(args: &RehearseArgs) -> Result<u8, Failure> {
    let examined = crate::examine::examine(&args.plan)?;
    if let Some(log) = &args.log {
        files::probe(log, Sort::Rehearsal)?;
        if args.log_run >= args.runs {
            let last = args.runs - 1;
            return Err(Failure::unreadable(format!(
                "error: --log-run {}: there are runs 0 to {last}; give one of them, or more --runs",
                args.log_run
            )));
        }
    }
    let (problem, plan) = (&examined.problem, &examined.plan);
    if plan.status != Status::Solved {
        return Err(Failure::not_sound(format!(
            "error: {} does not reach its goal, so no run can; give a plan that is solved",
            examined.file
        )));
    }
    let follower = Follower::new(problem, plan).map_err(|error| {
        Failure::not_sound(format!(
            "error: {}: {error}; `clamber check` tells all that is wrong with it",
            examined.file
        ))
    })?;
    let rules = Rules {
        problem,
        plan,
        seed: args.seed,
        jitter: args.jitter,
        noise: args.noise,
        faults: &args.faults,
        effort: args.effort,
    };
    let runs = all_runs(args, &rules, &follower)?;
    if let Some(path) = &args.log {
        let head = log::Head {
            format: "clamber-rehearsal/1",
            plan: &examined.file,
            seed: args.seed,
            run: args.log_run,
        };
        files::write(path, Sort::Rehearsal, runs[args.log_run as usize].log.text(&head)?)?;
    }
    let summary = text::Summary::new(&examined.file, plan.summary.makespan_s, &runs);
    output::print(&if args.json { output::json_line(&summary)? } else { summary.text(args) })?;
    Ok(if summary.is_as_it_should_be() { exit_code::DONE } else { exit_code::NOT_SOUND })
}

/// All runs, in their order. Each is made by one thread, so that it is the same on any number of them.
fn all_runs(args: &RehearseArgs, rules: &Rules<'_>, begun: &Follower<'_>) -> Result<Vec<Run>, Failure> {
    let threads = args
        .threads
        .map_or_else(|| std::thread::available_parallelism().map_or(1, std::num::NonZero::get), usize::from);
    let (next, made) = (AtomicU32::new(0), Mutex::new(Vec::new()));
    let work = || -> Result<(), Failure> {
        let pool = rayon::ThreadPoolBuilder::new().num_threads(1).build().map_err(|error| {
            Failure::unreadable(format!("error: no threads: {error}; give fewer --threads"))
        })?;
        loop {
            let number = next.fetch_add(1, Ordering::Relaxed);
            if number >= args.runs {
                return Ok(());
            }
            let run = pool.install(|| run::run(rules, begun, number));
            let mut made = made.lock().unwrap_or_else(std::sync::PoisonError::into_inner);
            made.push((number, run));
        }
    };
    std::thread::scope(|scope| {
        let workers: Vec<_> = (0..threads).map(|_| scope.spawn(work)).collect();
        workers.into_iter().try_for_each(|worker| match worker.join() {
            Ok(done) => done,
            Err(panic) => std::panic::resume_unwind(panic),
        })
    })?;
    let mut made = made.into_inner().unwrap_or_else(std::sync::PoisonError::into_inner);
    made.sort_by_key(|(number, _)| *number);
    Ok(made.into_iter().map(|(_, run)| run).collect())
}
