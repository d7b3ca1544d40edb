//! Level arms on a plinth, with what they need.

use crate::support::{Laid, block, brace_all, cobble, empty, on_deck, on_shell};
use clamber_core::{DVec3, ModuleId, Plan, PlannerNote, Problem, Status, Summary, Surfacing, UtilisationIs};

/// The needs of the first bond and of the root.
pub(crate) const FIRST_N: [f64; 3] = [9.0319, 27.4446, 63.2016];
pub(crate) const ROOT_N: [f64; 3] = [4.3782, 28.0220, 66.3556];
pub(crate) const MAGNET_N: f64 = 30.0;
pub(crate) const BRACED_N: f64 = 84.0;

/// A plan in which nothing moves.
pub(crate) fn still() -> Plan {
    Plan {
        planner: PlannerNote::new("test", 1),
        status: Status::Solved,
        reason: None,
        utilisation_is: UtilisationIs::Exact,
        steps: Vec::new(),
        summary: Summary::default(),
    }
}

/// A plinth of steel, hardly wider than a foot, so that nothing but the root touches it.
fn plinth() -> Laid {
    let (name, solid, surfacing) = block("plinth", [-0.05, -0.05], [0.05, 0.05], 0.0, 1.0, 0.7);
    (name, solid, Surfacing { ferrous: true, sealable: true, ..surfacing })
}

/// An arm of so many modules on the side of a root on a plinth of steel, braced.
pub(crate) fn arm(links: usize) -> (Problem, Vec<ModuleId>) {
    let mut problem = empty(vec![cobble()], vec![plinth()]);
    let mut chain = vec![on_deck(&mut problem, [0.0, 0.0])];
    for _ in 0..links {
        let host = chain[chain.len() - 1];
        chain.push(on_shell(&mut problem, host, DVec3::X));
    }
    brace_all(&mut problem);
    (problem, chain)
}
