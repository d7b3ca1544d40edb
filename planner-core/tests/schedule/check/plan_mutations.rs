//! One thing wrong with a sound plan, and the rule that finds it.

use crate::support::planned;
use clamber_core::Move;
use clamber_core::Rule;
use clamber_core::{Body, Hold, Problem};
use clamber_core::{DQuat, DVec3};
use clamber_core::{Finding, check_plan};
use clamber_core::{Plan, Step};
use rayon::prelude::*;

/// What a check of a changed plan must say.
enum Expect {
    /// All these rules, about this very step; others may follow from it.
    Here(&'static [&'static str]),
    /// This rule about this step and nothing else anywhere.
    Only(&'static str),
    /// One of these rules about this step.
    OneHere(&'static [&'static str]),
    /// One of these rules, anywhere.
    Somewhere(&'static [&'static str]),
}

impl Expect {
    fn is_met(&self, findings: &[Finding], step: usize) -> bool {
        let here = |rule: &str| findings.iter().any(|f| f.rule.name() == rule && f.step == Some(step));
        match self {
            Self::Here(rules) => rules.iter().all(|rule| here(rule)),
            Self::Only(rule) => {
                here(rule) && findings.iter().all(|f| f.rule.name() == *rule && f.step == Some(step))
            }
            Self::OneHere(rules) => rules.iter().any(|rule| here(rule)),
            Self::Somewhere(rules) => findings.iter().any(|f| rules.contains(&f.rule.name())),
        }
    }
}

struct Mutation {
    name: &'static str,
    /// The plan with the change, if the step is one that it applies to.
    change: fn(&Problem, &Plan, usize) -> Option<Plan>,
    expect: Expect,
}

/// A change of one step.
fn with_step(plan: &Plan, index: usize, change: impl FnOnce(&mut Step)) -> Option<Plan> {
    let mut changed = plan.clone();
    change(&mut changed.steps[index]);
    Some(changed)
}

/// A change of one step's move, if `change` has one.
fn with_move(plan: &Plan, index: usize, change: impl FnOnce(Move) -> Option<Move>) -> Option<Plan> {
    let action = change(plan.steps[index].action)?;
    with_step(plan, index, |s| s.action = action)
}

/// The plan without a step; what waited for it waits for the one before.
fn without(plan: &Plan, index: usize) -> Plan {
    let mut changed = plan.clone();
    changed.steps.remove(index);
    for (k, step) in changed.steps.iter_mut().enumerate() {
        step.after = k.checked_sub(1).into_iter().collect();
    }
    changed.summary.moves = changed.steps.len();
    changed
}

/// A yaw nudged by 0.01 rad.
fn nudged_yaw(_: &Problem, plan: &Plan, index: usize) -> Option<Plan> {
    with_move(plan, index, |action| match action {
        Move::Yaw { angle_rad } => Some(Move::Yaw { angle_rad: angle_rad + 0.01 }),
        _ => None,
    })
}

/// A travel nudged by 1 mm.
fn nudged_travel(_: &Problem, plan: &Plan, index: usize) -> Option<Plan> {
    with_move(plan, index, |action| match action {
        Move::Slide { travel_m, curvature_per_m } => {
            Some(Move::Slide { travel_m: travel_m + 1e-3, curvature_per_m })
        }
        _ => None,
    })
}

/// A curvature nudged by 0.01/m; on very short ways that is within the tolerances.
fn nudged_curvature(_: &Problem, plan: &Plan, index: usize) -> Option<Plan> {
    with_move(plan, index, |action| match action {
        Move::Slide { travel_m, curvature_per_m } if travel_m.abs() > 2e-3 => {
            Some(Move::Slide { travel_m, curvature_per_m: curvature_per_m + 0.01 })
        }
        _ => None,
    })
}

/// A hop to the next body in the list instead.
fn hop_elsewhere(problem: &Problem, plan: &Plan, index: usize) -> Option<Plan> {
    let bodies: Vec<Body> =
        problem.ground_ids().map(Body::Ground).chain(problem.module_ids().map(Body::Module)).collect();
    with_move(plan, index, |action| match action {
        Move::Hop { to } => {
            let at = bodies.iter().position(|b| *b == to)?;
            Some(Move::Hop { to: bodies[(at + 1) % bodies.len()] })
        }
        _ => None,
    })
}

