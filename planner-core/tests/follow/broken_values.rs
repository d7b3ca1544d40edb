//! Random broken measurements, states and events: the follower answers or refuses, and never panics.
//!
//! `CLAMBER_CASES=80000 cargo test -p clamber-core --test follow broken_values -- --nocapture` makes about a million calls.

use crate::support::{Dice, planned};
use clamber_core::follow::{Event, FollowState, Follower, Measured, Part, Scatter, StepState, Tube, settle};
use clamber_core::{Body, Control, DQuat, GroundId, Hold, ModuleId, Signal, SolveOptions};
use std::hint::black_box;

fn cases() -> usize {
    std::env::var("CLAMBER_CASES").ok().and_then(|text| text.parse().ok()).unwrap_or(300)
}

fn any_part(dice: &mut Dice) -> Part {
    [Part::Drive, Part::Yaw, Part::Cup, Part::All][dice.below(4)]
}

fn any_body(dice: &mut Dice) -> Body {
    match dice.below(2) {
        0 => Body::Module(ModuleId::at(dice.below(6))),
        _ => Body::Ground(GroundId(dice.below(6) as u16)),
    }
}

fn any_event(dice: &mut Dice) -> Event {
    let step = dice.below(12);
    match dice.below(5) {
        0 => Event::Started { step },
        1 => Event::Share { step, share: dice.odd() },
        2 => Event::Ended { step },
        3 => Event::Stalled { step, share: dice.odd() },
        _ => Event::Lost { module: dice.below(5), part: any_part(dice) },
    }
}

fn any_state(steps: usize, dice: &mut Dice) -> FollowState {
    let count = if dice.chance(0.9) { steps } else { dice.below(12) };
    let step = |dice: &mut Dice| match dice.below(6) {
        0 => StepState::UnderWay(if dice.chance(0.7) { dice.between(0.0, 1.0) } else { dice.odd() }),
        1 => StepState::Stalled(if dice.chance(0.7) { dice.between(0.0, 1.0) } else { dice.odd() }),
        2 | 3 => StepState::Done,
        _ => StepState::Waiting,
    };
    let mut states: Vec<StepState> = (0..count).map(|_| step(dice)).collect();
    if dice.chance(0.7) {
        // As it may be after some events.
        let done = dice.below(count + 1);
        for (at, state) in states.iter_mut().enumerate() {
            *state = if at < done { StepState::Done } else { StepState::Waiting };
        }
        if let Some(state) = states.get_mut(done) {
            *state = step(dice);
        }
    }
    let lost = (0..dice.below(2)).map(|_| (dice.below(4), any_part(dice))).collect();
    FollowState { steps: states, lost, halted: dice.chance(0.5) }
}

/// Breaks what was measured.
fn break_poses(poses: &mut Vec<Measured>, dice: &mut Dice) {
    if poses.is_empty() {
        return;
    }
    let (at, value) = (dice.below(poses.len()), dice.odd());
    let pose = &mut poses[at];
    match dice.below(9) {
        0 => pose.position[dice.below(3)] = value,
        1 => pose.orientation = DQuat::from_xyzw(value, dice.odd(), 0.0, 1.0),
        2 => pose.host = any_body(dice),
        3 => pose.hopping_to = Some(any_body(dice)),
        4 => pose.scatter.position_m = value,
        5 => pose.scatter.angle_rad = value,
        6 => pose.hold = Hold::Braced,
        7 => pose.position.x += 1e-3 * value.clamp(-20.0, 20.0),
        _ => drop(poses.remove(at)),
    }
}

#[test]
fn nothing_panics() {
    let (problem, plan) = planned("pair");
    let begun = Follower::new(problem, plan).expect("it can be followed");
    let options = SolveOptions { shortening: 0, patience: 0, ..SolveOptions::default() };
    let at_once = || Signal::Finish;
    let (mut dice, mut calls) = (Dice::new(3), 0_u64);
    let mut resumed = 0;
    for case in 0..cases() {
        let state = any_state(plan.steps.len(), &mut dice);
        if case % 50 == 0 {
            calls += 1;
            let _ = black_box(Follower::resume(problem, plan, state.clone()));
        }
        calls += 1;
        let mut follower = match begun.with_state(state) {
            Ok(follower) => follower,
            Err(_) => begun.clone(),
        };
        resumed += usize::from(follower.state() != begun.state());
        for _ in 0..dice.below(4) {
            calls += 1;
            let _ = black_box(follower.note(any_event(&mut dice)));
        }
        let expected = black_box(follower.expected());
        let mut poses: Vec<Measured> =
            expected.iter().map(|(_, place)| Measured::exactly(place, Scatter::default())).collect();
        for _ in 0..dice.below(3) {
            break_poses(&mut poses, &mut dice);
        }
        let default = Tube::default();
        let tube =
            if dice.chance(0.8) { default } else { Tube { position_m: dice.odd(), angle_rad: dice.odd() } };
        let _ = black_box(settle(problem, &poses, None));
        let _ = black_box(settle(problem, &poses, Some(&expected)));
        let _ = black_box(follower.whereabouts(&poses, tube));
        let _ = black_box((follower.may_start(), follower.is_done(), follower.is_moving()));
        let _ = black_box((follower.with_lost(), follower.is_sound()));
        calls += 9;
        if case % 20 == 0 {
            let _ = black_box((follower.safe_stop(), follower.remainder()));
            let _ = black_box(follower.recover(&poses, tube, &options, &Control::new(&at_once)));
            calls += 3;
        }
    }
    println!("{calls} calls with broken values; {resumed} states taken");
    assert!(resumed * 4 > cases(), "many states are taken");
}
