//! Lower bounds on time against hand counts and against plans.

use crate::support::{
    assert_near, bare_ground, block, cobble, empty, fixed, on_deck, on_shell, planned, slot as named_slot,
    soon_planned,
};
use clamber_core::Move;
use clamber_core::unstable::model::BondForest;
use clamber_core::unstable::motion::{apply, duration_s};
use clamber_core::unstable::search::{
    makespan_lower_bound_s, total_move_time_lower_bound_s, uncarried_makespan_lower_bound_s,
};
use clamber_core::unstable::travel::{Trip, Waypoint};
use clamber_core::{
    Body, Configuration, Gather, Goal, GroundId, Hold, ModuleId, Problem, Slot, SlotId, SlotPlace,
};
use clamber_core::{DVec2, DVec3};
use proptest::prelude::*;

/// One hop of the demo kind.
const HOP_S: f64 = 4.0;

fn slot(place: SlotPlace) -> Slot {
    named_slot("s", place)
}

/// Modules on a landing, another landing beside it at this distance and height, and all to gather there.
fn landings(gap_m: f64, rise_m: f64, crew: usize) -> Problem {
    let near = block("near", [-2.0, -1.0], [0.0, 1.0], f64::NEG_INFINITY, 0.0, 0.7);
    let far = block("far", [gap_m, -1.0], [2.0, 1.0], f64::NEG_INFINITY, rise_m, 0.7);
    let mut problem = empty(vec![cobble()], vec![near, far]);
    for index in 0..crew {
        on_deck(&mut problem, [-0.2 - 0.3 * index as f64, 0.0]);
    }
    problem.goal =
        Goal { slots: Vec::new(), gather: Some(Gather { ground: GroundId(1), within: None, count: crew }) };
    problem
}

/// With b bonds between the decks: b hops to build the chain and one across; b to build one back, and b for it to climb.
#[test]
fn gathering_counts_hops() {
    for (gap_m, rise_m, bonds) in [
        (0.03, 0.0, 1.0),
        (0.07, 0.0, 2.0),
        (0.17, 0.0, 3.0),
        // Beside a wall the centre keeps 60 mm off, and the foot on top 40 mm: 100 mm across.
        (0.0, 0.09, 2.0),
        (0.0, 0.18, 2.0),
        (0.0, 0.24, 3.0),
    ] {
        let mut problem = landings(gap_m, rise_m, 6);
        assert_near(makespan_lower_bound_s(&problem), (3.0 * bonds + 1.0) * HOP_S, 1e-9);
        // One move at a time, everybody hops onto somebody and off.
        assert_near(total_move_time_lower_bound_s(&problem), 12.0 * HOP_S, 1e-9);
        problem.goal.gather = Some(Gather { ground: GroundId(1), within: None, count: 5 });
        assert_near(makespan_lower_bound_s(&problem), (bonds + 1.0) * HOP_S, 1e-9);
        problem.goal.gather = Some(Gather { ground: GroundId(0), within: None, count: 5 });
        assert_near(makespan_lower_bound_s(&problem), 0.0, 0.0);
    }
    // Whoever stands on another already has made that hop.
    let mut problem = landings(0.07, 0.0, 3);
    on_shell(&mut problem, ModuleId(0), DVec3::X);
    problem.goal.gather = Some(Gather { ground: GroundId(1), within: None, count: 1 });
    assert_near(makespan_lower_bound_s(&problem), 2.0 * HOP_S, 1e-9);
    assert_near(total_move_time_lower_bound_s(&problem), HOP_S, 1e-9);
}

