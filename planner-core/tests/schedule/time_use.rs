//! Where the time of a plan goes: reasons that were worked out by hand, and costs against the network without a wait.

use crate::support::{fixture, solved, soon_planned};
use clamber_core::unstable::schedule::{Network, PAUSE_S, TimeUse, WaitReason};
use clamber_core::{Move, Plan};

/// What the steps on the path take, with the pauses between them, is the makespan.
#[test]
fn the_path_takes_all_the_time() {
    for name in soon_planned() {
        let (_, problem, solution) = solved(name);
        let plan = &solution.plan;
        let used = TimeUse::of(problem, plan).expect("a checked plan");
        let moving_s: f64 = used.path.iter().map(|&step| plan.steps[step].duration_s).sum();
        let pauses_s = PAUSE_S * used.path.len().saturating_sub(1) as f64;
        assert!((moving_s + pauses_s - plan.summary.makespan_s).abs() < 1e-6, "{name}");
        for pair in used.path.windows(2) {
            assert!(plan.steps[pair[1]].after.contains(&pair[0]), "{name}: {pair:?}");
        }
        assert!(used.waits.is_sorted_by(|a, b| a.costs_s >= b.costs_s), "{name}");
    }
}

/// Without a wait the plan ends as much sooner as is said: the network of the plan with that precedence replaced by those before it.
#[test]
fn a_wait_costs_what_it_costs() {
    let mut compared = 0;
    for name in soon_planned() {
        let (_, problem, solution) = solved(name);
        let used = TimeUse::of(problem, &solution.plan).expect("a checked plan");
        for wait in &used.waits {
            let mut plan: Plan = solution.plan.clone();
            let mut before = plan.steps[wait.waits_for].after.clone();
            let after = &mut plan.steps[wait.step].after;
            after.retain(|&step| step != wait.waits_for);
            after.append(&mut before);
            let network = Network::of_plan(&plan).expect("it has no cycle");
            assert!(
                (plan.summary.makespan_s - network.makespan_s - wait.costs_s).abs() < 1e-9,
                "{name}: {wait:?}"
            );
            compared += 1;
        }
    }
    assert!(compared > 15, "{compared}");
}

/// In `pair` the second module waits beside the first until that stands, and then hops onto it.
#[test]
fn whoever_hops_waits_for_the_host() {
    let (_, problem) = fixture("pair");
    let (_, _, solution) = solved("pair");
    let used = TimeUse::of(&problem, &solution.plan).expect("a checked plan");
    let hops =
        used.waits.iter().filter(|wait| matches!(solution.plan.steps[wait.step].action, Move::Hop { .. }));
    let reasons: Vec<WaitReason> = hops.map(|wait| wait.reason).collect();
    assert!(reasons.iter().all(|reason| *reason == WaitReason::Host), "{reasons:?}");
}
