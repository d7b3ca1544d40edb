//! The same bytes on every processor: digests of the plans of the fixtures, as they were when they were last looked at.
//!
//! `CLAMBER_BLESS=1 cargo test -p clamber-core --test solve digests` writes them anew, where plans are meant to differ.

use crate::support::{FIXTURES, SLOW, compare, fixture, here, solved};
use clamber_core::{Control, Problem, Scenario, Solution, SolveOptions, solve, write_plan};
use rayon::ThreadPoolBuilder;
use rayon::prelude::*;
use sha2::{Digest, Sha256};
use std::fmt::Write;

/// The slow ones take five seconds and more each.
fn timely() -> Vec<&'static str> {
    FIXTURES.into_iter().filter(|name| !SLOW.contains(name)).collect()
}

fn file((scenario, problem, solution): &(Scenario, Problem, Solution)) -> String {
    write_plan(scenario, problem, &solution.plan).expect("a plan can be written")
}

#[test]
fn plans_have_the_committed_digests() {
    let digest = |name: &str| {
        Sha256::digest(file(solved(name))).iter().fold(String::new(), |mut text, byte| {
            write!(text, "{byte:02x}").expect("a string takes it");
            text
        })
    };
    let lines: Vec<String> = timely().par_iter().map(|name| format!("{} {name}\n", digest(name))).collect();
    let path = here("tests/solve/plan_digests.txt");
    compare(&path, &lines.concat()).unwrap_or_else(|differs| panic!("{differs}"));
}

/// What `solve` writes does not depend on who works on what.
#[test]
fn plans_are_the_same_on_one_and_two_threads() {
    for name in ["pair", "headwall-low"] {
        let on = |threads: usize| {
            let pool = ThreadPoolBuilder::new().num_threads(threads).build().expect("a pool");
            let (scenario, problem) = fixture(name);
            let options = SolveOptions { trade_offs: true, patience: 4, ..SolveOptions::default() };
            let solution = pool.install(|| solve(&problem, &options, &Control::unlimited()));
            let solution = solution.expect("fixtures make sense");
            let plans = solution.report.trade_offs.iter().chain([&solution.plan]);
            plans.map(|plan| write_plan(&scenario, &problem, plan).expect("it can be written")).collect()
        };
        let (one, two): (Vec<String>, Vec<String>) = (on(1), on(2));
        assert!(one == two, "{name} differs");
        assert!(one.len() > 1, "{name}: there are trade-offs");
    }
}