/// The base has to be in place before the others climb it, one after the other.
#[test]
fn a_chain_waits_for_its_root() {
    let mut problem = empty(vec![cobble()], vec![bare_ground(0.7)]);
    for x in [0.0, 0.5, 1.0] {
        on_deck(&mut problem, [x, 0.0]);
    }
    let shapes = |root: Slot| {
        let chain =
            [slot(SlotPlace::OnSlot(SlotId(0), DVec3::Z)), slot(SlotPlace::OnSlot(SlotId(1), DVec3::X))];
        Goal { slots: std::iter::once(root).chain(chain).collect(), gather: None }
    };
    // m1 drives 99 mm to the root's slot and waits for two hops: 9.98 s. m2 comes to the middle within 16 s: in 12 s it can hop onto a chain of two
    // that swings it 48 cm, and hop off it, and once more somebody hops after it. m3 comes to the end within 14.78 s: three hops with a swing of 72 cm
    // and one of 24 cm, and 13.9 cm by the sole of some root.
    problem.goal = shapes(slot(SlotPlace::OnGround(GroundId(0), DVec2::new(-0.1, 0.0))));
    assert_near(makespan_lower_bound_s(&problem), 16.0, 1e-9);
    // With m2 as the root its own drive of 599 mm and two hops are the most.
    problem.goal = shapes(Slot { module: Some(ModuleId(1)), ..problem.goal.slots[0].clone() });
    assert_near(makespan_lower_bound_s(&problem), 11.98 + 2.0 * HOP_S, 1e-9);
    // One move at a time: 99 mm at 0.1 m/s at most, as a centre goes twice as fast as the sole on a shell.
    assert_near(total_move_time_lower_bound_s(&problem), 5.99 + 2.0 * HOP_S, 1e-5);
}

/// A hub in its slot and a module `apart` metres off, straight ahead or at an angle, that is to stand on it towards `toward`.
fn beside_a_hub(apart: DVec2, toward: DVec3) -> Problem {
    let mut problem = empty(vec![cobble()], vec![bare_ground(0.7)]);
    on_deck(&mut problem, [0.0, 0.0]);
    on_deck(&mut problem, apart.to_array());
    let hub = Slot { module: Some(ModuleId(0)), ..slot(SlotPlace::OnGround(GroundId(0), DVec2::ZERO)) };
    let goal = vec![hub, slot(SlotPlace::OnSlot(SlotId(0), toward))];
    problem.goal = Goal { slots: goal, gather: None };
    problem
}

/// The shortest way onto a hub when nobody is carried, against closed forms and against a fine sampling of the hop's place.
#[test]
fn onto_a_hub_without_being_carried() {
    // Slack for the tolerance of slots: some millimetres at 0.05 m/s.
    let slack_s = 0.12;
    let is_just_below = |problem: &Problem, true_s: f64| {
        let bound_s = uncarried_makespan_lower_bound_s(problem);
        assert!(bound_s <= true_s && bound_s >= true_s - slack_s, "{bound_s} s, true {true_s} s");
    };
    // Straight ahead to the equator; to the top, a quarter of a great circle more.
    let ahead = DVec2::new(0.5, 0.0);
    is_just_below(&beside_a_hub(ahead, DVec3::X), (0.5 - 0.12) / 0.05 + HOP_S);
    let quarter_s = 0.06 * std::f64::consts::FRAC_PI_2 / 0.05;
    is_just_below(&beside_a_hub(ahead, DVec3::Z), (0.5 - 0.12) / 0.05 + HOP_S + quarter_s);
    for k in 0..40 {
        let (azimuth, elevation) = (0.37 * f64::from(k), 0.035 * f64::from(k));
        let toward =
            DVec3::new(azimuth.cos() * elevation.cos(), azimuth.sin() * elevation.cos(), elevation.sin());
        let from = DVec2::new(0.3, 0.2);
        let way = |n: u32| {
            let ring = DVec2::from_angle(std::f64::consts::TAU * f64::from(n) / 20_000.0);
            let arc = ring.extend(0.0).angle_between(toward);
            from.distance(0.12 * ring) + 0.06 * arc
        };
        let least_m = (0..20_000).map(way).fold(f64::INFINITY, f64::min);
        is_just_below(&beside_a_hub(from, toward), least_m / 0.05 + HOP_S);
    }
}

/// A module beside its carrier, which takes it a metre along: the bound for every plan is what this takes but for the tolerance of slots.
#[test]
fn a_ride_is_as_long_as_the_drive_of_the_carrier() {
    let mut problem = empty(vec![cobble()], vec![bare_ground(0.7)]);
    on_deck(&mut problem, [0.0, 0.0]);
    on_deck(&mut problem, [0.12, 0.0]);
    let hub =
        Slot { module: Some(ModuleId(0)), ..slot(SlotPlace::OnGround(GroundId(0), DVec2::new(1.0, 0.0))) };
    let goal = vec![hub, slot(SlotPlace::OnSlot(SlotId(0), DVec3::X))];
    problem.goal = Goal { slots: goal, gather: None };
    let ride_s = HOP_S + 1.0 / 0.05;
    assert_near(makespan_lower_bound_s(&problem), ride_s - 0.02, 1e-9);
    // By itself it has 88 cm to drive, and then it hops.
    let alone_s = uncarried_makespan_lower_bound_s(&problem);
    assert!(alone_s <= ride_s && alone_s >= ride_s - 0.1, "{alone_s}");
}

