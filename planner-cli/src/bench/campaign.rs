//! `clamber bench SUITE`: makes the runs that have no row yet.

use super::job::{Ended, Job, Runner, all, build_of};
use super::launch::{Interrupted, launch};
use super::limits;
use super::row::{Ending, Row};
use super::suite_read::{self, Suite};
use crate::args::BenchArgs;
use crate::failure::Failure;
use crate::lines_file::{self, Earlier, LinesFile};
use crate::shard::Shard;
use crate::sort::Sort;
use crate::{exit_code, files, output, refusal, wording};
use std::collections::BTreeSet;
use std::path::{Path, PathBuf};
use std::sync::atomic::{AtomicUsize, Ordering};
use std::sync::mpsc::{Sender, channel};
use std::thread;

/// A run that ended, with the text of its plan.
type Made<'a> = Result<(Job<'a>, Ended, Option<String>), Interrupted>;

pub(crate) fn run(args: &BenchArgs) -> Result<u8, Failure> {
    let (Some(suite_path), Some(output)) = (&args.suite, &args.output) else {
        return Err(Failure::unreadable("error: give a suite, and -o with the file for its results"));
    };
    let suite = suite_read::read(suite_path)?;
    let program = std::env::current_exe()
        .and_then(|program| build_of(&program).map(|build| (program, build)))
        .map_err(|error| {
            Failure::unreadable(format!(
                "error: clamber cannot find its own program file: {error}; start it by its full path"
            ))
        })?;
    let (program, build) = program;
    let runner = Runner { build, machine: limits::machine() };
    if let Some(folder) = &args.plans {
        files::make_folder(folder)?;
    }
    let (mut file, earlier) = LinesFile::<Row>::open(output)?;
    let jobs = args.shard.unwrap_or(Shard::WHOLE).of(all(&suite, &runner));
    let (mut rows, jobs) = split(&jobs, earlier, &runner, args.any_build, output)?;
    greet(&suite, jobs.len(), rows.len());
    let total = jobs.len() + rows.len();
    race(&program, &jobs, args.jobs, args.json, |job, ended, plan| {
        if let (Some(folder), Some(plan)) = (&args.plans, plan) {
            files::write(&plan_path(folder, &job.blank(&runner)), Sort::Plan, &plan)?;
        }
        let row = job.row(&runner, ended);
        file.append(&row)?;
        rows.push(row);
        if let Some(row) = rows.last() {
            output::complain(&format!("[{}/{total}] {}", rows.len(), outcome(row)));
            if args.json {
                output::print(&lines_file::line(row)?)?;
            }
        }
        Ok(())
    });
    let counts = counts(&rows);
    let name = files::name(output);
    let told = format!("{}: {counts}; all rows are in {name}", wording::count(rows.len(), "run"));
    if args.json {
        output::complain(&told)
    } else {
        output::print(&(told + "\n"))?
    }
    let faulty = rows.iter().any(|row| matches!(row.status, Ending::NotSound | Ending::Crashed));
    Ok(if faulty { exit_code::NOT_SOUND } else { exit_code::DONE })
}

/// The rows that are there for these jobs, and the jobs that have none.
fn split<'a>(
    jobs: &[Job<'a>],
    earlier: Earlier<Row>,
    runner: &Runner,
    any_build: bool,
    output: &Path,
) -> Result<(Vec<Row>, Vec<Job<'a>>), Failure> {
    if earlier.was_torn {
        let name = output.display();
        output::complain(&format!(
            "{name}: the last line was not finished: it is cut off, its run is made again"
        ));
    }
    let key = |row: &Row| if any_build { row.key_of_any_build() } else { row.key() };
    let wanted: BTreeSet<_> = jobs.iter().map(|job| job.blank(runner).key_of_any_build()).collect();
    if let Some(row) = earlier
        .rows
        .iter()
        .find(|row| !any_build && row.build != runner.build && wanted.contains(&row.key_of_any_build()))
    {
        return Err(Failure::unreadable(format!(
            "error: {} holds rows of this suite that another build of clamber made ({}, this one is {}); \
             give another file to run them again, or --any-build to let them count",
            output.display(),
            row.build,
            runner.build
        )));
    }
    let done: BTreeSet<_> = earlier.rows.iter().map(key).collect();
    let missing = jobs.iter().filter(|job| !done.contains(&key(&job.blank(runner)))).copied().collect();
    let rows = earlier.rows.into_iter().filter(|row| wanted.contains(&row.key_of_any_build())).collect();
    Ok((rows, missing))
}

