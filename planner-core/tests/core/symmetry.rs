//! Mirror images and like modules are one, and that changes no answer.

use crate::brute_force::least_time_s;
use crate::planners::{on_floor, scene, trips_s};
use clamber_core::math::DVec3;
use clamber_core::model::{SlotId, SlotPlace};
use clamber_core::motion::Status;
use clamber_core::search::{AStar, Budget, NoObserver, NoveltyFirst, Options, Planner};

/// The floor is square and the slots are in its middle, one above the other: what can be done on one side can be done on all eight.
#[test]
fn mirrored_configurations_are_followed_up_once() {
    let middle = [on_floor(0.0, 0.0), SlotPlace::OnSlot(SlotId(0), DVec3::Z)];
    let problem = scene(&[[0.4, 0.1], [-0.3, 0.25]], &middle);
    let mut lopsided = problem.clone();
    // Ground where nobody comes; it only takes the symmetry away.
    lopsided.decks[0].solid.outline[0].x -= 0.5;
    let options = Options { greed: 1.0, ..Options::default() };
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
