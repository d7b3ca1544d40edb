//! What a failed search says about itself.

use crate::support::{bare_ground, cobble, empty, on_deck, on_shell, slot};
use clamber_core::Status;
use clamber_core::unstable::control::Budget;
use clamber_core::unstable::motion::{Fault, faults_at_rest};
use clamber_core::unstable::search::{AStar, Beam, NoObserver, NoveltyFirst, Options, Planner, Stoppers};
use clamber_core::unstable::solve::Portfolio;
use clamber_core::{Body, Goal, GroundId, ModuleId, Problem, SlotId, SlotPlace};
use clamber_core::{DVec2, DVec3};

/// A module at the side of another on bare ground, lifted so that it leans on nothing: the lower one tips.
fn tipping() -> Problem {
    let mut problem = empty(vec![cobble()], vec![bare_ground(0.7)]);
    let base = on_deck(&mut problem, [0.0, 0.0]);
    on_shell(&mut problem, base, DVec3::new(1.0, 0.0, 0.3));
    problem
}

#[test]
fn the_most_frequent_cause_is_named() {
    let problem = tipping();
    let faults = faults_at_rest(&problem, &problem.start);
    let [fault @ Fault::Load { reason: Some(reason), .. }] = faults.as_slice() else { panic!("{faults:?}") };
    let overlap = Fault::Overlap { module: ModuleId(1), other: Body::Ground(GroundId(0)), gap_m: -0.002 };
    let mut counted = Stoppers::default();
    assert!(counted.clauses(&problem).is_empty());
    counted.add_fault(&overlap);
    counted.add_fault(fault);
    let [first, second] = counted.clauses(&problem).try_into().expect("two causes");
    assert!(
        first.starts_with("modules are in each other's way (50 % of 2 refused moves, most of them m2;"),
        "{first}"
    );
    assert!(first.contains("nearest: 2.0 mm short"), "{first}");
    assert!(second.starts_with("modules tip on ground, where only weight holds them (50 % of 2"), "{second}");
    counted.add_many(7, Some(reason));
    let clauses = counted.clauses(&problem);
    let [clause] = clauses.as_slice() else { panic!("one of nine is rare: {clauses:?}") };
    assert!(clause.starts_with("modules tip on ground, where only weight holds them (89 % of 9"), "{clause}");
    assert!(clause.contains("most of them m1") && clause.contains("counterweight"), "{clause}");
    let missed = format!("nearest: {:.1} N short", reason.needs - reason.holds);
    assert!(clause.contains(&missed), "{clause}: {missed}");
}

/// On a deck that holds nothing, a module that would climb onto another tips it: the search says so.
#[test]
fn a_search_without_a_way_says_what_stopped_it() {
    let mut problem = empty(vec![cobble()], vec![bare_ground(0.7)]);
    on_deck(&mut problem, [0.0, 0.0]);
    on_deck(&mut problem, [0.4, 0.0]);
    let base = slot("base", SlotPlace::OnGround(GroundId(0), DVec2::ZERO));
    let top = slot("top", SlotPlace::OnSlot(SlotId(0), DVec3::Z));
    problem.goal = Goal { slots: vec![base, top], gather: None };
    problem.assign_classes();
    for planner in [&AStar as &dyn Planner, &NoveltyFirst, &Beam, &Portfolio] {
        let budget = Budget { expansions: 40, ..Budget::unlimited() };
        let outcome =
            planner.plan(&problem, &Options::default(), &budget, &NoObserver).expect("it makes sense");
        assert_eq!(outcome.status, Status::BudgetSpent, "{}", planner.name());
        let clauses = outcome.stoppers.clauses(&problem);
        assert!(clauses[0].starts_with("modules tip on ground, where only weight holds them"), "{clauses:?}");
        assert_eq!(outcome.stoppers.total(), outcome.statistics.refused_by_load, "{}", planner.name());
    }
}

#[test]
fn parts_add_up_in_any_grouping() {
    let overlap =
        |gap_m: f64| Fault::Overlap { module: ModuleId(1), other: Body::Ground(GroundId(0)), gap_m };
    let reach =
        Fault::Reach { module: ModuleId(0), host: Body::Module(ModuleId(1)), angle_rad: 2.4, limit_rad: 2.3 };
    let faults = [overlap(-0.004), reach, overlap(-0.001), overlap(-0.002), reach];
    let count = |faults: &[Fault]| {
        let mut stoppers = Stoppers::default();
        faults.iter().for_each(|fault| stoppers.add_fault(fault));
        stoppers
    };
    let whole = count(&faults);
    for cut in 0..=faults.len() {
        let mut parts = count(&faults[..cut]);
        parts.merge(&count(&faults[cut..]));
        assert_eq!(parts, whole);
    }
    assert_eq!(whole.total(), 5);
    assert!(whole.clauses(&tipping())[0].contains("nearest: 1.0 mm short"));
}
