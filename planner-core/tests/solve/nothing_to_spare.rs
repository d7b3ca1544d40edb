//! No plan has a move that can be left out.

use crate::support::{heading, solved, soon_planned, with_figures};
use clamber_core::unstable::control::Budget;
use clamber_core::unstable::schedule::one_by_one;
use clamber_core::{ModuleId, Move, Problem, Status, check_plan};
use rayon::prelude::*;

/// Whether moves made one after the other reach the goal, every instant sound.
fn will_do(problem: &Problem, moves: &[(ModuleId, Move)]) -> bool {
    let budget = Budget::unlimited();
    let timed = one_by_one(problem, moves, &heading(Status::Solved, 0.0), budget.interrupt);
    timed.is_ok_and(|plan| {
        check_plan(problem, &with_figures(problem, plan)).expect("its values make sense").is_sound()
    })
}

/// Without all drives of one module, and without any one of its trips: what it does between two moves of others.
#[test]
fn no_trip_and_no_module_can_be_struck_out() {
    let faults: Vec<String> = soon_planned()
        .collect::<Vec<_>>()
        .into_par_iter()
        .flat_map_iter(|name| {
            let (_, problem, solution) = solved(name);
            let mut steps = solution.plan.steps.clone();
            steps.sort_by(|a, b| a.start_s.total_cmp(&b.start_s));
            // Braces and releases are found anew.
            let drives: Vec<(ModuleId, Move)> = steps
                .iter()
                .filter(|step| !matches!(step.action, Move::Brace | Move::Release))
                .map(|step| (step.module, step.action))
                .collect();
            let mut faults = Vec::new();
            for module in problem.module_ids().filter(|m| drives.iter().any(|(id, _)| id == m)) {
                let left: Vec<_> = drives.iter().filter(|(id, _)| *id != module).copied().collect();
                if will_do(problem, &left) {
                    faults.push(format!("{name}: {} need not move", problem.module_name(module)));
                }
            }
            let mut first = 0;
            while first < drives.len() {
                let length = drives[first..].iter().take_while(|(id, _)| *id == drives[first].0).count();
                let mut left = drives.clone();
                left.drain(first..first + length);
                if will_do(problem, &left) {
                    faults.push(format!("{name}: {length} moves from move {first} on are of no use"));
                }
                first += length;
            }
            faults
        })
        .collect();
    assert!(faults.is_empty(), "{faults:#?}");
}
