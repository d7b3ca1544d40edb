//! One run, in a process of its own: reads an order, plans, has the plan checked, and tells.

use super::competitor::parse;
use super::limits;
use super::row::{Ending, PlanFigures, Work};
use crate::args::PlanArgs;
use crate::examine::{Examined, examine_text};
use crate::failure::Failure;
use crate::progress::ProgressLine;
use crate::solving::{Solved, solve_within};
use crate::{exit_code, output, verdict, wording};
use clamber_core::{Plan, Problem, Scenario, Unsolved, read_scenario, write_plan};
use serde::{Deserialize, Serialize};
use sha2::{Digest, Sha256};
use std::time::Instant;

/// What is to be done: one line of JSON on stdin, which then stays open for as long as somebody waits for the answer.
#[derive(Debug, Serialize, Deserialize)]
pub(crate) struct Order {
    /// Arguments of `clamber plan`.
    pub(crate) arguments: Vec<String>,
    /// The scene as JSON.
    pub(crate) scene: String,
    pub(crate) memory_mib: Option<u64>,
}

/// How it went: one line of JSON on stdout.
#[derive(Debug, Serialize, Deserialize)]
pub(crate) struct Told {
    pub(crate) status: Ending,
    pub(crate) checked: Option<bool>,
    pub(crate) note: Option<String>,
    pub(crate) work: Option<Work>,
    pub(crate) plan: Option<PlanFigures>,
    /// The text of the plan file.
    pub(crate) plan_file: Option<String>,
}

impl Told {
    fn new(status: Ending, note: Option<String>, work: Option<Work>) -> Self {
        Self { status, checked: None, note, work, plan: None, plan_file: None }
    }
}

pub(crate) fn run() -> Result<u8, Failure> {
    let mut line = String::new();
    let read = std::io::stdin().read_line(&mut line).map_err(|error| error.to_string());
    let order: Order = read
        .and_then(|_| serde_json::from_str(&line).map_err(|error| error.to_string()))
        .map_err(|error| Failure::unreadable(format!("error: this is no order for a run: {error}")))?;
    limits::confine(order.memory_mib).map_err(|error| Failure::unreadable(format!("error: {error}")))?;
    end_with_the_parent()?;
    let args = parse(&order.arguments).map_err(Failure::unreadable)?;
    let (scenario, problem) =
        read_scenario("scene.json", &order.scene).map_err(|found| Failure::unreadable(found.to_string()))?;
    match tell(&scenario, &problem, &args)? {
        Some(told) => output::print(&output::json_line(&told)?)?,
        None => return Ok(exit_code::INTERRUPTED),
    }
    Ok(exit_code::DONE)
}

/// The other end of stdin closes when whoever waits for the answer is gone, however that happened.
fn end_with_the_parent() -> Result<(), Failure> {
    let wait = || {
        let _ = std::io::copy(&mut std::io::stdin().lock(), &mut std::io::sink());
        std::process::exit(i32::from(exit_code::INTERRUPTED));
    };
    let started = std::thread::Builder::new().spawn(wait);
    started
        .map(drop)
        .map_err(|error| Failure::unreadable(format!("error: no thread can be started: {error}")))
}

/// Whether the memory allows so many threads; those of the search are made in the same way.
fn can_start(threads: u16) -> bool {
    rayon::ThreadPoolBuilder::new().num_threads(usize::from(threads)).build().is_ok()
}

/// What came of the run; nothing if it was interrupted.
fn tell(scenario: &Scenario, problem: &Problem, args: &PlanArgs) -> Result<Option<Told>, Failure> {
    if !args.threads.is_none_or(can_start) {
        let note = "the memory does not suffice for the threads";
        return Ok(Some(Told::new(Ending::OutOfMemory, Some(note.into()), None)));
    }
    let solved = match solve_within(problem, args, &ProgressLine::new(args.time)) {
        Ok(solved) => solved,
        Err(failure) => return Ok(Some(Told::new(Ending::Refused, Some(failure.text), None))),
    };
    if solved.interrupted {
        return Ok(None);
    }
    let (solution, work) = (&solved.solution, work(&solved));
    let ended = |ending: Ending, note: &str| Told::new(ending, Some(note.to_owned()), Some(work));
    let judged_file = |plan: &Plan| -> Result<Told, Failure> {
        let file = write_plan(scenario, problem, plan)
            .map_err(|error| Failure::not_sound(format!("internal error: {error}")))?;
        // The threads that there are: a limit on memory may leave no room for more.
        Ok(solved.pool.install(|| judged(file, work)))
    };
    let told = match &solution.report.unsolved {
        None => match &solution.proof {
            Some(proof) => ended(Ending::ProvedImpossible, &proof.describe(problem)),
            None if work.time_s > args.time => ended(Ending::TimeOut, "the plan came when the time was up"),
            None => judged_file(&solution.plan)?,
        },
        Some(Unsolved::OutOfMemory) => ended(Ending::OutOfMemory, "the search stopped at the memory limit"),
        Some(Unsolved::Exhausted(note)) => ended(Ending::Unsolved, note),
        Some(Unsolved::CannotBeTimed(error)) => {
            ended(Ending::Unsolved, &format!("the moves that were found cannot be timed: {error}"))
        }
        Some(Unsolved::FailedCheck(plan, _)) => judged_file(plan)?,
        Some(Unsolved::NotCheckedInTime { .. }) => {
            ended(Ending::TimeOut, "a solution was found, and not checked when the time was up")
        }
        Some(_) => Told::new(Ending::TimeOut, None, Some(work)),
    };
    Ok(Some(told))
}

