//! Moves side by side: against one at a time, the checker, random delays and brute force over braces.

use crate::support::{Dice, outcome, slot, soon_planned};
use crate::support::{block, cobble, empty, on_deck, on_shell, steel};
use crate::support::{heading, timed_one_by_one, with_figures};
use clamber_core::Interrupt;
use clamber_core::Move;
use clamber_core::Objective;
use clamber_core::Rule;
use clamber_core::Statistics;
use clamber_core::unstable::control::Budget;
use clamber_core::unstable::motion::duration_s;
use clamber_core::unstable::schedule::{
    Network, PAUSE_S, SideBySide, first_step_that_needs_the_clock, moves_of_trips, side_by_side,
};
use clamber_core::unstable::search::{Outcome, Stoppers, makespan_lower_bound_s};
use clamber_core::unstable::statics::WarmStart;
use clamber_core::unstable::travel::{Trip, Waypoint};
use clamber_core::{Body, Goal, GroundId, Hold, ModuleId, Problem, SlotId, SlotPlace};
use clamber_core::{Control, SolveOptions, solve};
use clamber_core::{DVec2, DVec3};
use clamber_core::{Finding, check_plan};
use clamber_core::{Plan, Status};
use rayon::prelude::*;

/// Sequences to try where a test times a plan.
const TRIES: u64 = 300;

fn timed(problem: &Problem, outcome: &Outcome, objective: Objective) -> SideBySide {
    let moves = moves_of_trips(problem, &outcome.trips).expect("trips can be made");
    let budget = Budget { expansions: TRIES, ..Budget::unlimited() };
    let heading = heading(outcome.status, outcome.lower_bound_s);
    let timed = side_by_side(problem, &moves, &heading, objective, &budget).expect("the sequence is sound");
    SideBySide { plan: with_figures(problem, timed.plan), ..timed }
}

fn one_at_a_time(problem: &Problem, outcome: &Outcome) -> Plan {
    let heading = heading(outcome.status, outcome.lower_bound_s);
    timed_one_by_one(problem, &outcome.trips, &heading, &Budget::unlimited())
}

/// Ten modules on steel, scattered at both sides of a row of five stacks of two, and their trips: those of one side become the bases, those of
/// the other drive up to them, hop on and climb.
fn stacks() -> (Problem, Outcome) {
    let mut problem = empty(vec![cobble()], vec![steel(0.7)]);
    let below = [[-0.7, -0.6], [-0.35, -0.75], [0.05, -0.6], [0.4, -0.7], [0.75, -0.55]];
    let above = [[-0.75, 0.55], [-0.4, 0.7], [0.0, 0.6], [0.35, 0.75], [0.7, 0.6]];
    let bases: Vec<ModuleId> = below.into_iter().map(|at| on_deck(&mut problem, at)).collect();
    let tops: Vec<ModuleId> = above.into_iter().map(|at| on_deck(&mut problem, at)).collect();
    let (mut slots, mut trips) = (Vec::new(), Vec::new());
    let deck = Body::Ground(GroundId(0));
    for (k, (&base, &top)) in bases.iter().zip(&tops).enumerate() {
        let at = DVec2::new(-0.5 + 0.25 * k as f64, 0.0);
        let place = SlotPlace::OnGround(GroundId(0), at);
        slots.push(slot(&format!("base{k}"), place));
        slots.push(slot(&format!("top{k}"), SlotPlace::OnSlot(SlotId(2 * k as u16), DVec3::Z)));
        let foot = at.extend(0.06);
        let (beside, peak) = (foot + DVec3::Y * 0.12, foot + DVec3::Z * 0.12);
        trips.push(Trip::alone(base, vec![Waypoint::straight(deck, foot)]));
        let on_base = |position| Waypoint::straight(Body::Module(base), position);
        let waypoints = vec![Waypoint::straight(deck, beside), on_base(beside), on_base(peak)];
        trips.push(Trip::alone(top, waypoints));
    }
    problem.goal = Goal { slots, gather: None };
    problem.assign_classes();
    let lower_bound_s = makespan_lower_bound_s(&problem);
    let outcome = Outcome {
        proof: None,
        status: Status::Solved,
        trips,
        alternatives: Vec::new(),
        lower_bound_s,
        statistics: Statistics::default(),
        note: None,
        stop: None,
        stoppers: Stoppers::default(),
    };
    (problem, outcome)
}

/// At least 40 % less than one at a time.
fn assert_saves(problem: &Problem, outcome: &Outcome) {
    let (slow, fast) = (one_at_a_time(problem, outcome), timed(problem, outcome, Objective::Time));
    assert!(check_plan(problem, &slow).expect("its values make sense").is_sound());
    let report = check_plan(problem, &fast.plan).expect("its values make sense");
    assert!(report.is_sound(), "{:?}", report.findings);
    let (before, after) = (slow.summary.makespan_s, fast.plan.summary.makespan_s);
    assert!(after <= 0.6 * before, "{after} s of {before} s");
}

