//! Plans of several crews at once: a move waits for those of crews before it whose ways it crosses.
//!
//! Each crew is timed by itself, as if the others were not there, and no crew bonds to, touches or lifts a module of another. So they meet only on
//! their ways. Every trip of a crew was planned past all others, where those of earlier crews stand at the end and those of later ones at the start.
//! So moves whose ways come near to each other are sound in the order of the crews, and all other moves in any order.

use super::timing::{Heading, plan_of_steps};
use super::{PAUSE_S, drive_sequence::ROOM_M};
use crate::geometry::{Path, keep_apart};
use crate::math::Grid;
use crate::model::{Body, Configuration, ModuleId, Problem};
use crate::motion::{Move, apply, sweep_of};
use crate::plan::{Plan, Step};

/// The plan of some modules as a crew of their own.
#[derive(Clone, Debug)]
pub struct Share {
    /// The modules, in the order of the whole crew.
    pub members: Vec<ModuleId>,
    /// Their problem, with its start.
    pub problem: Problem,
    /// Their plan.
    pub plan: Plan,
}

/// The way of a shell during a step.
struct Way {
    step: usize,
    share: usize,
    module: ModuleId,
    path: Path,
}

/// The plan of all crews. Those that come first wait for nobody else. A module may be a member of several.
///
/// Complexity: the pairs of ways that come near to each other.
#[must_use]
pub fn at_once(problem: &Problem, shares: &[Share], heading: &Heading) -> Plan {
    let mut steps: Vec<Step> = Vec::new();
    let mut ways: Vec<Way> = Vec::new();
    let largest_m = problem.kinds.iter().map(|kind| kind.shell_radius_m).fold(0.0, f64::max);
    let mut crossing = Crossing { problem, grid: Grid::new(2.0 * largest_m), largest_m };
    let mut last_of: Vec<Option<usize>> = vec![None; problem.modules.len()];
    for (number, share) in shares.iter().enumerate() {
        let (first_step, first_way) = (steps.len(), ways.len());
        let mut now = share.problem.start.clone();
        for (index, own) in share.plan.steps.iter().enumerate() {
            let name = |m: ModuleId| share.members[m.index()];
            let mut step = own.clone();
            step.module = name(own.module);
            step.end.host = renamed(own.end.host, name);
            if let Move::Hop { to } = own.action {
                step.action = Move::Hop { to: renamed(to, name) };
            }
            step.after = own.after.iter().map(|before| first_step + before).collect();
            let moved = now.carried_with(own.module);
            if let Some(sweep) = sweep_of(&share.problem, &now, own.module, &own.action) {
                for &member in &moved {
                    let path = sweep.path_of(now.get(member).position);
                    let way = Way { step: first_step + index, share: number, module: name(member), path };
                    step.after.extend(crossing.before(&way, &ways));
                    ways.push(way);
                }
            }
            // What it moves may have come from another crew.
            step.after.extend(moved.iter().filter_map(|m| last_of[name(*m).index()]));
            step.after.sort_unstable();
            step.after.dedup();
            let ends = step.after.iter().map(|&before| steps[before].end_s() + PAUSE_S);
            step.start_s = ends.fold(0.0, f64::max);
            steps.push(step);
            now = after(&share.problem, now, own);
        }
        for (index, way) in ways.iter().enumerate().skip(first_way) {
            crossing.add(index, way);
        }
        for (index, step) in steps.iter().enumerate().skip(first_step) {
            last_of[step.module.index()] = Some(index);
        }
    }
    plan_of_steps(problem, steps, heading)
}

fn renamed(body: Body, name: impl Fn(ModuleId) -> ModuleId) -> Body {
    match body {
        Body::Module(module) => Body::Module(name(module)),
        ground => ground,
    }
}

/// The crew after a step. One that cannot be made leaves it as it is; the check tells.
fn after(problem: &Problem, now: Configuration, step: &Step) -> Configuration {
    apply(problem, &now, step.module, &step.action).unwrap_or(now)
}

/// Ways by where they lead.
struct Crossing<'a> {
    problem: &'a Problem,
    grid: Grid<usize>,
    largest_m: f64,
}

impl Crossing<'_> {
    fn add(&mut self, index: usize, way: &Way) {
        for (middle, reach_m) in parts(&way.path, self.grid.side_m()) {
            self.grid.insert(middle, reach_m, index);
        }
    }

    /// The steps of earlier crews whose ways a way comes near to.
    fn before(&self, way: &Way, ways: &[Way]) -> Vec<usize> {
        let limits = &self.problem.limits;
        let room_m = ROOM_M.max(limits.clearance_m).max(limits.touch_tol_m);
        let radius = self.problem.kind(way.module).shell_radius_m;
        let mut near = Vec::new();
        for (middle, reach_m) in parts(&way.path, self.grid.side_m()) {
            self.grid.collect(middle, reach_m + radius + self.largest_m + room_m, &mut near);
        }
        near.sort_unstable();
        near.dedup();
        let mut found: Vec<usize> = near
            .into_iter()
            .map(|index| &ways[index])
            .filter(|other| {
                let least = radius + self.problem.kind(other.module).shell_radius_m + room_m;
                other.share != way.share && meet(&way.path, &other.path, least)
            })
            .map(|other| other.step)
            .collect();
        found.dedup();
        found
    }
}

fn meet(a: &Path, b: &Path, least: f64) -> bool {
    let apart = a.at(0.5 * a.span()).distance(b.at(0.5 * b.span()));
    apart - a.reach_from_middle() - b.reach_from_middle() < least && !keep_apart(a, b, least)
}

/// Middles of the parts of a path, each with a distance that the part does not leave.
fn parts(path: &Path, side_m: f64) -> Vec<(crate::math::DVec3, f64)> {
    path.in_parts(side_m)
        .into_iter()
        .map(|part| (part.at(0.5 * part.span()), part.reach_from_middle()))
        .collect()
}
