//! Moves side by side: against one at a time, the checker, random delays and brute force over braces.

use crate::planned::planned;
use crate::support::{FIXTURES, fixture};
use clamber_core::check::check_plan;
use clamber_core::model::Problem;
use clamber_core::motion::{Plan, PlannerNote, Status};
use clamber_core::schedule::{SideBySide, moves_of_trips, side_by_side};
use clamber_core::search::{AStar, Budget, NoObserver, Options, Outcome, Planner, TakingApart};

fn outcome_of(planner: &dyn Planner, problem: &Problem) -> Outcome {
    let outcome = planner
        .plan(problem, &Options::default(), &Budget::unlimited(), &NoObserver)
        .expect("the scene makes sense");
    assert_eq!(outcome.status, Status::Solved, "{} on {}", planner.name(), problem.name);
    outcome
}

fn timed(problem: &Problem, outcome: &Outcome, tries: u64) -> SideBySide {
    let moves = moves_of_trips(problem, &outcome.trips).expect("trips can be made");
    let budget = Budget { expansions: tries, ..Budget::unlimited() };
    let limit = problem.limits.utilisation();
    side_by_side(
        problem,
        &moves,
        PlannerNote::new("astar", 1),
        outcome.status,
        outcome.lower_bound_s,
        limit,
        &budget,
    )
    .expect("it can be timed")
}

#[test]
fn figures() {
    for (name, _) in FIXTURES {
        let (_, problem) = fixture(name);
        for planner in [&AStar as &dyn Planner, &TakingApart] {
            let outcome = outcome_of(planner, &problem);
            let begin = std::time::Instant::now();
            let first = timed(&problem, &outcome, 0);
            let mid = begin.elapsed();
            let best = timed(&problem, &outcome, 300);
            let one = clamber_core::schedule::one_by_one(
                &problem,
                &outcome.trips,
                PlannerNote::new("astar", 1),
                outcome.status,
                outcome.lower_bound_s,
            )
            .unwrap();
            println!(
                "{name} {}: one {:.2} first {:.2} best {:.2} tried {} holds {} >= {} ({:?} {:?})",
                planner.name(),
                one.summary.makespan_s,
                first.plan.summary.makespan_s,
                best.plan.summary.makespan_s,
                best.tried,
                best.hold_moves,
                best.hold_moves_at_least,
                mid,
                begin.elapsed()
            );
            for plan in [&first.plan, &best.plan, &one] {
                let report = check_plan(&problem, plan);
                for f in &report.findings {
                    println!("   {:?} {} {}", f.step, f.rule, f.message);
                }
            }
        }
    }
}