fn greet(suite: &Suite, to_make: usize, made: usize) {
    let done = if made > 0 { format!(", {made} are there already") } else { String::new() };
    let counts = format!(
        "{} x {} x {} x {}",
        wording::count(suite.competitors.len(), "planner"),
        wording::count(suite.scenes.len(), "scene"),
        wording::count(suite.seeds.len(), "seed"),
        wording::count(suite.repeats as usize, "repeat"),
    );
    output::complain(&format!("{}: {counts}; {} to make{done}", suite.name, wording::count(to_make, "run")));
}

/// Makes runs, so many at a time, and gives each to `record` in this thread.
///
/// The first failure ends the program at once: runs under way end when their pipes close, and have no row, so that the next start
/// makes them again.
fn race<'a>(
    program: &Path,
    jobs: &[Job<'a>],
    at_a_time: u16,
    as_json: bool,
    mut record: impl FnMut(Job<'a>, Ended, Option<String>) -> Result<(), Failure>,
) {
    let next = AtomicUsize::new(0);
    let work = |send: Sender<Made<'a>>| {
        while let Some(job) = jobs.get(next.fetch_add(1, Ordering::Relaxed)) {
            let made = launch(program, job).map(|(ended, plan)| (*job, ended, plan));
            if send.send(made).is_err() {
                return;
            }
        }
    };
    thread::scope(|scope| {
        let (send, made) = channel();
        for _ in 0..at_a_time {
            let send = send.clone();
            scope.spawn(|| work(send));
        }
        drop(send);
        for made in made {
            let recorded = match made {
                Ok((job, ended, plan)) => record(job, ended, plan),
                Err(Interrupted(why)) => Err(Failure::interrupted(format!(
                    "interrupted: {why}; start again to go on where it stopped"
                ))),
            };
            if let Err(failure) = recorded {
                std::process::exit(i32::from(refusal::tell(failure, as_json)));
            }
        }
    });
}

/// A run and how it ended, in one line.
fn outcome(row: &Row) -> String {
    let mut text = format!("{}: {}", row.called(), row.status.word());
    if let Some(work) = row.work {
        text += &format!(" in {:.2} s", work.time_s);
    }
    if let Some(plan) = &row.plan {
        text +=
            &format!(", checked, {}, makespan {:.1} s", wording::count(plan.moves, "move"), plan.makespan_s);
    }
    if let Some(signal) = row.signal {
        text += &format!(", signal {signal}");
    }
    if let Some(code) = row.exit_code {
        text += &format!(", exit code {code}");
    }
    row.note.iter().fold(text, |text, note| format!("{text}: {note}"))
}

/// `12 solved, 3 time out`.
fn counts(rows: &[Row]) -> String {
    let count = |ending| rows.iter().filter(|row| row.status == ending).count();
    let counts = Ending::WORDS.map(|(ending, word)| (count(ending), word));
    let some: Vec<String> =
        counts.iter().filter(|(n, _)| *n > 0).map(|(n, word)| format!("{n} {word}")).collect();
    if some.is_empty() { "nothing to do".into() } else { some.join(", ") }
}

/// `column--astar-greed=1--seed1--1.json`, of letters that every disk takes.
fn plan_path(folder: &Path, row: &Row) -> PathBuf {
    let planner = super::suite::called(&row.planner, &row.options);
    let name = format!("{}--{planner}--seed{}--{}", row.scene, row.seed, row.repeat);
    let plain = |c: char| if c.is_alphanumeric() || matches!(c, '-' | '_' | '.' | '=') { c } else { '-' };
    folder.join(name.chars().map(plain).collect::<String>() + ".json")
}