/// The places of a crew as slots, hosts first.
fn as_slots(shape: &Configuration) -> Vec<Slot> {
    let order = BondForest::new(shape).order;
    let number = |m: ModuleId| order.iter().position(|&o| o == m).expect("everybody has a place");
    let place = |m: &ModuleId| match shape.get(*m).host {
        Body::Ground(deck) => SlotPlace::OnGround(deck, shape.get(*m).position.truncate()),
        Body::Module(host) => SlotPlace::OnSlot(SlotId(number(host) as u16), shape.get(*m).up()),
        Body::Stone(_) => panic!("no foot stands on a stone"),
    };
    order.iter().map(|m| Slot { module: Some(*m), ..slot(place(m)) }).collect()
}

proptest! {
    #![proptest_config(fixed(300))]

    /// Random slides with passengers, and hops wherever two touch: whatever comes of them, it took no less than the bound. Loads and collisions
    /// are not looked at, as the bound does not either.
    #[test]
    fn random_rides_take_no_less(
        count in 2_usize..6,
        moves in prop::collection::vec((0_usize..6, 0_usize..6, -0.5..0.5_f64, -60.0..60.0_f64), 1..12),
    ) {
        let mut problem = empty(vec![cobble()], vec![bare_ground(0.7)]);
        for index in 0..count {
            on_deck(&mut problem, [0.12 * index as f64, 0.0]);
        }
        let (mut now, mut time_s) = (problem.start.clone(), 0.0);
        let mut carries = false;
        for (mover, other, travel_m, curvature_per_m) in moves {
            let (mover, other) = (ModuleId::at(mover % count), ModuleId::at(other % count));
            let place = *now.get(mover);
            let touches = (place.position.distance(now.get(other).position) - 0.12).abs() < 1e-7;
            let may_hop = mover != other
                && touches
                && !now.is_stood_on(mover)
                && place.host != Body::Module(other)
                && now.hosts_below(other).all(|b| b != Body::Module(mover));
            let made = if may_hop {
                let hop = vec![Waypoint::straight(Body::Module(other), place.position)];
                Trip::alone(mover, hop).moves(&problem, &now)
            } else {
                let slide = Move::Slide { travel_m, curvature_per_m };
                apply(&problem, &now, mover, &slide).map(|after| vec![(slide, after)])
            };
            for (action, after) in made.unwrap_or_default() {
                carries |= now.is_stood_on(mover);
                time_s += duration_s(&problem, mover, Hold::Rolling, &action);
                now = after;
            }
        }
        problem.goal = Goal { slots: as_slots(&now), gather: None };
        let (any_s, alone_s) = (makespan_lower_bound_s(&problem), uncarried_makespan_lower_bound_s(&problem));
        prop_assert!(any_s <= time_s + 1e-6, "{any_s} s, took {time_s} s");
        prop_assert!(any_s <= alone_s);
        prop_assert!(carries || alone_s <= time_s + 1e-6, "{alone_s} s, took {time_s} s");
    }
}

/// A deck nobody can get to has no finite bound.
#[test]
fn out_of_reach_is_never() {
    let problem = landings(1.0, 0.0, 3);
    assert_eq!(makespan_lower_bound_s(&problem), f64::INFINITY);
    let nobody = empty(vec![cobble()], vec![bare_ground(0.7)]);
    assert_near(makespan_lower_bound_s(&nobody), 0.0, 0.0);
}

#[test]
fn plans_keep_both_bounds() {
    for name in soon_planned() {
        let (problem, plan) = planned(name);
        let moving_s: f64 = plan.steps.iter().map(|s| s.duration_s).sum();
        let (makespan, total) = (makespan_lower_bound_s(problem), total_move_time_lower_bound_s(problem));
        assert!(makespan > 0.0 && makespan <= plan.summary.makespan_s, "{name}");
        let uncarried = uncarried_makespan_lower_bound_s(problem);
        assert!(makespan <= uncarried, "{name}");
        assert!(
            plan.carries_anybody(problem) || uncarried <= plan.summary.makespan_s,
            "{name}: {uncarried} s"
        );
        assert!(total > 0.0 && total <= moving_s, "{name}: {total} s, {moving_s} s");
    }
}