#[test]
fn the_stand_takes_at_least_forty_percent_less() {
    let (problem, outcome) = outcome("stand");
    assert_saves(problem, outcome);
}

#[test]
fn ten_scattered_modules_take_at_least_forty_percent_less() {
    let (problem, outcome) = stacks();
    assert_saves(&problem, &outcome);
}

/// Every fixture, for every objective: sound, never later than one at a time, above its lower bounds, and sound without a clock.
#[test]
fn plans_are_sound_and_within_their_bounds() {
    for name in soon_planned() {
        let (problem, outcome) = outcome(name);
        let slow = one_at_a_time(problem, outcome);
        assert_eq!(first_step_that_needs_the_clock(problem, &slow, Interrupt::NEVER), Ok(None), "{name}");
        for (objective, word) in Objective::ALL {
            let found = timed(problem, outcome, objective);
            let report = check_plan(problem, &found.plan).expect("its values make sense");
            assert!(report.is_sound(), "{name}, {word}: {:?}", report.findings);
            assert!(found.hold_moves_at_least <= found.hold_moves, "{name}, {word}");
            assert_eq!(
                first_step_that_needs_the_clock(problem, &found.plan, Interrupt::NEVER),
                Ok(None),
                "{name}, {word}"
            );
            if objective == Objective::Margin {
                continue;
            }
            let makespan = found.plan.summary.makespan_s;
            assert!(makespan <= slow.summary.makespan_s + 1e-9, "{name}, {word}");
            // Each module's own work; the longest chain of waits (Graham 1966).
            for module in problem.module_ids() {
                let own: f64 =
                    found.plan.steps.iter().filter(|s| s.module == module).map(|s| s.duration_s).sum();
                assert!(makespan >= own, "{name}, {word}");
            }
            let network = Network::of_plan(&found.plan).expect("no ring");
            assert!((network.makespan_s - makespan).abs() <= 1e-9, "{name}, {word}: starts are the earliest");
            assert!(makespan >= found.plan.summary.lower_bound_s, "{name}, {word}");
        }
    }
}

/// A plan with one step late by some time, and every other at its planned start or as soon as those it waits for have ended.
fn delayed(plan: &Plan, late: usize, by_s: f64) -> Plan {
    let mut changed = plan.clone();
    changed.steps[late].start_s += by_s;
    // Steps are in the order of their planned starts, so waits come first.
    for k in 0..changed.steps.len() {
        let ready =
            changed.steps[k].after.iter().map(|&b| changed.steps[b].end_s() + PAUSE_S).fold(0.0, f64::max);
        changed.steps[k].start_s = changed.steps[k].start_s.max(ready);
    }
    changed
}

/// Findings apart from claims: figures change when other moves overlap.
fn broken_rules(problem: &Problem, plan: &Plan) -> Vec<Finding> {
    check_plan(problem, plan)
        .expect("its values make sense")
        .findings
        .into_iter()
        .filter(|f| f.rule != Rule::Figure)
        .collect()
}

/// Delays one step by up to twice the makespan, a thousand times over all plans.
#[test]
fn any_one_step_may_be_late() {
    let (scattered, scattered_outcome) = stacks();
    let mut plans: Vec<(&Problem, Plan)> = soon_planned()
        .map(outcome)
        .map(|(problem, outcome)| (problem, timed(problem, outcome, Objective::Time).plan))
        .collect();
    plans.push((&scattered, timed(&scattered, &scattered_outcome, Objective::Time).plan));
    let mut dice = Dice::new(2_003);
    // Touches make a check of `regroup` slow: it gets every thirtieth delay.
    let slow = plans.iter().position(|(problem, _)| problem.name == "regroup");
    let quick: Vec<usize> = (0..plans.len()).filter(|&k| Some(k) != slow).collect();
    let cases: Vec<(usize, usize, f64)> = (0..1000)
        .map(|k| {
            let which = slow.filter(|_| k % 30 == 0).unwrap_or(quick[k % quick.len()]);
            let plan = &plans[which].1;
            let late = dice.below(plan.steps.len());
            (which, late, dice.between(0.0, 2.0 * plan.summary.makespan_s))
        })
        .collect();
    let failed: Vec<String> = cases
        .par_iter()
        .filter_map(|&(which, late, by_s)| {
            let (problem, plan) = &plans[which];
            let found = broken_rules(problem, &delayed(plan, late, by_s));
            found.first().map(|f| format!("{}: step {late} late by {by_s} s: {}", problem.name, f.message))
        })
        .collect();
    assert!(failed.is_empty(), "{} of {}:\n{}", failed.len(), cases.len(), failed.join("\n"));
}

