//! Stops crews at random instants of their plans, measures them with errors, and lets them go on.
//!
//! `cargo run --release -p clamber-benches --example following -- 1000 fixtures/row.toml fixtures/stand.toml`
//!
//! Every tenth stop is planned on from by a new search too. Times are those of the clock and, on Linux, of all processors together: where other programs
//! run, the second says more.

use clamber_core::follow::{Command, Event, Follower, Measured, Recovery, Remedy, Scatter, StepState, Tube};
use clamber_core::unstable::math::SplitMix64;
use clamber_core::unstable::motion::is_sound_at_rest;
use clamber_core::{
    Control, DQuat, DVec3, Plan, Problem, Signal, SolveOptions, Status, read_scenario, solve,
};
use std::error::Error;
use std::time::{Duration, Instant};

fn main() -> Result<(), Box<dyn Error>> {
    let mut arguments = std::env::args().skip(1);
    let stops: u32 = arguments.next().ok_or("how many stops? then scenes")?.parse()?;
    for scene in arguments {
        let (_, problem) =
            read_scenario(&scene, &std::fs::read_to_string(&scene)?).map_err(|e| e.to_string())?;
        let solution = solve(&problem, &quick(), &Control::unlimited())?;
        if solution.status != Status::Solved {
            println!("{scene}: {}", solution.status.word());
            continue;
        }
        measure(&scene, stops, &problem, &solution.plan)?;
    }
    Ok(())
}

fn quick() -> SolveOptions {
    SolveOptions { shortening: 0, patience: 0, ..SolveOptions::default() }
}

fn measure(scene: &str, stops: u32, problem: &Problem, plan: &Plan) -> Result<(), Box<dyn Error>> {
    let begun = Follower::new(problem, plan)?;
    let mut dice = SplitMix64::new(1);
    let (mut sound, mut settled_sound, mut unproven, mut refits, mut replans, mut others) =
        (0, 0, 0, 0, 0, 0);
    let (mut worst_m, mut solved, mut in_time) = (0.0_f64, 0, 0);
    let (mut stop_ms, mut settle_ms, mut refit_ms, mut replan_ms) =
        (Vec::new(), Vec::new(), Vec::new(), Vec::new());
    for stop_number in 0..stops {
        let at_s = dice.between(0.0, plan.summary.makespan_s);
        let mut follower = stopped_at(&begun, plan, at_s)?;
        let begin = Begin::now();
        let stop = follower.halt();
        stop_ms.push(begin.ms());
        unproven += u32::from(!stop.findings.is_empty());
        for command in stop.commands {
            obey(&mut follower, command)?;
        }
        let truth = follower.expected();
        if !is_sound_at_rest(problem, &truth) {
            continue;
        }
        sound += 1;
        let poses: Vec<Measured> = truth.iter().map(|(_, place)| noisy(place, &mut dice)).collect();
        let begin = Begin::now();
        let found = follower.whereabouts(&poses, Tube::default())?;
        settle_ms.push(begin.ms());
        settled_sound += u32::from(found.settled.is_sound());
        worst_m = found.settled.residuals.iter().map(|residual| residual.position_m).fold(worst_m, f64::max);
        let (begin, control_end) = (Begin::now(), Instant::now() + Duration::from_secs(2));
        let signal = || if Instant::now() < control_end { Signal::GoOn } else { Signal::Finish };
        match follower.recover(&poses, Tube::default(), &quick(), &Control::new(&signal))? {
            Recovery::Follow { remedy: Remedy::Refit, .. } => {
                refits += 1;
                refit_ms.push(begin.ms());
            }
            Recovery::Follow { .. } => replans += 1,
            _ => others += 1,
        }
        // A new search from every tenth.
        if stop_number % 10 == 0 {
            let from = Problem { start: found.settled.configuration, ..problem.clone() };
            let (begin, end) = (Begin::now(), Instant::now() + Duration::from_secs(10));
            let signal = || if Instant::now() < end { Signal::GoOn } else { Signal::Finish };
            let solution = solve(&from, &quick(), &Control::new(&signal))?;
            let took = begin.ms();
            let is_solved = solution.status == Status::Solved;
            solved += u32::from(is_solved);
            in_time += u32::from(is_solved && took.0 < 2000.0);
            replan_ms.push(took);
        }
    }
    let tried = replan_ms.len();
    println!(
        "{scene}: {} modules, {stops} stops, {unproven} not proven; {sound} sound, {settled_sound} of them settled soundly, worst residual {:.2} mm; {refits} refitted, {replans} replanned, {others} neither; replans from scratch {solved} of {tried}, {in_time} within 2 s",
        problem.modules.len(),
        worst_m * 1e3
    );
    for (what, times) in [
        ("safe stop", stop_ms),
        ("settle", settle_ms),
        ("settle and refit", refit_ms),
        ("new search", replan_ms),
    ] {
        let (clock, cpu): (Vec<f64>, Vec<f64>) = times.into_iter().unzip();
        for (which, mut times) in [("clock", clock), ("processors", cpu)] {
            times.sort_by(f64::total_cmp);
            if let (Some(median), Some(most)) = (times.get(times.len() / 2), times.last()) {
                println!("    {what}, {which}: {median:.1} ms in half of the cases, at most {most:.1} ms");
            }
        }
    }
    Ok(())
}

