//! Lower bounds on time against hand counts and against plans.

use crate::planned::planned;
use crate::support::{FIXTURES, assert_near, bare_ground, block, cobble, empty, on_deck, on_shell};
use clamber_core::math::{DVec2, DVec3};
use clamber_core::model::{DeckId, Gather, Goal, ModuleId, Problem, Slot, SlotId, SlotPlace};
use clamber_core::search::{makespan_lower_bound_s, total_move_time_lower_bound_s};

/// One hop of the demo kind.
const HOP_S: f64 = 4.0;

fn slot(place: SlotPlace) -> Slot {
    Slot { name: "s".into(), place, kind: None, module: None, hold: None, payload_kg: 0.0 }
}

/// Modules on a landing, another landing beside it at this distance and height, and all to gather there.
fn landings(gap_m: f64, rise_m: f64, crew: usize) -> Problem {
    let near = block("near", [-2.0, -1.0], [0.0, 1.0], f64::NEG_INFINITY, 0.0, 0.7);
    let far = block("far", [gap_m, -1.0], [2.0, 1.0], f64::NEG_INFINITY, rise_m, 0.7);
    let mut problem = empty(vec![cobble()], vec![near, far]);
    for index in 0..crew {
        on_deck(&mut problem, [-0.2 - 0.3 * index as f64, 0.0]);
    }
    problem.goal = Goal { slots: Vec::new(), gather: Some(Gather { deck: DeckId(1), count: crew }) };
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
        problem.goal.gather = Some(Gather { deck: DeckId(1), count: 5 });
        assert_near(makespan_lower_bound_s(&problem), (bonds + 1.0) * HOP_S, 1e-9);
        problem.goal.gather = Some(Gather { deck: DeckId(0), count: 5 });
        assert_near(makespan_lower_bound_s(&problem), 0.0, 0.0);
    }
    // Whoever stands on another already has made that hop.
    let mut problem = landings(0.07, 0.0, 3);
    on_shell(&mut problem, ModuleId(0), DVec3::X);
    problem.goal.gather = Some(Gather { deck: DeckId(1), count: 1 });
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
    // The nearest is 10 cm off: 99 mm at 0.1 m/s at most (a centre goes twice as fast as the sole on a shell), and two hops.
    problem.goal = shapes(slot(SlotPlace::OnDeck(DeckId(0), DVec2::new(-0.1, 0.0))));
    assert_near(makespan_lower_bound_s(&problem), 0.99 + 2.0 * HOP_S, 1e-9);
    problem.goal = shapes(Slot { module: Some(ModuleId(1)), ..problem.goal.slots[0].clone() });
    assert_near(makespan_lower_bound_s(&problem), 5.99 + 2.0 * HOP_S, 1e-9);
    assert_near(total_move_time_lower_bound_s(&problem), 5.99 + 2.0 * HOP_S, 1e-5);
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
    for (name, _) in FIXTURES {
        let (problem, plan) = planned(name);
        let moving_s: f64 = plan.steps.iter().map(|s| s.duration_s).sum();
        let (makespan, total) = (makespan_lower_bound_s(problem), total_move_time_lower_bound_s(problem));
        assert!(makespan > 0.0 && makespan <= plan.summary.makespan_s, "{name}");
        assert!(total > 0.0 && total <= moving_s, "{name}: {total} s, {moving_s} s");
    }
}
