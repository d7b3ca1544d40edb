//! The load with one module's place left open, against load cases built anew for every place.

use crate::support::{Dice, fixture};
use clamber_core::read_scenario;
use clamber_core::unstable::generate::{Family, GenerateOptions, generate};
use clamber_core::unstable::model::touches;
use clamber_core::unstable::statics::{Driving, LoadCase, Rider, WarmStart};
use clamber_core::{Body, GroundId, Hold, ModuleId, Placement, SlotPlace};
use clamber_core::{DQuat, DVec3};

/// Stacks on the deck beside others that touch them or do not; the rider at random places on top.
#[test]
fn a_rider_is_carried_where_a_case_built_anew_is() {
    let (_, mut problem) = fixture("stand");
    let mut dice = Dice::new(11);
    let mut random = move || dice.between(-1.0, 1.0);
    let limit = problem.limits.utilisation();
    let diameter = 2.0 * problem.kinds[0].shell_radius_m;
    let rider = ModuleId(6);
    let (mut both_ways, mut surely, mut by_touch) = ([0; 2], 0, 0);
    for case in 0..400 {
        problem.kinds[0].drive_force_n = if case % 3 == 0 { 4.0 } else { 14.0 };
        let apart = diameter * if case % 2 == 0 { 1.0 } else { 1.3 };
        let tilt = DVec3::new(0.4 * random(), 0.4 * random(), 1.0).normalize();
        let hold = if case % 5 == 0 { Hold::Rolling } else { Hold::Braced };
        let mut there = problem.start.clone();
        let stand = |position: DVec3, up: DVec3, host: Body, hold: Hold| {
            let orientation = DQuat::from_rotation_arc(DVec3::Z, up);
            Placement { position, orientation, host, hold }
        };
        let (ground, deck) = (DVec3::Z * (0.5 * diameter), Body::Ground(GroundId(0)));
        *there.get_mut(ModuleId(0)) = stand(ground, DVec3::Z, deck, hold);
        *there.get_mut(ModuleId(1)) = stand(ground + DVec3::X * apart, DVec3::Z, deck, hold);
        let host = ModuleId(2);
        *there.get_mut(host) = stand(ground + tilt * diameter, tilt, Body::Module(ModuleId(0)), hold);
        let centre = there.get(host).position;
        let mut between = touches(&problem, &there);
        between.retain(|touch| touch.module != rider && touch.other != Body::Module(rider));
        let mut open = Rider::new(&problem, &there, rider, Body::Module(host), between.clone(), limit);
        let mut hint = WarmStart::default();
        for _ in 0..10 {
            let up = DVec3::new(random(), random(), random()).normalize();
            *there.get_mut(rider) = stand(centre + up * diameter, up, Body::Module(host), Hold::Rolling);
            let anew = LoadCase::new(&problem, &there, between.clone())
                .in_motion(&problem, true)
                .with_driven(&problem, rider, Driving::Slide, Hold::Rolling);
            let carried = anew.carries(limit);
            let others = open.others_carry_at(there.get(rider).position, &mut hint, &mut None);
            both_ways[usize::from(carried)] += 1;
            let says = others && open.grips_moving(up.z);
            surely += usize::from(says);
            assert!(carried || !says, "case {case}");
            assert!(others || !carried || anew.worst().value > limit - 1e-6, "case {case}");
            let bare = LoadCase::new(&problem, &there, Vec::new()).in_motion(&problem, true);
            by_touch += usize::from(carried && !bare.carries(limit));
            if open.grips_hopping(up.z) {
                let weak = bare.with_weakened(rider, problem.kinds[0].hop_hold);
                let own = weak.bonds.iter().find(|bond| bond.child == rider).expect("it has a bond");
                let used = weak.gravity.iter().map(|&g| own.demand_under(g).worst_n() / own.adhesion_n);
                assert!(used.fold(0.0, f64::max) <= limit + 1e-12, "case {case}");
            }
        }
    }
    assert!(both_ways.iter().all(|n| *n > 200) && by_touch > 20, "{both_ways:?}, {by_touch} by touch");
    // The rest stands about as steeply as it may.
    assert!(10 * surely > 9 * both_ways[1], "{surely} of {both_ways:?}");
}

/// Proofs are handed on from host to host in a pyramid: what they prove holds for a case built anew, and they save most of the work.
#[test]
fn proofs_for_one_place_hold_at_others() {
    let options = GenerateOptions { modules: 30, seed: 5, ..GenerateOptions::default() };
    let generated = generate(Family::Pyramid, options).expect("pyramids of 30 can be drawn");
    let (_, problem) = read_scenario("pyramid.toml", &generated.text).expect("it can be read");
    // All stand in their slots but the last.
    let mut there = problem.start.clone();
    let slots = problem.goal.slots.iter().zip(problem.module_ids()).collect::<Vec<_>>();
    for &(slot, module) in &slots {
        let below = match slot.place {
            SlotPlace::OnGround(..) => None,
            SlotPlace::OnSlot(below, _) => {
                let below = ModuleId::at(below.index());
                Some((below, there.get(below).position))
            }
        };
        let position = problem.slot_place(slot, module, below).expect("slots have places");
        let (host, up) = match (slot.place, below) {
            (SlotPlace::OnSlot(_, toward), Some((below, _))) => (Body::Module(below), toward),
            (SlotPlace::OnGround(ground, _), _) => (Body::Ground(ground), DVec3::Z),
            _ => panic!("no slot without a host"),
        };
        let orientation = DQuat::from_rotation_arc(DVec3::Z, up);
        *there.get_mut(module) = Placement { position, orientation, host, hold: Hold::Braced };
    }
    let (_, rider) = *slots.last().expect("a pyramid has slots");
    let mut between = touches(&problem, &there);
    between.retain(|touch| touch.module != rider && touch.other != Body::Module(rider));
    assert!(between.len() > 40, "{} touches are few", between.len());
    let mut dice = Dice::new(7);
    let mut random = move || dice.between(-1.0, 1.0);
    for limit in [0.3, problem.limits.utilisation()] {
        let (mut hint, mut known, mut both_ways) = (WarmStart::default(), None, [0; 2]);
        for round in 0..60 {
            let (_, host) = slots[(7 * round) % (slots.len() - 1)];
            let mut open = Rider::new(&problem, &there, rider, Body::Module(host), between.clone(), limit);
            let diameter = 2.0 * problem.kind(host).shell_radius_m;
            for _ in 0..4 {
                let up = DVec3::new(random(), random(), random()).normalize();
                let (position, orientation) =
                    (there.get(host).position + up * diameter, DQuat::from_rotation_arc(DVec3::Z, up));
                let says = open.others_carry_at(position, &mut hint, &mut known);
                let on = Placement { position, orientation, host: Body::Module(host), hold: Hold::Rolling };
                let mut now = there.clone();
                *now.get_mut(rider) = on;
                let anew = LoadCase::new(&problem, &now, between.clone()).in_motion(&problem, true);
                // The rider's own bond is asked about apart.
                let own = anew.bonds.iter().find(|bond| bond.child == rider).expect("it has a bond");
                let grips =
                    anew.gravity.iter().all(|&g| own.demand_under(g).worst_n() <= limit * own.adhesion_n);
                if grips {
                    assert!(!says || anew.carries(limit), "round {round}, limit {limit}");
                    both_ways[usize::from(says)] += 1;
                }
            }
        }
        assert!(both_ways[1] > 20, "limit {limit}: {both_ways:?}");
    }
}
