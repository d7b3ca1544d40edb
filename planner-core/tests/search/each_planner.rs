//! What the planners were made for: structures nobody asked for, arms that carry.

use crate::support::{fixture, plan_by, resized, text};
use clamber_core::unstable::control::Budget;
use clamber_core::unstable::search::{AStar, Bridging, NoObserver, NoveltyFirst, Options, Planner};
use clamber_core::unstable::travel::{Trip, Way};
use clamber_core::{
    DVec2, DVec3, GroundId, Hold, ModuleId, Move, Placement, PlannerName, Status, check_plan, read_scenario,
};
use rayon::prelude::*;

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

/// One hangs over the wall from a module at its brink, where only weight holds, with feet 1 mm prouder than the shells: another has to weigh on that
/// module meanwhile, and the third one is in the way. A search by novelty alone expands some three hundred configurations until it finds that.
#[test]
fn the_last_one_gets_off_beside_a_counterweight() {
    let mut problem = fixture("weir").1;
    problem.kinds[0].ride_height_m = problem.kinds[0].shell_radius_m + 0.001;
    problem.limits.touch_tol_m = 0.0012;
    problem.limits.motion_tilt_rad = 0.0;
    let (kind, sill) = (problem.kinds[0].clone(), GroundId(1));
    for (module, at) in [(0, [0.04, 0.03]), (2, [0.04, -0.0911]), (3, [0.25, 0.2])] {
        let place = Placement::on_ground(sill, problem.ground(sill), &kind, DVec2::from(at), None)
            .expect("it is level");
        *problem.start.get_mut(ModuleId(module)) = place;
    }
    let brink = problem.start.get(ModuleId(0)).position;
    // It touches the wall.
    let apart: f64 = 2.0 * kind.shell_radius_m + 0.001;
    let way = DVec3::new(-0.1, 0.0, -(apart * apart - 0.01).sqrt());
    let hung = Placement::on_shell(ModuleId(0), brink, &kind, &kind, way, None).expect("a direction");
    *problem.start.get_mut(ModuleId(1)) = hung;
    problem.start = problem.start.with_holds(|_| Hold::Braced);
    let budget = Budget { expansions: 16, ..Budget::unlimited() };
    let found = Bridging.plan(&problem, &Options::default(), &budget, &NoObserver).expect("it makes sense");
    assert_eq!(found.status, Status::Solved);
}

/// Physics does not know the size, so no size takes a long search, as long as the tolerance of touches grows with it. Where configurations that are
/// equally new came by height, four of six such searches had not ended after seven thousand expansions.
#[test]
fn weirs_of_any_size_are_soon_crossed() {
    let weir = text("weir").replace("[limits]\n", "[limits]\ntouch_tol_m = 0.0002\n");
    [0.437, 0.6, 0.93, 1.7, 3.1].into_par_iter().for_each(|factor| {
        let (_, problem) = read_scenario("weir", &resized(&weir, factor)).expect("it is a good scene");
        let budget = Budget { expansions: 1024, ..Budget::unlimited() };
        let found =
            Bridging.plan(&problem, &Options::default(), &budget, &NoObserver).expect("it makes sense");
        assert_eq!(found.status, Status::Solved, "{factor}");
        assert!(found.statistics.expanded < 2500, "{factor}: {}", found.statistics.expanded);
    });
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
