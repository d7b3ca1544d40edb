//! The load with one module's place left open, against load cases built anew for every place.

use crate::support::{Dice, fixture};
use clamber_core::unstable::model::touches;
use clamber_core::unstable::statics::{Driving, LoadCase, Rider, WarmStart};
use clamber_core::{Body, GroundId, Hold, ModuleId, Placement};
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
            let others = open.others_carry_at(there.get(rider).position, &mut hint);
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
