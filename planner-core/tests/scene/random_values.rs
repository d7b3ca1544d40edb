//! Random broken values: whatever a problem, a plan, a scene or a file says, the library answers or refuses, and never panics.
//!
//! `CLAMBER_CASES=80000 cargo test -p clamber-core --test scene random_values -- --nocapture` makes about a million calls.

use super::values::{BROKEN, BROKEN_PLANS, KIND_FIELDS, LIMITS_FIELDS, SITE_FIELDS};
use crate::support::{Dice, fixture, planned};
use clamber_core::{
    Body, Control, DQuat, DVec3, FileFormat, GroundId, Interrupt, ModuleId, Move, Plan, Problem, Scenario,
    Signal, SolveOptions, assess_start, check_plan, margins, read_plan, read_scenario, scenario_sha256,
    solve, survey, write_plan, write_scenario,
};
use serde_json::{Value, json};
use std::hint::black_box;

fn cases() -> usize {
    std::env::var("CLAMBER_CASES").ok().and_then(|text| text.parse().ok()).unwrap_or(1000)
}

/// Breaks a value of a problem; the first break finds all lists as they were.
fn break_problem(problem: &mut Problem, is_first: bool, dice: &mut Dice) {
    let value = dice.odd();
    match dice.below(12) {
        0 if is_first => BROKEN[dice.below(BROKEN.len())].1(problem),
        1 => SITE_FIELDS[dice.below(SITE_FIELDS.len())].1(&mut problem.site, value),
        2 => LIMITS_FIELDS[dice.below(LIMITS_FIELDS.len())].1(&mut problem.limits, value),
        3 | 4 => {
            let kind = dice.below(problem.kinds.len().max(1));
            if let Some(kind) = problem.kinds.get_mut(kind) {
                KIND_FIELDS[dice.below(KIND_FIELDS.len())].1(kind, value);
            }
        }
        5 | 6 if !problem.start.is_empty() => {
            let module = ModuleId::at(dice.below(problem.start.len()));
            let place = problem.start.get_mut(module);
            match dice.below(4) {
                0 => place.position[dice.below(3)] = value,
                1 => place.orientation = DQuat::from_xyzw(value, 0.0, dice.odd(), 1.0),
                2 => place.host = any_body(dice),
                _ => place.position += DVec3::new(value, dice.odd(), 0.0),
            }
        }
        7 => {
            for deck in &mut problem.decks {
                match dice.below(3) {
                    0 => deck.solid.bottom = value,
                    1 if !deck.solid.outline.is_empty() => {
                        let corner = dice.below(deck.solid.outline.len());
                        deck.solid.outline[corner].x = value;
                    }
                    _ => deck.solid.outline.truncate(dice.below(4)),
                }
            }
        }
        8 => problem.goal.slots.iter_mut().for_each(|slot| slot.payload_kg = value),
        9 => problem.modules.iter_mut().for_each(|module| module.payload_kg = value),
        10 => problem.limits.recover_factor = Some(value),
        _ => problem.modules.truncate(dice.below(4)),
    }
}

fn any_body(dice: &mut Dice) -> Body {
    match dice.below(2) {
        0 => Body::Module(ModuleId::at(dice.below(6))),
        _ => Body::Ground(GroundId(dice.below(6) as u16)),
    }
}

/// Breaks a value of a plan.
fn break_plan(plan: &mut Plan, dice: &mut Dice) {
    let (value, count) = (dice.odd(), plan.steps.len());
    if count == 0 {
        return;
    }
    let step = &mut plan.steps[dice.below(count)];
    match dice.below(11) {
        0 => BROKEN_PLANS[dice.below(BROKEN_PLANS.len())].1(plan),
        1 => step.start_s = value,
        2 => step.duration_s = value,
        3 => step.after = vec![dice.below(count + 3), dice.below(count + 3)],
        4 => step.module = ModuleId::at(dice.below(5)),
        5 => step.end.orientation = DQuat::from_xyzw(value, dice.odd(), 0.0, 0.0),
        6 => step.action = Move::Slide { travel_m: value, curvature_per_m: dice.odd() },
        7 => step.action = Move::Hop { to: any_body(dice) },
        8 => step.action = Move::Cross { to: GroundId(dice.below(4) as u16), travel_m: value },
        9 => plan.summary.lower_bound_s = value,
        _ => drop(plan.steps.remove(dice.below(count))),
    }
}

