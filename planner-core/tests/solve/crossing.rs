//! Crews that gather on another deck: other structures, other places to wait, and other roles, for a shorter makespan.

use crate::support::fixture;
use clamber_core::unstable::generate::{Family, GenerateOptions, generate};
use clamber_core::unstable::search::makespan_lower_bound_s;
use clamber_core::{Control, Problem, SolveOptions, Status, check_plan, read_scenario, solve};
use rayon::ThreadPoolBuilder;
use rayon::prelude::*;

fn makespan_s(problem: &Problem, patience: u64) -> f64 {
    let options = SolveOptions { patience, ..SolveOptions::default() };
    let solution = solve(problem, &options, &Control::unlimited()).expect("it makes sense");
    assert_eq!(solution.status, Status::Solved, "{}", problem.name);
    let findings = check_plan(problem, &solution.plan).expect("its values make sense").findings;
    assert!(findings.is_empty(), "{}: {findings:?}", problem.name);
    let makespan_s = solution.plan.summary.makespan_s;
    assert!(makespan_lower_bound_s(problem) <= makespan_s, "{}", problem.name);
    makespan_s
}

/// Scenes that no part of the search was tuned to.
#[test]
fn crossings_are_shortened() {
    let scene = |(family, modules, seed): (Family, usize, u64)| {
        let options = GenerateOptions { modules, seed, ..GenerateOptions::default() };
        let text = generate(family, options).expect("the family can be drawn").text;
        read_scenario("scene.toml", &text).expect("generated scenes can be read").1
    };
    let scenes = [
        (Family::Climb, 4, 7001),
        (Family::Climb, 5, 7002),
        (Family::Cross, 4, 7003),
        (Family::Cross, 5, 7004),
    ];
    let found: Vec<[f64; 2]> = scenes
        .into_par_iter()
        .map(|task| {
            let problem = scene(task);
            [0, 40].map(|patience| makespan_s(&problem, patience))
        })
        .collect();
    assert!(found.iter().all(|[before_s, after_s]| *after_s <= before_s + 1e-9), "{found:?}");
    let [before_s, after_s] = [0, 1].map(|at| found.iter().map(|both| both[at]).sum::<f64>());
    assert!(after_s < 0.8 * before_s, "{found:?}");
}

#[test]
fn crossings_are_the_same_on_any_number_of_threads() {
    let (_, problem) = fixture("headwall-low");
    let on = |threads: usize| {
        let pool = ThreadPoolBuilder::new().num_threads(threads).build().expect("a pool");
        let options = SolveOptions { patience: 8, ..SolveOptions::default() };
        pool.install(|| solve(&problem, &options, &Control::unlimited())).expect("it makes sense").plan
    };
    assert_eq!(on(1), on(2));
}
