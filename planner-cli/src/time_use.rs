//! Where the time of a plan goes, in words: for the terminal and for the page.

use crate::wording;
use clamber_core::unstable::schedule::{CriticalWait, TimeUse, WaitReason};
use clamber_core::{Hold, Move, Plan, Problem};
use std::fmt::Write;

/// Most waits that are listed.
const LISTED: usize = 10;
/// Waits that cost less than this are not listed, in seconds.
const WORTH_S: f64 = 0.05;

/// One line for the path as a whole, one for the modules, and one for each wait that costs most.
pub(crate) fn lines(problem: &Problem, plan: &Plan) -> Vec<String> {
    let Some(used) = TimeUse::of(problem, plan) else { return Vec::new() };
    if used.path.is_empty() {
        return Vec::new();
    }
    let mut lines = vec![
        format!(
            "{} of {} steps make a chain in which each waits for the one before; it takes the {:.1} s: {}",
            used.path.len(),
            plan.steps.len(),
            plan.summary.makespan_s,
            shares(by_move(plan, &used))
        ),
        format!("of these, by module: {}", shares(by_module(problem, plan, &used))),
    ];
    let listed: Vec<&CriticalWait> =
        used.waits.iter().filter(|wait| wait.costs_s >= WORTH_S).take(LISTED).collect();
    lines.extend(listed.iter().map(|wait| sentence(problem, plan, wait)));
    let left = used.waits.len() - listed.len();
    if left > 0 {
        lines.push(format!(
            "{} on it {} less",
            wording::count(left, if listed.is_empty() { "wait" } else { "other wait" }),
            if left == 1 { "costs" } else { "cost" }
        ));
    }
    lines
}

/// The same for the terminal.
pub(crate) fn text(problem: &Problem, plan: &Plan) -> String {
    let mut text = String::new();
    for (index, line) in lines(problem, plan).iter().enumerate() {
        let begin = if index == 0 { "where the time goes: " } else { "  " };
        let _ = writeln!(text, "{begin}{line}");
    }
    text
}

/// `step 34 (m2: slide on m5) waits for step 33 (m3: slide on sill): their paths come too near; 2.4 s, at most, are lost by it`.
fn sentence(problem: &Problem, plan: &Plan, wait: &CriticalWait) -> String {
    let name = |step: usize| {
        let made = &plan.steps[step];
        let module = problem.module_name(made.module);
        format!("step {step} ({module}: {} on {})", made.action.word(), problem.name_of(made.end.host))
    };
    let reason = match wait.reason {
        WaitReason::Host => "one stands on what the other moves",
        WaitReason::Paths => "their paths come too near",
        WaitReason::Load => "the load would not be carried",
        _ => "it has to",
    };
    format!(
        "{} waits for {}: {reason}; {:.1} s, at most, are lost by it",
        name(wait.step),
        name(wait.waits_for),
        wait.costs_s
    )
}

/// Seconds on the path by what is done, most first.
fn by_move(plan: &Plan, used: &TimeUse) -> Vec<(String, f64)> {
    sums(used.path.iter().map(|&step| {
        let step = &plan.steps[step];
        let slow = matches!(step.action, Move::Yaw { .. }) && step.end.hold == Hold::Braced;
        (format!("{}{}", step.action.word(), if slow { " braced" } else { "" }), step.duration_s)
    }))
}

fn by_module(problem: &Problem, plan: &Plan, used: &TimeUse) -> Vec<(String, f64)> {
    sums(
        used.path.iter().map(|&step| {
            (problem.module_name(plan.steps[step].module).to_owned(), plan.steps[step].duration_s)
        }),
    )
}

fn sums(parts: impl Iterator<Item = (String, f64)>) -> Vec<(String, f64)> {
    let mut sums: Vec<(String, f64)> = Vec::new();
    for (name, s) in parts {
        match sums.iter_mut().find(|(known, _)| *known == name) {
            Some((_, sum_s)) => *sum_s += s,
            None => sums.push((name, s)),
        }
    }
    sums.sort_by(|(a, a_s), (b, b_s)| b_s.total_cmp(a_s).then(a.cmp(b)));
    sums
}

fn shares(sums: Vec<(String, f64)>) -> String {
    sums.iter().map(|(name, s)| format!("{name} {s:.1} s")).collect::<Vec<_>>().join(", ")
}
