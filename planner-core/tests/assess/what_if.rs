//! Single failures of level arms, columns and tripods, against closed forms.
//!
//! A level arm of n demo modules on the side of a root that stands on a plinth of steel, everything braced: with weight w, shell R, foot b and the
//! centre of mass c nearer to the sole, the first bond carries S = w (n² R − n c) about its sole, and the root needs [w (R n (n + 1) − n c) + …] / b − (n + 1) w. The
//! figures for n = 1, 2, 3 are 9.0319, 27.4446 and 63.2016 N, and 4.3782, 28.0220 and 66.3556 N at the worst of nine directions (own derivation, held
//! against a second load solver).

use crate::arms::{BRACED_N, FIRST_N, MAGNET_N, ROOT_N, arm, still};
use crate::support::{assert_near, bare_ground, brace_all, cobble, empty, on_deck, on_shell, steel};
use clamber_core::unstable::assess::{Failure, FailureRow, Verdict, WhatIf, what_if};
use clamber_core::{
    Body, DVec3, GroundId, Hold, Interrupt, ModuleId, Problem, Slot, SlotId, SlotPlace, assess_start,
};

fn found(problem: &Problem) -> WhatIf {
    what_if(problem, &still(), Interrupt::NEVER).expect("it is not given up")
}

fn row(found: &WhatIf, module: ModuleId, failure: Failure) -> &FailureRow {
    found
        .failures
        .iter()
        .find(|row| (row.module, row.failure) == (module, failure))
        .expect("every failure has a row")
}

#[test]
fn a_lost_cup_is_survived_where_the_magnet_is_enough() {
    for links in 1..=3 {
        let (problem, chain) = arm(links);
        let found = found(&problem);
        for (module, need_n) in [(chain[0], ROOT_N[links - 1]), (chain[1], FIRST_N[links - 1])] {
            let row = row(&found, module, Failure::Cup);
            let trial = row.trial.as_ref().expect("it is braced");
            // The other bond still has its cup, and may be the worst where this one is lightly loaded.
            let others = FIRST_N[links - 1].max(ROOT_N[links - 1]) / BRACED_N;
            assert_near(trial.utilisation.expect("it is balanced"), (need_n / MAGNET_N).max(others), 1e-5);
            assert_eq!(trial.verdict < Verdict::Falls, need_n <= MAGNET_N, "{links} links");
            assert_eq!(trial.bond.map(|(module, _)| module), Some(module));
        }
    }
}

/// Planned for cups that may fail, an arm is carried exactly where every bond needs no more than its magnets hold, and no more than a plan may use.
#[test]
fn where_cups_may_fail_an_arm_is_as_long_as_its_magnets_carry() {
    for links in 1..=3 {
        let (mut problem, _) = arm(links);
        let survives = found(&problem)
            .failures
            .iter()
            .filter(|row| row.failure == Failure::Cup)
            .all(|row| row.trial.as_ref().is_none_or(|trial| trial.verdict < Verdict::Falls));
        problem.limits.cups_may_fail = true;
        let report = assess_start(&problem).expect("the values make sense");
        assert_eq!(report.reason.is_none(), survives, "{links} links");
        assert_eq!(survives, FIRST_N[links - 1].max(ROOT_N[links - 1]) <= MAGNET_N);
    }
}

#[test]
fn without_the_tip_an_arm_is_one_shorter() {
    let (problem, chain) = arm(2);
    let found = found(&problem);
    let tip = row(&found, chain[2], Failure::Bond);
    assert_eq!(tip.gone, 1);
    let trial = tip.trial.as_ref().expect("the rest is there");
    assert_near(trial.utilisation.expect("it is balanced"), FIRST_N[0] / BRACED_N, 1e-6);
    let first = row(&found, chain[1], Failure::Bond);
    assert_eq!((first.gone, first.trial.as_ref().map(|trial| trial.verdict)), (2, Some(Verdict::Stands)));
    let root = row(&found, chain[0], Failure::Bond);
    assert_eq!((root.gone, root.trial.is_none()), (3, true), "nothing is left of it");
}

/// The need of the first bond of a single link is proportional to that link's mass.
#[test]
fn a_heavier_tip_needs_a_tenth_more() {
    let (problem, chain) = arm(1);
    let found = found(&problem);
    let trial = row(&found, chain[1], Failure::Mass).trial.clone().expect("every module has a mass");
    assert_near(trial.utilisation.expect("it is balanced"), 1.1 * FIRST_N[0] / BRACED_N, 1e-6);
    assert_eq!(trial.verdict, Verdict::Stands);
}