/// The same with a wait left out: some delay must then break a rule, or the test above proves nothing.
#[test]
fn waits_are_there_for_a_reason() {
    let (problem, outcome) = outcome("row");
    let plan = timed(problem, outcome, Objective::Time).plan;
    let mut needed = 0;
    for (step, wait) in
        (0..plan.steps.len()).flat_map(|k| (0..plan.steps[k].after.len()).map(move |w| (k, w)))
    {
        let mut changed = plan.clone();
        let before = changed.steps[step].after.remove(wait);
        // The step waited for starts when all else has ended.
        let breaks =
            !broken_rules(problem, &delayed(&changed, before, 2.0 * plan.summary.makespan_s)).is_empty();
        let proven = first_step_that_needs_the_clock(problem, &changed, Interrupt::NEVER) == Ok(None);
        assert!(!proven || !breaks, "step {step} without waiting for {before} is called proven and breaks");
        needed += usize::from(breaks);
    }
    assert!(needed > 0);
}

/// A brace and the release that ends it left out; what waited for them waits for what they waited for.
fn without_brace(plan: &Plan, brace: usize) -> Plan {
    let module = plan.steps[brace].module;
    let release = (brace + 1..plan.steps.len())
        .find(|&k| plan.steps[k].module == module && plan.steps[k].action == Move::Release);
    let mut changed = plan.clone();
    for gone in release.into_iter().chain([brace]) {
        let waits = changed.steps[gone].after.clone();
        changed.steps.remove(gone);
        for step in &mut changed.steps {
            if step.after.contains(&gone) {
                step.after.extend(&waits);
            }
            step.after.retain(|&a| a != gone);
            step.after.iter_mut().for_each(|a| *a -= usize::from(*a > gone));
        }
        for step in changed.steps.iter_mut().filter(|s| s.module == module) {
            if step.start_s >= plan.steps[brace].start_s {
                step.end.hold = Hold::Rolling;
            }
        }
    }
    changed
}

fn assert_no_brace_to_spare(problem: &Problem, plan: &Plan) -> usize {
    let braces: Vec<usize> = (0..plan.steps.len()).filter(|&k| plan.steps[k].action == Move::Brace).collect();
    for &brace in &braces {
        let found = broken_rules(problem, &without_brace(plan, brace));
        let meant = |f: &Finding| f.rule == Rule::Load || f.rule == Rule::Goal;
        assert!(found.iter().any(meant), "{}: brace {brace} is not needed: {found:?}", problem.name);
    }
    braces.len()
}

#[test]
fn no_brace_can_be_removed() {
    let mut braces = 0;
    for name in soon_planned() {
        let (problem, outcome) = outcome(name);
        braces += assert_no_brace_to_spare(problem, &one_at_a_time(problem, outcome));
        braces += assert_no_brace_to_spare(problem, &timed(problem, outcome, Objective::Time).plan);
    }
    assert!(braces > 0);
}

/// A level arm of three shells from a root on a wall of steel, and a fourth that walks out over it.
fn arm() -> (Problem, Vec<(ModuleId, Move)>) {
    let mut weak = cobble();
    weak.magnet_force_n = 22.0;
    let mut problem =
        empty(vec![weak], vec![steel(0.7), block("far", [1.5, -0.2], [1.9, 0.2], 0.0, 0.1, 0.7)]);
    let root = on_deck(&mut problem, [0.0, 0.0]);
    let second = on_shell(&mut problem, root, DVec3::new(0.5, 0.0, 0.85));
    let third = on_shell(&mut problem, second, DVec3::new(1.0, 0.0, 0.5));
    let walker = on_shell(&mut problem, second, DVec3::new(-0.6, 0.0, 0.8));
    let quarter = problem.kinds[0].shell_radius_m * 0.5;
    let slide = Move::Slide { travel_m: quarter, curvature_per_m: 0.0 };
    let yaw = Move::Yaw { angle_rad: 0.4 };
    (
        problem,
        vec![
            (walker, slide),
            (third, yaw),
            (walker, Move::Slide { travel_m: -quarter, curvature_per_m: 0.0 }),
        ],
    )
}