/// Breaks a leaf of a tree.
fn break_tree(tree: &mut Value, dice: &mut Dice) {
    match tree {
        Value::Object(fields) if !fields.is_empty() => {
            let at = dice.below(fields.len());
            let Some(key) = fields.keys().nth(at).cloned() else { return };
            if dice.chance(0.05) {
                fields.remove(&key);
            } else if let Some(inner) = fields.get_mut(&key) {
                break_tree(inner, dice);
            }
        }
        Value::Array(entries) if !entries.is_empty() && dice.chance(0.95) => {
            let at = dice.below(entries.len());
            break_tree(&mut entries[at], dice);
        }
        leaf => {
            *leaf = match dice.below(8) {
                0 => Value::Null,
                1 => json!(true),
                2 => json!(""),
                3 => json!("m2"),
                4 => json!([]),
                5 => json!(dice.below(9)),
                _ => json!(dice.odd()),
            }
        }
    }
}

/// How many public functions were called.
#[derive(Default)]
struct Calls(u64);

impl Calls {
    fn made<T>(&mut self, answer: T) -> T {
        self.0 += 1;
        black_box(answer)
    }
}

fn at_once() -> Signal {
    Signal::Finish
}

#[test]
fn values_in_code() {
    let (scenario, sound) = fixture("pair");
    let plan_of_it = planned("pair").1.clone();
    let (mut dice, mut calls, mut valid) = (Dice::new(1), Calls::default(), 0);
    for _ in 0..cases() {
        let (mut problem, mut plan) = (sound.clone(), plan_of_it.clone());
        for number in 0..dice.below(4) {
            break_problem(&mut problem, number == 0, &mut dice);
        }
        for _ in 0..dice.below(3) {
            break_plan(&mut plan, &mut dice);
        }
        let is_valid = calls.made(problem.validate()).is_ok();
        let fits = calls.made(plan.validate(&problem)).is_ok();
        let _ = calls.made(Scenario::of(&problem));
        let _ = calls.made(plan.carries_anybody(&problem));
        // What makes sense is answered, which takes time.
        valid += u32::from(is_valid);
        if is_valid && valid % 50 != 0 {
            continue;
        }
        assert_eq!(calls.made(assess_start(&problem)).is_ok(), is_valid);
        assert_eq!(calls.made(check_plan(&problem, &plan)).is_ok(), fits);
        assert_eq!(calls.made(margins(&problem, &plan, Interrupt::NEVER)).is_ok(), fits);
        let module = ModuleId::at(dice.below(4));
        let _ = calls.made(survey(&problem, &problem.start, module, Interrupt::NEVER));
        let answer = calls.made(solve(&problem, &SolveOptions::default(), &Control::new(&at_once)));
        assert!(is_valid || answer.is_err());
        let _ = calls.made(write_plan(&scenario, &problem, &plan));
    }
    println!("{} calls with broken values", calls.0);
}

#[test]
fn values_in_files() {
    let (scenario, problem) = fixture("pair");
    let tree = serde_json::to_value(&scenario).expect("it is data");
    let plan_text = write_plan(&scenario, &problem, &planned("pair").1).expect("it is its own scenario");
    let plan_tree: Value = serde_json::from_str(&plan_text).expect("it is JSON");
    let (mut dice, mut calls) = (Dice::new(2), Calls::default());
    for _ in 0..cases() {
        let (mut tree, mut plan_tree) = (tree.clone(), plan_tree.clone());
        for _ in 0..1 + dice.below(3) {
            break_tree(&mut tree, &mut dice);
            break_tree(&mut plan_tree, &mut dice);
        }
        let _ = calls.made(read_scenario("scene.json", &tree.to_string()));
        if let Ok(read) = serde_json::from_value::<Scenario>(tree) {
            let _ = calls.made(Problem::try_from(&read));
            let _ = calls.made(write_scenario(&read, FileFormat::Toml));
            let _ = calls.made(scenario_sha256(&read));
        }
        if let Ok((own, problem, plan, _)) = calls.made(read_plan("plan.json", &plan_tree.to_string())) {
            let _ = calls.made(check_plan(&problem, &plan));
            let _ = calls.made(write_plan(&own, &problem, &plan));
        }
    }
    println!("{} calls with broken files", calls.0);
}
