//! Plans of several crews at once: of two moves whose ways cross, one waits for the other.
//!
//! Each crew is timed by itself, as if the others were not there, and no crew bonds to, touches or lifts a module of another. So they meet only on
//! their ways. Every trip of a crew was planned past all others, where those of earlier crews stand at the end and those of later ones at the start.
//! So moves whose ways come near to each other are sound in the order of the crews, and all other moves in any order. Two that only cross, so that
//! neither meets the other's module before or after it moves, are sound in both orders.

use super::timing::{Heading, plan_of_steps};
use super::{PAUSE_S, drive_sequence::ROOM_M};
use crate::geometry::{Path, keep_apart};
use crate::math::{Grid, LeastFirst};
use crate::model::{Body, Configuration, ModuleId, Problem};
use crate::motion::{Move, apply, sweeps_of};
use crate::plan::{Plan, Step};
use indexmap::IndexMap;

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

/// The plan of all crews. A module may be a member of several.
///
/// Moves that cross in either order are made in the order in which they can begin; where one would meet a module that the other brings or takes away,
/// in the order of the crews. Complexity: the pairs of ways that come near to each other, and a logarithm for each step.
#[must_use]
pub fn at_once(problem: &Problem, shares: &[Share], heading: &Heading) -> Plan {
    let mut steps: Vec<Step> = Vec::new();
    let mut ways: Vec<Way> = Vec::new();
    let mut last_of: Vec<Option<usize>> = vec![None; problem.modules.len()];
    for (number, share) in shares.iter().enumerate() {
        let first = steps.len();
        let name = |m: ModuleId| share.members[m.index()];
        let mut now = share.problem.start.clone();
        for own in &share.plan.steps {
            let moved = now.carried_with(own.module);
            if let Some(sweeps) = sweeps_of(&share.problem, &now, own.module, &own.action) {
                let way = |&member: &ModuleId| Way {
                    step: steps.len(),
                    share: number,
                    module: name(member),
                    path: sweeps.of(member).path_of(now.get(member).position),
                };
                // Who only turns is met where the moves before and after lead.
                ways.extend(moved.iter().map(way).filter(|way| way.path.length() > 0.0));
            }
            let mut step = own.clone();
            step.module = name(own.module);
            step.end.host = renamed(own.end.host, name);
            if let Move::Hop { to } = own.action {
                step.action = Move::Hop { to: renamed(to, name) };
            }
            if let Move::Stride { direction, angle_rad, planted, to } = own.action {
                step.action = Move::Stride { direction, angle_rad, planted: planted.renamed(name), to };
            }
            step.after = own.after.iter().map(|before| first + before).collect();
            // What it moves may have come from another crew.
            step.after.extend(moved.iter().filter_map(|m| last_of[name(*m).index()]).filter(|&l| l < first));
            steps.push(step);
            now = after(&share.problem, now, own);
        }
        for (index, step) in steps.iter().enumerate().skip(first) {
            last_of[step.module.index()] = Some(index);
        }
    }
    let mut either = vec![Vec::new(); steps.len()];
    for (&(before, after), &is_free) in &crossings(problem, &ways) {
        if is_free {
            either[before].push(after);
            either[after].push(before);
        } else {
            steps[after].after.push(before);
        }
    }
    start_all(&mut steps, &either);
    plan_of_steps(problem, steps, heading)
}

/// Gives every step its start: always the one that can begin first. Of two that may be made in either order, the other then waits for it.
fn start_all(steps: &mut [Step], either: &[Vec<usize>]) {
    let mut next_of = vec![Vec::new(); steps.len()];
    let mut missing = vec![0_usize; steps.len()];
    for (index, step) in steps.iter_mut().enumerate() {
        step.after.sort_unstable();
        step.after.dedup();
        step.after.iter().for_each(|&before| next_of[before].push(index));
        missing[index] = step.after.len();
    }
    let ready_s = |steps: &[Step], index: usize| {
        let ends = steps[index].after.iter().map(|&before| steps[before].end_s() + PAUSE_S);
        ends.fold(0.0, f64::max)
    };
    let mut open = LeastFirst::with_capacity(steps.len());
    for index in (0..steps.len()).filter(|&index| missing[index] == 0) {
        open.push([0.0, 0.0], [index as u64, 0], index);
    }
    let mut started = vec![false; steps.len()];
    while let Some(([known_s, _], index)) = open.pop_ranked() {
        let start_s = ready_s(steps, index);
        if start_s > known_s {
            // Others that it meets have begun since.
            open.push([start_s, 0.0], [index as u64, 0], index);
            continue;
        }
        (steps[index].start_s, started[index]) = (start_s, true);
        for &other in either[index].iter().filter(|&&other| !started[other]) {
            steps[other].after.push(index);
        }
        for &next in &next_of[index] {
            missing[next] -= 1;
            if missing[next] == 0 {
                open.push([ready_s(steps, next), 0.0], [next as u64, 0], next);
            }
        }
    }
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

/// The pairs of steps of different crews whose ways come near to each other, in the order of the crews, and whether they may be made in either order.
fn crossings(problem: &Problem, ways: &[Way]) -> IndexMap<(usize, usize), bool> {
    let largest_m = problem.kinds.iter().map(|kind| kind.shell_radius_m).fold(0.0, f64::max);
    let limits = &problem.limits;
    let room_m = ROOM_M.max(limits.clearance_m).max(limits.touch_tol_m);
    let mut grid = Grid::new(2.0 * largest_m);
    let side_m = grid.side_m();
    for (index, way) in ways.iter().enumerate() {
        for part in way.path.in_parts(side_m) {
            grid.insert(part.at(0.5 * part.span()), part.reach_from_middle(), index);
        }
    }
    let mut found: IndexMap<(usize, usize), bool> = IndexMap::new();
    for (index, later) in ways.iter().enumerate() {
        let radius = problem.kind(later.module).shell_radius_m;
        let mut near = Vec::new();
        for part in later.path.in_parts(side_m) {
            let reach_m = part.reach_from_middle() + radius + largest_m + room_m;
            grid.collect(part.at(0.5 * part.span()), reach_m, &mut near);
        }
        near.sort_unstable();
        near.dedup();
        for earlier in near.into_iter().filter(|&other| other < index).map(|other| &ways[other]) {
            let least = radius + problem.kind(earlier.module).shell_radius_m + room_m;
            if earlier.share == later.share || !meet(&earlier.path, &later.path, least) {
                continue;
            }
            let [start, end] = [earlier.path.at(0.0), later.path.at(later.path.span())];
            let is_free = later.path.least_distance_to_point(start).0 >= least
                && earlier.path.least_distance_to_point(end).0 >= least;
            *found.entry((earlier.step, later.step)).or_insert(true) &= is_free;
        }
    }
    found
}

fn meet(a: &Path, b: &Path, least: f64) -> bool {
    let apart = a.at(0.5 * a.span()).distance(b.at(0.5 * b.span()));
    apart - a.reach_from_middle() - b.reach_from_middle() < least && !keep_apart(a, b, least)
}