/// The number of braces against a brute force over all choices: each choice of modules braced from the start is a plan of its own.
#[test]
fn fewest_braces_by_brute_force() {
    let (problem, moves) = arm();
    let budget = Budget { expansions: TRIES, ..Budget::unlimited() };
    let heading = heading(Status::BudgetSpent, 0.0);
    let found = side_by_side(&problem, &moves, &heading, Objective::Moves, &budget).expect("the arm holds");
    let drives_are_sound = |braced: usize| {
        let mut start = problem.clone();
        start.start = problem
            .start
            .with_holds(|id| if braced >> id.index() & 1 == 1 { Hold::Braced } else { Hold::Rolling });
        let mut now = start.start.clone();
        moves.iter().all(|(module, action)| {
            let mut begin = now.clone();
            begin.get_mut(*module).hold = Hold::Rolling;
            let Ok(after) = clamber_core::unstable::motion::apply(&start, &begin, *module, action) else {
                return false;
            };
            let stretch =
                clamber_core::unstable::motion::Stretch::of_move(&start, &begin, *module, action, &after);
            let holds = now.clone();
            now = after.with_holds(|id| holds.get(id).hold);
            stretch
                .carries(start.limits.utilisation(), &mut WarmStart::default(), Interrupt::NEVER)
                .expect("it is never stopped")
        })
    };
    let fewest = (0..1_usize << problem.modules.len())
        .filter(|&braced| drives_are_sound(braced))
        .map(usize::count_ones)
        .min()
        .expect("all braced carries");
    assert!(fewest > 0, "the scene needs a brace");
    assert_eq!((found.hold_moves, found.hold_moves_at_least), (fewest as usize, fewest as usize));
}

/// No row of the table is better than another in everything, and the first is the soonest.
#[test]
fn trade_offs_do_not_dominate_each_other() {
    let (problem, outcome) = outcome("row");
    let options = SolveOptions { trade_offs: true, ..SolveOptions::default() };
    let found = solve(problem, &options, &Control::unlimited()).expect("it makes sense").report.trade_offs;
    assert!(!found.is_empty());
    for a in &found {
        assert!(check_plan(problem, a).expect("its values make sense").is_sound());
        for b in &found {
            let values = |plan: &Plan| {
                let s = &plan.summary;
                [s.makespan_s, s.energy_j, s.moves as f64, s.utilisation]
            };
            let better =
                values(a).iter().zip(values(b)).all(|(a, b)| *a <= b + 1e-9) && values(a) != values(b);
            assert!(!better, "{:?} and {:?}", a.summary, b.summary);
        }
    }
    let margin = timed(problem, outcome, Objective::Margin).plan.summary;
    let soonest = timed(problem, outcome, Objective::Time).plan.summary;
    assert!(margin.utilisation <= soonest.utilisation + 1e-6);
}

/// The same arguments give the same plan.
#[test]
fn timing_is_repeatable() {
    let (problem, outcome) = outcome("column");
    assert_eq!(timed(problem, outcome, Objective::Time), timed(problem, outcome, Objective::Time));
}

/// A module that carries another while it yaws: the passenger's own drive waits for the yaw, and durations are those of the holds.
#[test]
fn carried_moves_keep_their_order() {
    let mut problem = empty(vec![cobble()], vec![steel(0.7)]);
    let carrier = on_deck(&mut problem, [0.0, 0.0]);
    let passenger = on_shell(&mut problem, carrier, DVec3::new(0.3, 0.0, 1.0));
    let beside = on_deck(&mut problem, [0.6, 0.0]);
    let step = |travel_m| Move::Slide { travel_m, curvature_per_m: 0.0 };
    let moves = vec![
        (carrier, Move::Yaw { angle_rad: 1.2 }),
        (passenger, step(0.03)),
        (carrier, step(-0.2)),
        (beside, step(0.2)),
    ];
    let heading = heading(Status::BudgetSpent, 0.0);
    let found = side_by_side(&problem, &moves, &heading, Objective::Time, &Budget::unlimited())
        .expect("it can be timed");
    let found = SideBySide { plan: with_figures(&problem, found.plan), ..found };
    let rules = broken_rules(&problem, &found.plan);
    assert!(rules.iter().all(|f| f.rule == Rule::Goal), "{rules:?}");
    let plan = &found.plan;
    let place = |module: ModuleId, nth: usize| {
        plan.steps.iter().enumerate().filter(|(_, s)| s.module == module).nth(nth).expect("it moves").0
    };
    assert_eq!(plan.steps[place(passenger, 0)].after, [place(carrier, 0)]);
    assert_eq!(plan.steps[place(carrier, 1)].after, [place(passenger, 0)]);
    assert_eq!(plan.steps[place(beside, 0)].start_s, 0.0);
    for step in &plan.steps {
        assert_eq!(step.duration_s, duration_s(&problem, step.module, Hold::Rolling, &step.action));
    }
    assert_eq!(first_step_that_needs_the_clock(&problem, plan, Interrupt::NEVER), Ok(None));
}