/// A brace and the release that ends it left out: the plan has no needless ones.
fn dropped_brace(_: &Problem, plan: &Plan, index: usize) -> Option<Plan> {
    let step = &plan.steps[index];
    if step.action != Move::Brace {
        return None;
    }
    let release =
        plan.steps[index..].iter().position(|s| s.module == step.module && s.action == Move::Release);
    let shorter = release.map_or_else(|| plan.clone(), |r| without(plan, index + r));
    Some(without(&shorter, index))
}

/// A release left out while the module goes on to move.
fn dropped_release(_: &Problem, plan: &Plan, index: usize) -> Option<Plan> {
    let step = &plan.steps[index];
    (step.action == Move::Release).then(|| without(plan, index))
}

/// Two moves in the other order at the same times, where their durations differ.
fn swapped(_: &Problem, plan: &Plan, index: usize) -> Option<Plan> {
    let (a, b) = (plan.steps.get(index)?, plan.steps.get(index + 1)?);
    if (a.duration_s - b.duration_s).abs() < 1e-4 {
        return None;
    }
    let mut changed = plan.clone();
    let timed = |step: &Step, like: &Step| Step {
        start_s: like.start_s,
        duration_s: like.duration_s,
        after: like.after.clone(),
        ..step.clone()
    };
    changed.steps[index] = timed(b, a);
    changed.steps[index + 1] = timed(a, b);
    Some(changed)
}

/// One module's two moves swapped with the times that each takes: the order is wrong whatever the clock says.
fn swapped_with_durations(_: &Problem, plan: &Plan, index: usize) -> Option<Plan> {
    let (a, b) = (plan.steps.get(index)?.clone(), plan.steps.get(index + 1)?.clone());
    if a.module != b.module || a.action == b.action {
        return None;
    }
    let pause = b.start_s - a.end_s();
    let mut changed = plan.clone();
    changed.steps[index] = Step { start_s: a.start_s, after: a.after.clone(), ..b.clone() };
    changed.steps[index + 1] = Step { start_s: a.start_s + b.duration_s + pause, after: b.after, ..a };
    Some(changed)
}

fn mutations() -> Vec<Mutation> {
    let m = |name, change, expect| Mutation { name, change, expect };
    vec![
        m("yaw nudged", nudged_yaw, Expect::Here(&["end", "figure"])),
        m("travel nudged", nudged_travel, Expect::Here(&["end", "figure"])),
        m("curvature nudged", nudged_curvature, Expect::Here(&["end"])),
        m("hop elsewhere", hop_elsewhere, Expect::OneHere(&["move", "end"])),
        m("brace dropped", dropped_brace, Expect::Somewhere(&["load", "goal"])),
        m("release dropped", dropped_release, Expect::Somewhere(&["move"])),
        m("swapped", swapped, Expect::Here(&["figure"])),
        m("swapped with durations", swapped_with_durations, Expect::Somewhere(&["move", "end"])),
        m(
            "utilisation claimed",
            |_, p, k| with_step(p, k, |s| s.utilisation += 1e-4),
            Expect::Only("figure"),
        ),
        m(
            "less utilisation claimed",
            |_, p, k| with_step(p, k, |s| s.utilisation -= 1e-4),
            Expect::Only("figure"),
        ),
        m(
            "gap claimed",
            |_, p, k| with_step(p, k, |s| s.gap_m = s.gap_m.map_or(Some(0.1), |g| Some(g + 1e-4))),
            Expect::Only("figure"),
        ),
        m(
            "gap not claimed",
            |_, p, k| p.steps[k].gap_m.and_then(|_| with_step(p, k, |s| s.gap_m = None)),
            Expect::Only("figure"),
        ),
        m(
            "duration claimed",
            |_, p, k| {
                let inner = k + 1 < p.steps.len();
                inner.then(|| with_step(p, k, |s| s.duration_s += 5e-4)).flatten()
            },
            Expect::Only("figure"),
        ),
        m("end moved", |_, p, k| with_step(p, k, |s| s.end.position += DVec3::X * 1e-4), Expect::Only("end")),
        m(
            "end turned",
            |_, p, k| with_step(p, k, |s| s.end.orientation *= DQuat::from_rotation_z(1e-4)),
            Expect::Only("end"),
        ),
        m(
            "end with the other hold",
            |_, p, k| {
                with_step(p, k, |s| {
                    s.end.hold = if s.end.hold == Hold::Braced { Hold::Rolling } else { Hold::Braced };
                })
            },
            Expect::Only("end"),
        ),
        m(
            "end on itself",
            |_, p, k| with_step(p, k, |s| s.end.host = Body::Module(s.module)),
            Expect::Only("end"),
        ),
        m("waits for itself", |_, p, k| with_step(p, k, |s| s.after = vec![k]), Expect::Only("order")),
        m(
            "waits for nobody there",
            |_, p, k| with_step(p, k, |s| s.after = vec![999]),
            Expect::Only("order"),
        ),
        m(
            "waits for a later one",
            |_, p, k| p.steps.get(k + 1).and_then(|_| with_step(p, k, |s| s.after = vec![p.steps.len() - 1])),
            Expect::Only("order"),
        ),
        m(
            "starts before what it waits for",
            |_, p, k| {
                p.steps[k].after.first()?;
                with_step(p, k, |s| s.start_s -= 0.01)
            },
            Expect::Only("order"),
        ),
        m("starts at no time", |_, p, k| with_step(p, k, |s| s.start_s = f64::NAN), Expect::Here(&["order"])),
    ]
}