/// When something begins, by the clock and by the time of all processors.
struct Begin {
    clock: Instant,
    processors_ms: f64,
}

impl Begin {
    fn now() -> Self {
        Self { processors_ms: processors_ms(), clock: Instant::now() }
    }

    /// Milliseconds since, by the clock and by the time of all processors.
    fn ms(&self) -> (f64, f64) {
        (self.clock.elapsed().as_secs_f64() * 1e3, processors_ms() - self.processors_ms)
    }
}

/// Time that the threads of this program have run, in milliseconds; 0 where the system does not tell.
fn processors_ms() -> f64 {
    let Ok(threads) = std::fs::read_dir("/proc/self/task") else { return 0.0 };
    let run_ns = |thread: std::fs::DirEntry| -> Option<f64> {
        let text = std::fs::read_to_string(thread.path().join("schedstat")).ok()?;
        text.split_whitespace().next()?.parse().ok()
    };
    threads.flatten().filter_map(run_ns).sum::<f64>() * 1e-6
}

/// The follower at an instant of the plan, with everything on time.
fn stopped_at<'a>(begun: &Follower<'a>, plan: &Plan, at_s: f64) -> Result<Follower<'a>, Box<dyn Error>> {
    let mut events: Vec<(f64, Event)> = Vec::new();
    for (step, own) in plan.steps.iter().enumerate() {
        events.push((own.start_s, Event::Started { step }));
        events.push((own.end_s(), Event::Ended { step }));
    }
    events.sort_by(|a, b| a.0.total_cmp(&b.0));
    let mut follower = begun.clone();
    for (_, event) in events.into_iter().take_while(|(when_s, _)| *when_s <= at_s) {
        follower.note(event)?;
    }
    for (step, own) in plan.steps.iter().enumerate() {
        if matches!(follower.state().steps[step], StepState::UnderWay(_)) {
            follower.note(Event::Share {
                step,
                share: ((at_s - own.start_s) / own.duration_s).clamp(0.0, 1.0),
            })?;
        }
    }
    Ok(follower)
}

fn obey(follower: &mut Follower<'_>, command: Command) -> Result<(), Box<dyn Error>> {
    match command {
        Command::Hold { step } => {
            let StepState::UnderWay(share) = follower.state().steps[step] else { return Ok(()) };
            follower.note(Event::Stalled { step, share })?;
        }
        Command::Finish { step } => drop(follower.note(Event::Ended { step })?),
        Command::TakeBack { step } => drop(follower.note(Event::Stalled { step, share: 0.0 })?),
        Command::Start { .. } | Command::Brace { .. } => {}
    }
    Ok(())
}

/// A pose with errors up to half a millimetre and half a degree.
fn noisy(place: &clamber_core::Placement, dice: &mut SplitMix64) -> Measured {
    let scatter = Scatter::default();
    let mut measured = Measured::exactly(place, scatter);
    let mut error = || dice.between(-scatter.position_m, scatter.position_m);
    measured.position += DVec3::new(error(), error(), error());
    let axis = DVec3::new(dice.normal(), dice.normal(), dice.normal()).normalize_or(DVec3::Z);
    let angle = dice.between(-scatter.angle_rad, scatter.angle_rad);
    measured.orientation = (DQuat::from_axis_angle(axis, angle) * measured.orientation).normalize();
    measured
}
