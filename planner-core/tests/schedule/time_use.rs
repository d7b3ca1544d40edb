//! Where the time of a plan goes: reasons against places worked out anew, and costs against the network without a wait.

use crate::support::{solved, soon_planned};
use clamber_core::unstable::motion::apply;
use clamber_core::unstable::schedule::{Network, PAUSE_S, TimeUse, WaitReason};
use clamber_core::{Body, Configuration, DVec3, ModuleId, Move, Plan, Problem, Step};

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

/// Shells nearer than this keep out of each other's way, and what the grid of places leaves out, in metres.
const NEAR_M: f64 = 1e-3 + 2e-3;
/// Places looked at along each of two moves.
const PLACES: usize = 24;

/// The centres of what a move takes along, at places from its beginning to its end.
fn centres(problem: &Problem, before: &Configuration, step: &Step) -> Vec<Vec<(ModuleId, DVec3)>> {
    let members = if matches!(step.action, Move::Hop { .. } | Move::Brace | Move::Release) {
        vec![step.module]
    } else {
        before.carried_with(step.module)
    };
    (0..=PLACES)
        .map(|k| {
            let now = match step.action {
                Move::Slide { travel_m, curvature_per_m } if k > 0 => {
                    let travel_m = travel_m * k as f64 / PLACES as f64;
                    apply(problem, before, step.module, &Move::Slide { travel_m, curvature_per_m })
                        .expect("a part of a move that can be made")
                }
                // Yaws and hops turn about the centre; what a yaw carries is seen at its ends.
                action if k == PLACES => {
                    apply(problem, before, step.module, &action).expect("it can be made")
                }
                _ => before.clone(),
            };
            members.iter().map(|&member| (member, now.get(member).position)).collect()
        })
        .collect()
}

/// The reasons against places worked out anew: who stands on whom, and how near the ways come.
#[test]
fn waits_have_the_reasons_that_are_said() {
    let mut seen = [0; 3];
    for name in soon_planned() {
        let (_, problem, solution) = solved(name);
        let steps = &solution.plan.steps;
        let mut order: Vec<usize> = (0..steps.len()).collect();
        order.sort_by(|&a, &b| steps[a].start_s.total_cmp(&steps[b].start_s));
        let mut before = vec![problem.start.clone(); steps.len()];
        let mut now = problem.start.clone();
        for &step in &order {
            before[step].clone_from(&now);
            now = apply(problem, &now, steps[step].module, &steps[step].action).expect("it can be made");
        }
        let used = TimeUse::of(problem, &solution.plan).expect("a checked plan");
        for wait in &used.waits {
            let [one, other] = [wait.step, wait.waits_for].map(|k| centres(problem, &before[k], &steps[k]));
            let concerned = |k: usize| {
                let after =
                    apply(problem, &before[k], steps[k].module, &steps[k].action).expect("it can be made");
                let mut all: Vec<Body> = before[k].hosts_below(steps[k].module).collect();
                all.extend(after.hosts_below(steps[k].module));
                all
            };
            // Braces and releases move nobody.
            let moves = |ways: &[Vec<(ModuleId, DVec3)>], k: usize, of: usize| {
                let holds = [k, of].iter().any(|&k| matches!(steps[k].action, Move::Brace | Move::Release));
                !holds && ways[0].iter().any(|(member, _)| concerned(k).contains(&Body::Module(*member)))
            };
            let shared = one[0].iter().any(|(member, _)| other[0].iter().any(|(m, _)| m == member));
            let by_host =
                shared || moves(&one, wait.waits_for, wait.step) || moves(&other, wait.step, wait.waits_for);
            let gaps = one.iter().flatten().flat_map(|(a, p)| {
                other.iter().flatten().map(move |(b, q)| {
                    p.distance(*q) - problem.kind(*a).shell_radius_m - problem.kind(*b).shell_radius_m
                })
            });
            let gap_m = gaps.fold(f64::INFINITY, f64::min);
            match wait.reason {
                WaitReason::Host => assert!(by_host, "{name}: {wait:?}"),
                WaitReason::Paths => assert!(!by_host && gap_m < NEAR_M, "{name}: {gap_m} m, {wait:?}"),
                _ => assert!(!by_host && gap_m > -1e-6, "{name}: {gap_m} m, {wait:?}"),
            }
            seen[wait.reason as usize] += 1;
        }
    }
    assert!(seen.iter().all(|count| *count > 0), "{seen:?}");
}
