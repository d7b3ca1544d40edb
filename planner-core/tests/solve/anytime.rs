//! There is an answer at any time: `solve` told to finish or to stop at one ask after another. No clock: asks are counted.

use crate::support::{fixture, solved, soon_planned};
use clamber_core::{
    Control, Phase, Plan, Problem, Progress, Signal, Solution, SolveOptions, Status, Unsolved, check_plan,
    solve,
};
use rayon::ThreadPoolBuilder;
use rayon::prelude::*;
use std::sync::Mutex;
use std::sync::atomic::{AtomicBool, AtomicU64, Ordering};

/// The default options with little patience.
fn quick() -> SolveOptions {
    SolveOptions { patience: 4, ..SolveOptions::default() }
}

/// Solves, and says something from the `from`-th ask on; also how many asks there were.
fn told(problem: &Problem, from: u64, what: Signal) -> (Solution, u64) {
    let asks = AtomicU64::new(0);
    let signal = || if asks.fetch_add(1, Ordering::Relaxed) + 1 >= from { what } else { Signal::GoOn };
    let solution = solve(problem, &quick(), &Control::new(&signal)).expect("it makes sense");
    (solution, asks.into_inner())
}

/// The same on one thread, where the work up to an ask is the same whatever is said then.
fn told_on_one_thread(problem: &Problem, from: u64, what: Signal) -> (Solution, u64) {
    let pool = ThreadPoolBuilder::new().num_threads(1).build().expect("a pool");
    pool.install(|| told(problem, from, what))
}

/// Some scenes with how many moments to look at, fewer where a solution takes longer.
const SCENES: [(&str, u64); 3] = [("pair", 6), ("headwall-low", 10), ("stand", 3)];

/// Moments from the first ask to the last.
fn moments(asks: u64, count: u64) -> Vec<u64> {
    (0..=count).map(|k| 1 + (asks - 1) * k / count).collect()
}

/// Solved with a sound plan, or unsolved with a reason and a plan that is sound as far as it goes.
#[track_caller]
fn assert_is_an_answer(problem: &Problem, solution: &Solution, what: Signal) {
    let report = check_plan(problem, &solution.plan).expect("its values make sense");
    match (&solution.status, &solution.report.unsolved) {
        (Status::Solved, None) => {
            assert!(report.is_sound(), "{:?}", report.findings);
            assert!(solution.plan.summary.makespan_s >= solution.report.lower_bound_s);
        }
        (Status::BudgetSpent, Some(Unsolved::OutOfTime)) => assert_eq!(what, Signal::Finish),
        (Status::Cancelled, Some(Unsolved::Cancelled | Unsolved::NotCheckedInTime { .. })) => {
            assert_eq!(what, Signal::StopNow);
        }
        other => panic!("{other:?}"),
    }
    if solution.status != Status::Solved {
        let rules = report.findings.iter().map(|finding| finding.rule.name());
        assert!(rules.clone().all(|rule| rule == "goal"), "{:?}", report.findings);
        assert!(!solution.report.complete);
    }
}

#[test]
fn told_to_finish_it_answers_and_later_no_worse() {
    for (name, count) in SCENES {
        let (_, problem) = fixture(name);
        let (_, asks) = told_on_one_thread(&problem, u64::MAX, Signal::Finish);
        let found: Vec<(u64, Solution)> = moments(asks, count)
            .into_par_iter()
            .map(|from| (from, told_on_one_thread(&problem, from, Signal::Finish).0))
            .collect();
        let mut least_s = f64::INFINITY;
        for (from, solution) in &found {
            assert_is_an_answer(&problem, solution, Signal::Finish);
            if solution.status == Status::Solved {
                let makespan_s = solution.plan.summary.makespan_s;
                assert!(makespan_s <= least_s, "{name}: {makespan_s} s at ask {from}, {least_s} s before");
                least_s = makespan_s;
            } else {
                assert!(least_s.is_infinite(), "{name}: solved sooner, and not at ask {from}");
            }
        }
        let last = &found.last().expect("some").1;
        assert_eq!(last.status, Status::Solved, "{name}");
    }
}

