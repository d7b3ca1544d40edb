//! How long planners and the timing go on after a cancel: `cargo run --release -p clamber-benches --example interrupts -- TRIALS SECONDS SCENE...`.
//!
//! Every planner, and the timing of a solution, is cancelled at random instants of its run on every scene, within SECONDS of its begin:
//! 3 shows most; 60 shows what long searches leave to be freed. Prints the median, the 99th
//! percentile and the worst time from the cancel to the answer in milliseconds, and the scene of the worst; where the system tells it, also
//! the processor time that all threads together used meanwhile, which other programs on the machine do not disturb.

use clamber_benches::{heading, solution_within};
use clamber_core::unstable::control::{Budget, Stopped};
use clamber_core::unstable::math::SplitMix64;
use clamber_core::unstable::schedule::{at_several_limits, moves_of_trips, side_by_side};
use clamber_core::unstable::search::{NoObserver, Options, shorten};
use clamber_core::unstable::solve::rearrange;
use clamber_core::unstable::travel::Trip;
use clamber_core::{Interrupt, Objective, Problem, Strategy, read_scenario};
use std::time::{Duration, Instant};

/// Longest search for a solution to time, in seconds.
const SEARCH_S: f64 = 20.0;

/// Time from a cancel to the answer, processor time of it, and of which scene.
type Latency = ([f64; 2], String);

fn main() -> Result<(), Box<dyn std::error::Error>> {
    let mut arguments = std::env::args().skip(1);
    let trials: u32 = arguments
        .next()
        .ok_or("give the number of trials, the latest second of a cancel, then scenes")?
        .parse()?;
    let latest_s: f64 = arguments.next().ok_or("give the latest second of a cancel")?.parse()?;
    let files: Vec<String> = arguments.collect();
    let mut scenes: Vec<(String, Problem, Vec<Trip>)> = Vec::new();
    for file in files {
        let (_, problem) = read_scenario(&file, &std::fs::read_to_string(&file)?)?;
        let trips = solution_within(&problem, SEARCH_S)?;
        scenes.push((file, problem, trips));
    }
    println!("{:<14} {:>7} {:>27}   {:>27}", "", "", "on the clock, ms", "processors, ms");
    print!("{:<14} {:>7}", "what", "cancels");
    println!(" {0:>8} {1:>9} {2:>8}   {0:>8} {1:>9} {2:>8}  worst on", "median", "99 %", "worst");
    let mut all: Vec<Latency> = Vec::new();
    for (_, name) in Strategy::all() {
        let job = |problem: &Problem, _: &[Trip], budget: &Budget<'_>| {
            let planner = Strategy::all().into_iter().find(|(_, n)| *n == name).map(|(p, _)| p.planner());
            let _ = planner.map(|p| p.plan(problem, &Options::default(), budget, &NoObserver));
        };
        all.extend(measure(name, (trials, latest_s), &scenes, &job));
    }
    let shorten = |problem: &Problem, trips: &[Trip], budget: &Budget<'_>| {
        let _ = shorten(problem, trips, u64::MAX, budget);
    };
    all.extend(measure("shorten", (trials, latest_s), &scenes, &shorten));
    let time = |problem: &Problem, trips: &[Trip], budget: &Budget<'_>| {
        let Ok(moves) = moves_of_trips(problem, trips) else { return };
        let _ = side_by_side(problem, &moves, &heading(), Objective::Time, budget);
    };
    all.extend(measure("side by side", (trials, latest_s), &scenes, &time));
    let weigh = |problem: &Problem, trips: &[Trip], budget: &Budget<'_>| {
        let Ok(moves) = moves_of_trips(problem, trips) else { return };
        let _ = at_several_limits(problem, &moves, &heading(), 5, budget);
    };
    all.extend(measure("trade-offs", (trials, latest_s), &scenes, &weigh));
    let look = |problem: &Problem, trips: &[Trip], budget: &Budget<'_>| {
        let _ = rearrange(problem, &[trips.to_vec()], 1, u64::MAX, 0.0, budget, &mut |_| {});
    };
    all.extend(measure("rearrange", (trials, latest_s), &scenes, &look));
    tell("all", &mut all);
    Ok(())
}

/// Cancels a job at `trials` instants on every scene, prints a line, and returns the latencies.
fn measure(
    name: &str,
    (trials, latest_s): (u32, f64),
    scenes: &[(String, Problem, Vec<Trip>)],
    job: &(dyn Fn(&Problem, &[Trip], &Budget<'_>) + Sync),
) -> Vec<Latency> {
    let mut found: Vec<Latency> = Vec::new();
    let mut random = SplitMix64::new(12_345);
    for (file, problem, trips) in scenes {
        let whole = Instant::now();
        run(problem, trips, latest_s, job);
        let whole_s = whole.elapsed().as_secs_f64().min(latest_s);
        for _ in 0..trials {
            let instant_s = random.between(0.0, whole_s);
            if let Some(late_s) = run(problem, trips, instant_s, job) {
                found.push((late_s, file.clone()));
            }
        }
    }
    tell(name, &mut found);
    found
}

/// Runs a job and cancels it at an instant; how late it answered, if it was not done before.
fn run(
    problem: &Problem,
    trips: &[Trip],
    instant_s: f64,
    job: &(dyn Fn(&Problem, &[Trip], &Budget<'_>) + Sync),
) -> Option<[f64; 2]> {
    let end = Instant::now() + Duration::from_secs_f64(instant_s);
    let interrupt = || (Instant::now() >= end).then_some(Stopped::Cancelled);
    std::thread::scope(|scope| {
        let used_s = scope.spawn(move || {
            std::thread::sleep(Duration::from_secs_f64(instant_s));
            processors_s()
        });
        job(problem, trips, &Budget { interrupt: Interrupt::new(&interrupt), ..Budget::unlimited() });
        let late_s = Instant::now().checked_duration_since(end).map(|late| late.as_secs_f64());
        let used_s = processors_s() - used_s.join().unwrap_or(f64::NAN);
        late_s.map(|late_s| [late_s, used_s])
    })
}

/// Processor time of all threads so far, in seconds; not a number where the system does not tell.
fn processors_s() -> f64 {
    let Ok(threads) = std::fs::read_dir("/proc/self/task") else { return f64::NAN };
    let of = |path: std::path::PathBuf| {
        let text = std::fs::read_to_string(path.join("schedstat")).ok()?;
        text.split_whitespace().next()?.parse::<f64>().ok()
    };
    threads.flatten().filter_map(|thread| of(thread.path())).sum::<f64>() * 1e-9
}

fn tell(name: &str, found: &mut [Latency]) {
    print!("{name:<14} {:>7}", found.len());
    let mut worst = String::new();
    for k in [0, 1] {
        found.sort_by(|a, b| a.0[k].total_cmp(&b.0[k]));
        let last = found.len().saturating_sub(1);
        let at = |share: f64| found.get(((found.len() as f64 * share) as usize).min(last));
        let ms = |share: f64| at(share).map_or(f64::NAN, |latency| 1e3 * latency.0[k]);
        print!(" {:>8.1} {:>9.1} {:>8.1}  ", ms(0.5), ms(0.99), ms(1.0));
        worst = at(1.0).map_or(String::new(), |latency| latency.1.clone());
    }
    println!("{worst}");
}