/// Every mutation of every step.
fn judge(name: &str) {
    let (problem, plan) = planned(name);
    assert!(check_plan(problem, plan).expect("its values make sense").is_sound());
    let mutations = mutations();
    let jobs: Vec<(usize, usize)> = (0..plan.steps.len())
        .flat_map(|k| (0..mutations.len()).map(move |m| (k, m)))
        .filter(|&(k, m)| (mutations[m].change)(problem, plan, k).is_some())
        .collect();
    let missed: Vec<String> = jobs
        .par_iter()
        .filter_map(|&(k, m)| {
            let changed = (mutations[m].change)(problem, plan, k).expect("it applies");
            let report = check_plan(problem, &changed).expect("its values make sense");
            let met = !report.is_sound() && mutations[m].expect.is_met(&report.findings, k);
            (!met).then(|| {
                let found: Vec<_> = report.findings.iter().map(|f| (f.rule, f.step, &f.message)).collect();
                format!("step {k} {:?}, {}: {found:?}", plan.steps[k].action, mutations[m].name)
            })
        })
        .collect();
    assert!(
        missed.is_empty(),
        "{name}: {} of {} mutations:\n{}",
        missed.len(),
        jobs.len(),
        missed.join("\n")
    );
}

#[test]
fn pair() {
    judge("pair");
}

#[test]
fn row() {
    judge("row");
}

#[test]
fn column() {
    judge("column");
}

#[test]
fn regroup() {
    judge("regroup");
}

#[test]
fn stand() {
    judge("stand");
}

/// What is done to a plan as a whole.
type Change = fn(&mut Plan);

/// Claims about the whole plan are claims too.
#[test]
fn summaries() {
    let changes: [(&str, Change); 9] = [
        ("moves", |p| p.summary.moves += 1),
        ("makespan_s", |p| p.summary.makespan_s += 0.01),
        ("energy_j", |p| p.summary.energy_j *= 1.001),
        ("travel_m", |p| p.summary.travel_m += 1e-3),
        ("utilisation", |p| p.summary.utilisation -= 1e-4),
        ("gap_m", |p| p.summary.gap_m = Some(0.5)),
        ("lower_bound_s", |p| p.summary.lower_bound_s = p.summary.makespan_s + 1.0),
        ("negative bound", |p| p.summary.lower_bound_s = -1.0),
        ("not a number", |p| p.summary.energy_j = f64::NAN),
    ];
    for name in ["pair", "row"] {
        let (problem, plan) = planned(name);
        for (what, change) in changes {
            let mut changed = plan.clone();
            change(&mut changed);
            let report = check_plan(problem, &changed).expect("its values make sense");
            let rules: Vec<_> = report.findings.iter().map(|f| (f.rule, f.step)).collect();
            assert_eq!(rules, [(Rule::Figure, None)], "{name}, {what}");
        }
    }
}

/// A plan that stops short does not reach the goal.
#[test]
fn plans_that_stop_short() {
    for name in ["pair", "row", "column", "regroup"] {
        let (problem, plan) = planned(name);
        let whole = plan.steps.len();
        for kept in [0, whole / 2] {
            let mut changed = plan.clone();
            changed.steps.truncate(kept);
            let report = check_plan(problem, &changed).expect("its values make sense");
            assert!(
                report.findings.iter().any(|f| f.rule == Rule::Goal),
                "{name} after {kept}: {:?}",
                report.findings
            );
        }
    }
}
