//! Goals of several shapes far from each other: large crews.

use clamber_core::unstable::generate::{Family, GenerateOptions, GroundMaterial, Kinds, generate};
use clamber_core::unstable::search::uncarried_makespan_lower_bound_s;
use clamber_core::{
    Control, ModuleId, Problem, Solution, SolveOptions, Status, check_plan, read_scenario, solve, write_plan,
};
use rayon::ThreadPoolBuilder;

fn field(modules: usize, seed: u64, kinds: Kinds, ground: GroundMaterial) -> Problem {
    let options = GenerateOptions { modules, seed, kinds, ground: Some(ground) };
    let scene = generate(Family::Fields, options).expect("such scenes can be drawn");
    read_scenario("scene.toml", &scene.text).expect("the scene makes sense").1
}

fn solved(problem: &Problem) -> Solution {
    let solution =
        solve(problem, &SolveOptions::default(), &Control::unlimited()).expect("the start is sound");
    assert_eq!(solution.status, Status::Solved, "{:?}", solution.reason(problem));
    let report = check_plan(problem, &solution.plan).expect("its values make sense");
    assert!(report.is_sound(), "{:?}", report.findings);
    solution
}

/// Many piles take about as long as one: no plan in which nobody is carried takes less than half as long.
#[test]
fn piles_rise_side_by_side() {
    for (modules, kinds) in [(16, Kinds::Cobble), (16, Kinds::Random), (64, Kinds::Cobble)] {
        let problem = field(modules, 5, kinds, GroundMaterial::Steel);
        let makespan_s = solved(&problem).plan.summary.makespan_s;
        let bound_s = uncarried_makespan_lower_bound_s(&problem);
        assert!(makespan_s <= 2.0 * bound_s, "{modules} {kinds:?}: {makespan_s} s, at least {bound_s} s");
    }
}

#[test]
fn piles_rise_on_concrete() {
    solved(&field(8, 5, Kinds::Cobble, GroundMaterial::Concrete));
}

/// Every slot asks for a module of the pile beside it, so that ways lead past other piles, and one crew waits for another to leave.
#[test]
fn crews_come_from_elsewhere() {
    let mut problem = field(16, 7, Kinds::Cobble, GroundMaterial::Steel);
    let count = problem.modules.len();
    for (index, slot) in problem.goal.slots.iter_mut().enumerate() {
        slot.module = Some(ModuleId::at((index + 5) % count));
    }
    problem.assign_classes();
    solved(&problem);
}

/// Modules without a slot may help, and stay as they are where they do not.
#[test]
fn spare_modules_may_stay() {
    let mut problem = field(12, 9, Kinds::Cobble, GroundMaterial::Steel);
    problem.goal.slots.truncate(8);
    solved(&problem);
}

#[test]
fn the_same_bytes_on_any_number_of_threads() {
    for (modules, seed, kinds) in [(32, 3, Kinds::Cobble), (28, 5, Kinds::Random)] {
        let options = GenerateOptions { modules, seed, kinds, ground: Some(GroundMaterial::Steel) };
        let scene = generate(Family::Fields, options).expect("such scenes can be drawn");
        let (scenario, problem) = read_scenario("scene.toml", &scene.text).expect("the scene makes sense");
        let on = |threads: usize| {
            let pool = ThreadPoolBuilder::new().num_threads(threads).build().expect("a pool");
            let plan = pool.install(|| solved(&problem)).plan;
            write_plan(&scenario, &problem, &plan).expect("a plan can be written")
        };
        assert!(on(1) == on(2), "{modules} modules, seed {seed}");
    }
}
