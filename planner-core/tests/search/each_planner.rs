//! What the planners were made for: structures nobody asked for, arms that carry.

use crate::support::{fixture, plan_by};
use clamber_core::unstable::control::Budget;
use clamber_core::unstable::search::{AStar, Bridging, NoObserver, NoveltyFirst, Options, Planner};
use clamber_core::unstable::travel::{Trip, Way};
use clamber_core::{Move, PlannerName, Status, check_plan};

#[test]
fn every_planner_solves_the_pair() {
    let (_, problem) = fixture("pair");
    for (name, word) in PlannerName::ALL {
        if matches!(name, PlannerName::Bridging | PlannerName::Walking) {
            continue; // for goals that ask modules to gather, and for formed machines
        }
        let plan = plan_by(&*name.planner(), &problem, &Options::default());
        assert!(check_plan(&problem, &plan).expect("its values make sense").is_sound(), "{word}");
        assert!(plan.summary.makespan_s >= plan.summary.lower_bound_s, "{word}");
    }
}

/// That all six can get up a wall of one and a half module heights is common practice of the trade, without a source.
#[test]
fn all_six_get_up_the_headwall() {
    let problem = fixture("headwall").1;
    let plan = plan_by(&Bridging, &problem, &Options::default());
    let report = check_plan(&problem, &plan).expect("its values make sense");
    assert!(report.is_sound(), "{:?}", report.findings.first());
}

/// The arm carries the peer across. There is a longer way as well, in which arm and peer go round the root past each other; novelty may find
/// either.
#[test]
fn the_ferry_carries_its_peer() {
    let problem = fixture("ferry").1;
    for planner in [&AStar as &dyn Planner, &NoveltyFirst] {
        let found = planner
            .plan(&problem, &Options::default(), &Budget::unlimited(), &NoObserver)
            .expect("it makes sense");
        assert_eq!(found.status, Status::Solved);
        let carries = |trip: &Trip| matches!(&trip.way, Way::Carrying(moves) if moves.iter().any(|m| matches!(m, Move::Yaw { .. })));
        assert!(found.trips.iter().any(carries) || planner.name() != "astar", "{}", planner.name());
        let plan = plan_by(planner, &problem, &Options::default());
        assert!(check_plan(&problem, &plan).expect("its values make sense").is_sound(), "{}", planner.name());
    }
}