fn work(solved: &Solved) -> Work {
    let statistics = solved.solution.statistics;
    Work {
        time_s: solved.elapsed.as_secs_f64(),
        search_s: solved.searched.as_secs_f64(),
        check_s: None,
        cpu_s: limits::cpu_s(),
        peak_memory_mib: limits::peak_memory_mib(),
        expanded: statistics.expanded,
        kept: statistics.kept,
        generated: statistics.generated,
    }
}

/// Checks the plan as it stands in its file, as `clamber check` does. Only what passes is solved.
fn judged(file: String, work: Work) -> Told {
    let begin = Instant::now();
    let examined = examine_text("plan.json".into(), &file);
    let work = Work { check_s: Some(begin.elapsed().as_secs_f64()), ..work };
    let (sound, note) = match &examined {
        Ok(examined) if examined.is_sound() => (true, None),
        Ok(examined) => (false, Some(first_finding(examined))),
        Err(failure) => (false, Some(failure.text.clone())),
    };
    let status = if sound { Ending::Solved } else { Ending::NotSound };
    let plan = examined.ok().filter(|_| sound).map(|examined| figures(&examined, &file));
    Told { checked: Some(sound), plan, plan_file: Some(file), ..Told::new(status, note, Some(work)) }
}

fn first_finding(examined: &Examined) -> String {
    let count = wording::count(examined.findings.len(), "finding");
    let first = examined.findings.first();
    let step = first.and_then(|f| f.step).map(|step| format!(", step {step}")).unwrap_or_default();
    first.map_or(count.clone(), |f| format!("{count}; the first: {}{step}: {}", f.rule, f.message))
}

fn figures(examined: &Examined, file: &str) -> PlanFigures {
    let summary = &examined.summary;
    PlanFigures {
        moves: summary.moves,
        makespan_s: summary.makespan_s,
        energy_j: summary.energy_j,
        travel_m: summary.travel_m,
        utilisation: summary.utilisation,
        margin: 1.0 - summary.utilisation * examined.problem.limits.hold_factor,
        gap_m: summary.gap_m,
        lower_bound_s: summary.lower_bound_s,
        uncarried_bound_s: verdict::uncarried_bound_s(&examined.problem, &examined.plan),
        sha256: Sha256::digest(file.as_bytes()).iter().map(|byte| format!("{byte:02x}")).collect(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn plan_of_the_pair() -> (Scenario, Problem, Plan) {
        let text = include_str!("../../../fixtures/pair.toml");
        let (scenario, problem) = read_scenario("pair.toml", text).expect("a sound scene");
        let args = parse(&["--time=60".to_owned()]).expect("arguments of plan");
        let solved = solve_within(&problem, &args, &ProgressLine::new(60.0)).expect("a solution");
        let plan = solved.solution.plan;
        (scenario, problem, plan)
    }

    #[test]
    fn a_plan_that_does_not_pass_the_check_is_never_solved() {
        let work = Work {
            time_s: 1.0,
            search_s: 1.0,
            check_s: None,
            cpu_s: None,
            peak_memory_mib: None,
            expanded: 1,
            kept: 1,
            generated: 1,
        };
        let (scenario, problem, plan) = plan_of_the_pair();
        let file = write_plan(&scenario, &problem, &plan).expect("a plan file");
        let told = judged(file, work);
        assert_eq!((told.status, told.checked), (Ending::Solved, Some(true)), "{:?}", told.note);
        let figures = told.plan.expect("figures");
        assert_eq!(figures.moves, plan.steps.len());
        assert!((0.0..1.0).contains(&figures.margin), "{figures:?}");

        let mut short = plan.clone();
        short.steps.pop();
        let mut eager = plan;
        eager.steps[0].duration_s *= 0.5;
        for broken in [short, eager] {
            let told = judged(write_plan(&scenario, &problem, &broken).expect("a plan file"), work);
            assert_eq!((told.status, told.checked), (Ending::NotSound, Some(false)));
            assert!(told.plan.is_none(), "figures of such a plan mean nothing");
            assert!(told.note.is_some_and(|note| note.contains("finding")));
        }
    }
}
