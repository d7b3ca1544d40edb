//! How long a thread works without asking its budget: `cargo run --release -p clamber-benches --example interrupt_latency -- WHAT SECONDS SCENE...`.
//!
//! WHAT is the name of a planner, or `shorten`, `side-by-side`, `trade-offs` or `rearrange`. It is cancelled after so many seconds. Prints the
//! longest processor times between two asks of one thread, how often they were over [`LEAST_MS`], and which functions were asking then: a
//! bound on how late a cancel can be heard, where a sample of random instants may miss the rare long ones. Needs Linux.

use clamber_benches::{heading, solution_within};
use clamber_core::unstable::control::{Budget, Stopped};
use clamber_core::unstable::schedule::{at_several_limits, moves_of_trips, side_by_side};
use clamber_core::unstable::search::{NoObserver, Options, shorten};
use clamber_core::unstable::solve::rearrange;
use clamber_core::unstable::travel::Trip;
use clamber_core::{Interrupt, Objective, Problem, Strategy, read_scenario};
use std::backtrace::Backtrace;
use std::cell::Cell;
use std::collections::BTreeMap;
use std::sync::Mutex;
use std::time::Instant;

/// Shorter gaps are not told: the system counts a thread's processor time in steps of some milliseconds.
const LEAST_MS: f64 = 10.0;
/// Longest search for a solution to work on, in seconds.
const SEARCH_S: f64 = 20.0;
/// Places told of each scene, and functions of each place.
const PLACES: usize = 5;
const FUNCTIONS: usize = 6;
/// Characters told of the name of a function.
const LONGEST_NAME: usize = 90;

thread_local! {
    /// In which job this thread asked last, and its processor time then.
    static LAST: Cell<(usize, f64)> = const { Cell::new((0, 0.0)) };
}

/// Number and longest of the gaps that ended at a place.
type Gaps = Mutex<BTreeMap<String, (usize, f64)>>;

fn main() -> Result<(), Box<dyn std::error::Error>> {
    let mut arguments = std::env::args().skip(1);
    let what = arguments.next().ok_or("give a planner, shorten, side-by-side, trade-offs or rearrange")?;
    let seconds: f64 = arguments.next().ok_or("give the seconds to run")?.parse()?;
    for (job, file) in arguments.enumerate() {
        let (_, problem) = read_scenario(&file, &std::fs::read_to_string(&file)?)?;
        let is_planner = Strategy::all().iter().any(|(_, name)| *name == what);
        let trips = if is_planner { Vec::new() } else { solution_within(&problem, SEARCH_S)? };
        let gaps = Gaps::default();
        let begun = Instant::now();
        let interrupt = || {
            note(job + 1, &gaps);
            (begun.elapsed().as_secs_f64() > seconds).then_some(Stopped::Cancelled)
        };
        let budget = Budget { interrupt: Interrupt::new(&interrupt), ..Budget::unlimited() };
        run(&what, &problem, &trips, &budget)?;
        let late_s = begun.elapsed().as_secs_f64() - seconds;
        note(job + 1, &gaps);
        println!("{what} on {file}: {:.1} ms on the clock after the cancel", 1e3 * late_s.max(0.0));
        let mut found: Vec<_> = gaps.into_inner().unwrap_or_default().into_iter().collect();
        found.sort_by(|a, b| b.1.1.total_cmp(&a.1.1));
        for (place, (times, longest_ms)) in found.into_iter().take(PLACES) {
            println!("  {longest_ms:7.1} ms, {times} times: {place}");
        }
    }
    Ok(())
}

fn run(
    what: &str,
    problem: &Problem,
    trips: &[Trip],
    budget: &Budget<'_>,
) -> Result<(), Box<dyn std::error::Error>> {
    if let Some((planner, _)) = Strategy::all().into_iter().find(|(_, name)| *name == what) {
        planner.planner().plan(problem, &Options::default(), budget, &NoObserver)?;
        return Ok(());
    }
    let moves = moves_of_trips(problem, trips)?;
    let heading = heading();
    // That a timing was stopped before there was a plan is no error here.
    match what {
        "shorten" => drop(shorten(problem, trips, u64::MAX, budget)),
        "rearrange" => drop(rearrange(problem, &[trips.to_vec()], 1, u64::MAX, 0.0, budget, &mut |_| {})),
        "side-by-side" => {
            drop(side_by_side(problem, &moves, &heading, Objective::Time, budget));
        }
        "trade-offs" => drop(at_several_limits(problem, &moves, &heading, 5, budget)),
        _ => return Err(format!("{what} is nothing that can be run").into()),
    }
    Ok(())
}

/// Notes the gap of this thread that ends now, if it was a long one.
fn note(job: usize, gaps: &Gaps) {
    let now_ms = processor_ms();
    let (last_job, last_ms) = LAST.get();
    let gap_ms = now_ms - last_ms;
    if last_job == job && gap_ms > LEAST_MS {
        let trace = Backtrace::force_capture().to_string();
        let functions = trace.lines().filter_map(|line| line.split_once(": ").map(|(_, name)| name.trim()));
        let ours = functions.filter(|name| name.contains("clamber_core") && !name.contains("rayon"));
        let short = |name: &str| name.chars().take(LONGEST_NAME).collect::<String>();
        let place = ours.take(FUNCTIONS).map(short).collect::<Vec<_>>().join(" < ");
        if let Ok(mut gaps) = gaps.lock() {
            let (times, longest_ms) = gaps.entry(place).or_default();
            (*times, *longest_ms) = (*times + 1, longest_ms.max(gap_ms));
        }
    }
    // Telling took time.
    LAST.set((job, processor_ms()));
}

/// Processor time of this thread so far; not a number where the system does not tell.
fn processor_ms() -> f64 {
    let text = std::fs::read_to_string("/proc/thread-self/schedstat").unwrap_or_default();
    let ns = text.split_whitespace().next().and_then(|ns| ns.parse::<f64>().ok());
    ns.map_or(f64::NAN, |ns| ns * 1e-6)
}