#[test]
fn told_to_stop_it_answers_at_once() {
    for (name, count) in SCENES {
        let (_, problem) = fixture(name);
        let (_, asks) = told(&problem, u64::MAX, Signal::StopNow);
        let mut solved = 0;
        for from in moments(asks, count) {
            let (solution, asked) = told(&problem, from, Signal::StopNow);
            assert_is_an_answer(&problem, &solution, Signal::StopNow);
            solved += usize::from(solution.status == Status::Solved);
            // As for each planner alone and for each timing: every loop that ends asks once more.
            let more = asked.saturating_sub(from);
            println!("MORE {name} {from} {more}");
            assert!(more <= 1000, "{name}, ask {from}: {more} more asks");
        }
        assert!(solved > 0, "{name}");
    }
}

/// Solves with a caller who says something once there is a solution, or once it is checked.
fn content_with_the_first(problem: &Problem, checked: bool, what: Signal) -> Solution {
    let content = AtomicBool::new(false);
    let signal = || if content.load(Ordering::Relaxed) { what } else { Signal::GoOn };
    let hear = |progress: &Progress| {
        if progress.phase == Phase::Improving && (!checked || progress.makespan_s.is_some()) {
            content.store(true, Ordering::Relaxed);
        }
    };
    let control = Control::new(&signal).with_progress(&hear);
    solve(problem, &quick(), &control).expect("it makes sense")
}

/// Whether any two steps are under way at the same time.
fn overlaps(plan: &Plan) -> bool {
    plan.steps
        .iter()
        .enumerate()
        .any(|(k, late)| plan.steps[..k].iter().any(|early| late.start_s < early.end_s()))
}

#[test]
fn the_first_answer_is_side_by_side_already() {
    let mut side_by_side = 0;
    for name in soon_planned() {
        let (_, problem, best) = solved(name);
        let first = content_with_the_first(problem, false, Signal::Finish);
        assert_eq!(first.status, Status::Solved, "{name}");
        assert!(check_plan(problem, &first.plan).expect("its values make sense").is_sound(), "{name}");
        let (first_s, best_s) = (first.plan.summary.makespan_s, best.plan.summary.makespan_s);
        assert!(best_s <= first_s + 1e-9, "{name}: {best_s} s after {first_s} s");
        assert_eq!(overlaps(&first.plan), overlaps(&best.plan), "{name}");
        side_by_side += usize::from(overlaps(&first.plan));
    }
    assert!(side_by_side > 2, "only {side_by_side} have steps that overlap");
}

/// A solution that is not checked yet is not shown.
#[test]
fn what_is_not_checked_is_not_shown() {
    let (_, problem) = fixture("stand");
    let stopped = content_with_the_first(&problem, false, Signal::StopNow);
    assert_eq!(stopped.status, Status::Cancelled);
    assert!(matches!(stopped.report.unsolved, Some(Unsolved::NotCheckedInTime { trips: 1.. })));
    assert!(stopped.plan.steps.is_empty());
    let checked = content_with_the_first(&problem, true, Signal::StopNow);
    assert_eq!((checked.status, &checked.report.unsolved), (Status::Solved, &None));
    assert!(
        check_plan(&problem, &checked.plan).expect("its values make sense").is_sound()
            && !checked.report.complete
    );
}

#[test]
fn progress_tells_one_phase_after_the_other_and_no_longer_makespan() {
    for name in ["pair", "column", "headwall-low"] {
        let (_, problem) = fixture(name);
        let told = Mutex::new(Vec::new());
        let hear = |progress: &Progress| told.lock().expect("nobody fails").push(*progress);
        let control = Control::unlimited().with_progress(&hear);
        let solution = solve(&problem, &quick(), &control).expect("it makes sense");
        let told = told.into_inner().expect("nobody fails");
        let first =
            told.iter().position(|progress| progress.phase == Phase::Improving).expect("it is solved");
        assert!(first > 0 && told[..first].iter().all(|progress| progress.makespan_s.is_none()), "{name}");
        let improving = &told[first..];
        assert!(improving.iter().all(|progress| progress.phase == Phase::Improving), "{name}");
        // Infinite until there is one.
        let mut makespans = improving.iter().map(|progress| progress.makespan_s.unwrap_or(f64::INFINITY));
        assert!(makespans.clone().is_sorted_by(|before, after| before >= after), "{name}");
        assert_eq!(makespans.next_back(), Some(solution.plan.summary.makespan_s), "{name}");
    }
}
