//! Mirror images and like modules are one, and that changes no answer.

use crate::brute_force::least_time_s;
use crate::planners::{on_floor, scene, trips_s};
use crate::support::{block, fixture, lay_anew};
use clamber_core::Status;
use clamber_core::unstable::control::Budget;
use clamber_core::unstable::search::{AStar, NoObserver, NoveltyFirst, Options, Planner, Symmetries};
use clamber_core::{DVec2, DVec3};
use clamber_core::{GroundId, ModuleId, Problem, Slot, SlotId, SlotPlace};

/// The floor is square and the slots are in its middle, one above the other: what can be done on one side can be done on all eight.
#[test]
fn mirrored_configurations_are_followed_up_once() {
    let middle = [on_floor(0.0, 0.0), SlotPlace::OnSlot(SlotId(0), DVec3::Z)];
    let problem = scene(&[[0.4, 0.1], [-0.3, 0.25]], &middle);
    let mut lopsided = problem.clone();
    // Ground where nobody comes; it only takes the symmetry away.
    lay_anew(&mut lopsided, |decks| decks[0].1.outline[0].x -= 0.5);
    let options = Options { weight: Some(1.0), ..Options::default() };
    let find = |planner: &dyn Planner, problem| {
        planner.plan(problem, &options, &Budget::unlimited(), &NoObserver).expect("it makes sense")
    };
    let (found, slowly) = (find(&AStar, &problem), find(&AStar, &lopsided));
    assert_eq!((found.status, slowly.status), (Status::Solved, Status::Solved));
    assert!(found.statistics.mirrored > 0 && found.statistics.renamed > 0, "{:?}", found.statistics);
    assert_eq!(slowly.statistics.mirrored, 0);
    assert!(
        found.statistics.kept < slowly.statistics.kept,
        "{:?}, {:?}",
        found.statistics,
        slowly.statistics
    );
    let least = least_time_s(&problem);
    for (outcome, problem) in [(&found, &problem), (&slowly, &lopsided)] {
        let time = trips_s(problem, &outcome.trips);
        assert!((time - least).abs() < 1e-5, "{time} s, {least} s by brute force");
    }
    assert_eq!(find(&NoveltyFirst, &problem).status, Status::Solved);
}

fn count(problem: &Problem) -> usize {
    Symmetries::of(problem).len()
}

/// One deck with a square or an oblong outline, and slots.
fn floor(half: f64, slots: &[(f64, f64)]) -> Problem {
    let at = |&(x, y): &(f64, f64)| on_floor(x, y);
    let mut problem = scene(&[[0.0, 0.0]], &slots.iter().map(at).collect::<Vec<_>>());
    let corners = [(-1.0, -1.0), (1.0, -1.0), (1.0, 1.0), (-1.0, 1.0)];
    let outline = corners.map(|(x, y)| DVec2::new(half * x, y)).to_vec();
    lay_anew(&mut problem, |decks| decks[0].1.outline = outline);
    problem
}

/// By the symmetry groups of a square, an oblong and their parts (orders 8, 4, 2, 1), the map that changes nothing left out.
#[test]
fn whatever_is_lopsided_takes_symmetries_away() {
    assert_eq!(count(&floor(1.0, &[(0.0, 0.0)])), 7);
    assert_eq!(count(&floor(2.0, &[(0.0, 0.0)])), 3);
    assert_eq!(count(&floor(1.0, &[(0.5, 0.0)])), 1);
    assert_eq!(count(&floor(1.0, &[(0.5, 0.5)])), 1);
    assert_eq!(count(&floor(1.0, &[(0.5, 0.2)])), 0);
    assert_eq!(count(&floor(1.0, &[(0.5, 0.0), (-0.5, 0.0)])), 3);
    let pair = floor(1.0, &[(0.5, 0.0), (-0.5, 0.0)]);
    let mut laden = pair.clone();
    laden.goal.slots[0].payload_kg = 1.0;
    assert_eq!(count(&laden), 1, "one of the two carries a payload");
    let mut named = pair.clone();
    named.goal.slots[0].module = Some(ModuleId(0));
    assert_eq!(count(&named), 1, "one of the two is for a module of its own");
    let mut leaning = floor(1.0, &[(0.0, 0.0)]);
    let place = SlotPlace::OnSlot(SlotId(0), DVec3::new(0.6, 0.0, 0.8));
    leaning.goal.slots.push(Slot { place, ..leaning.goal.slots[0].clone() });
    assert_eq!(count(&leaning), 1, "it leans along x");
    let mut other_deck = floor(1.0, &[(0.0, 0.0)]);
    let step = |x: f64| block("step", [x - 1.0, -1.0], [x + 1.0, 1.0], f64::NEG_INFINITY, 0.1, 0.7);
    lay_anew(&mut other_deck, |decks| decks.push(step(2.0)));
    assert_eq!(count(&other_deck), 1, "a step to the right");
    // A like step to the left gives the other mirror and the half turn back; a rougher one does not.
    lay_anew(&mut other_deck, |decks| decks.push(step(-2.0)));
    assert_eq!(count(&other_deck), 3);
    let mut rougher = other_deck.clone();
    lay_anew(&mut rougher, |decks| decks[2].2.friction = 0.4);
    assert_eq!(count(&rougher), 1);
    other_deck.goal.gather = Some(clamber_core::Gather { ground: GroundId(1), within: None, count: 1 });
    assert_eq!(count(&other_deck), 1, "only one of the steps is the goal");
}

/// A regular hexagon has twelve symmetries; turns by 60° do not keep the eight directions in which gravity is tilted.
#[test]
fn the_tilted_directions_of_gravity_have_to_be_kept() {
    let mut hexagon = floor(1.0, &[(0.0, 0.0)]);
    let corner = |k: u8| DVec2::from_angle(f64::from(k) * std::f64::consts::FRAC_PI_3);
    lay_anew(&mut hexagon, |decks| decks[0].1.outline = (0..6).map(corner).collect());
    assert_eq!(count(&hexagon), 3);
}

#[test]
fn a_wall_across_a_culvert_has_a_left_and_a_right() {
    assert_eq!(count(&fixture("headwall").1), 1);
}