/// A free column of n modules tips about the rim of its lowest foot at tan φ = b / (n R − c), where c is how much nearer to the soles the centres of
/// mass are; 3° are asked.
#[test]
fn a_column_tips_at_the_rim_of_its_foot() {
    for modules in 2..=5_i32 {
        let mut problem = empty(vec![cobble()], vec![bare_ground(0.9)]);
        let mut top = on_deck(&mut problem, [0.0, 0.0]);
        for _ in 1..modules {
            top = on_shell(&mut problem, top, DVec3::Z);
        }
        brace_all(&mut problem);
        let height_m = f64::from(modules) * 0.06 - 0.01;
        let tips = (0.04 / height_m).atan() - 3.0_f64.to_radians();
        // Weight alone holds the lowest foot: it has no margin to use up, and slips at atan(0.93 · 0.9) only, 40°.
        for tilt in &found(&problem).further_tilt {
            assert_near(tilt.further_rad, tips.min((0.93_f64 * 0.9).atan() - 3.0_f64.to_radians()), 2e-4);
        }
    }
}

/// What is proposed is done, and asked about again.
#[test]
fn what_is_said_to_help_helps() {
    let (mut problem, chain) = arm(2);
    // Only the root and the second link are braced.
    problem.start.get_mut(chain[1]).hold = Hold::Rolling;
    let rolling = FIRST_N[1] / MAGNET_N;
    let heavier =
        row(&found(&problem), chain[2], Failure::Mass).trial.clone().expect("every module has a mass");
    assert!(heavier.utilisation.is_some_and(|used| used > rolling));
    let (braced, used) = heavier.help.brace.expect("bracing the first link helps");
    assert_eq!(braced, chain[1]);
    problem.start.get_mut(braced).hold = Hold::Braced;
    let then = row(&found(&problem), chain[2], Failure::Mass).trial.clone().expect("every module has a mass");
    assert_near(then.utilisation.expect("it is balanced"), used, 1e-9);

    // The counterweight that is proposed for the root's lost cup, put there.
    let lost = row(&found(&problem), chain[0], Failure::Cup).trial.clone().expect("it is braced");
    let weight = lost.help.counterweight.expect("one on the other side helps");
    assert_eq!(weight.host, chain[0]);
    assert_near(weight.toward.x, -1.0, 1e-9);
    problem.modules[chain[0].index()].lost.cup = true;
    on_shell(&mut problem, weight.host, weight.toward);
    let used =
        clamber_core::assess_start(&problem).expect("it is valid").utilisation.expect("it is balanced");
    assert_near(used, weight.utilisation, 1e-9);
}

#[test]
fn a_module_between_two_others_needs_neither_touch() {
    let mut problem = empty(vec![cobble()], vec![steel(0.7)]);
    let low = on_deck(&mut problem, [0.0, 0.0]);
    let beside = on_deck(&mut problem, [0.12, 0.0]);
    let top = on_shell(&mut problem, low, DVec3::new(1.0, 0.0, 3.0_f64.sqrt()));
    let found = found(&problem);
    let pairs: Vec<(ModuleId, Body)> = found.touches.iter().map(|row| (row.module, row.other)).collect();
    assert_eq!(pairs, [(low, Body::Module(beside)), (beside, Body::Module(top))]);
    // Without it the top hangs on its foot alone: at 30° from upright it needs w (R − c) sin 33° / b − w cos 33° at the worst tilt, or slips at
    // w (sin 33° / (0.93 · 0.6) − cos 33°).
    let (weight, tilt) = (0.5 * 9.80665, 33.0_f64.to_radians());
    let peel = weight * (0.05 * tilt.sin() / 0.04 - tilt.cos());
    let slip = weight * (tilt.sin() / (0.93 * 0.6) - tilt.cos());
    let used = found.touches[1].trial.utilisation.expect("it is balanced");
    assert!(used >= peel.max(slip) / MAGNET_N - 1e-6);
    assert!(found.touches.iter().all(|row| row.depends_s.is_empty() && row.trial.verdict == Verdict::Stands));
    let without = found.without_touches.as_ref().expect("there are touches");
    assert!(without.utilisation.is_some_and(|without| without >= used - 1e-9));
}

/// What a slot carries when the plan ends counts like what its module carries: an arm with 0.5 kg on its last slot needs as much as one whose last
/// module has that payload.
#[test]
fn what_slots_carry_at_the_end_counts() {
    let (mut on_module, chain) = arm(1);
    let mut on_slot = on_module.clone();
    on_module.modules[chain[1].index()].payload_kg = 0.5;
    let place = on_slot.start.get(chain[0]).position;
    let slot = |name: &str, place| Slot {
        name: name.into(),
        place,
        kind: None,
        module: None,
        hold: None,
        payload_kg: 0.0,
        optional: false,
    };
    let root = slot("root", SlotPlace::OnGround(GroundId::at(0), place.truncate()));
    let tip = slot("tip", SlotPlace::OnSlot(SlotId::at(0), DVec3::X));
    on_slot.goal.slots = vec![root, Slot { payload_kg: 0.5, ..tip }];
    let [loaded, same] = [&on_module, &on_slot].map(|problem| {
        let found = found(problem);
        let trial = row(&found, chain[1], Failure::Cup).trial.clone().expect("it is braced");
        trial.utilisation.expect("it is balanced")
    });
    assert!(loaded > 1.5 * FIRST_N[0] / MAGNET_N, "the payload counts: {loaded}");
    assert_near(same, loaded, 1e-9);
}
