//! Where the time of a plan goes: a critical path, the waits along it, why each has to be, and what it costs.

use super::drive_sequence::DriveSequence;
use super::{Network, PAUSE_S};
use crate::model::{ModuleId, Problem};
use crate::motion::Move;
use crate::plan::{Plan, Step};

/// Why one step waits for another.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
#[non_exhaustive]
pub enum WaitReason {
    /// A module takes part in both, or one moves a host of the other.
    Host,
    /// Their paths come too near to each other.
    Paths,
    /// A bond or a touch would not carry if both were under way, or in the other order.
    Load,
}

/// A wait of one module for another on the critical path.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct CriticalWait {
    /// The step that waits, by its index in the plan.
    pub step: usize,
    /// The step that it waits for.
    pub waits_for: usize,
    /// Why it has to.
    pub reason: WaitReason,
    /// How much sooner the plan would end without this wait, in seconds: with the same moves, all other waits, and no look at whether it would be sound.
    pub costs_s: f64,
}

/// Where the time of a plan goes.
#[derive(Clone, Debug, PartialEq)]
pub struct TimeUse {
    /// The steps of one critical path, the first first, by their indices in the plan.
    pub path: Vec<usize>,
    /// The waits of one module for another along it, the most expensive first.
    pub waits: Vec<CriticalWait>,
}

impl TimeUse {
    /// Of a plan whose steps can be made in the order of their starts; `None` otherwise.
    ///
    /// Complexity: one pass over all precedences for each wait on the path, and one test of paths for each pair of steps.
    #[must_use]
    pub fn of(problem: &Problem, plan: &Plan) -> Option<Self> {
        let network = Network::of_plan(plan)?;
        let path = path(plan, &network);
        let reasons = Reasons::new(problem, plan)?;
        let pairs = path.windows(2).map(|pair| (pair[1], pair[0]));
        let others =
            pairs.filter(|&(step, waits_for)| plan.steps[step].module != plan.steps[waits_for].module);
        let mut waits: Vec<CriticalWait> = others
            .filter_map(|(step, waits_for)| {
                let costs_s = network.makespan_s - makespan_without_s(plan, step, waits_for)?;
                Some(CriticalWait { step, waits_for, reason: reasons.of(step, waits_for), costs_s })
            })
            .collect();
        waits.sort_by(|a, b| b.costs_s.total_cmp(&a.costs_s).then(a.step.cmp(&b.step)));
        Some(Self { path, waits })
    }
}

/// The steps of a critical path, the first first: from the step that ends last, always the one that it waits for longest.
fn path(plan: &Plan, network: &Network) -> Vec<usize> {
    let end_s = |&step: &usize| network.earliest_s[step] + plan.steps[step].duration_s;
    let latest = |steps: &mut dyn Iterator<Item = usize>| steps.max_by(|a, b| end_s(a).total_cmp(&end_s(b)));
    let mut path = Vec::new();
    let mut next = latest(&mut (0..plan.steps.len()));
    while let Some(step) = next {
        path.push(step);
        next = latest(&mut plan.steps[step].after.iter().copied());
    }
    path.reverse();
    path
}

/// The makespan if a step did not wait for another.
fn makespan_without_s(plan: &Plan, step: usize, waits_for: usize) -> Option<f64> {
    let durations_s: Vec<f64> = plan.steps.iter().map(|step| step.duration_s).collect();
    let mut after: Vec<Vec<usize>> = plan.steps.iter().map(|step| step.after.clone()).collect();
    after[step].retain(|&before| before != waits_for);
    // What the other waits for stays before it.
    let inherited = after[waits_for].clone();
    after[step].extend(inherited);
    Network::new(&durations_s, &after, PAUSE_S).map(|network| network.makespan_s)
}

/// Tells why steps wait for each other.
struct Reasons<'a> {
    plan: &'a Plan,
    course: DriveSequence<'a>,
    /// For each step its index among the drives; `None` for a brace or a release.
    drives: Vec<Option<usize>>,
}

impl<'a> Reasons<'a> {
    fn new(problem: &'a Problem, plan: &'a Plan) -> Option<Self> {
        let mut order: Vec<(usize, &Step)> = plan.steps.iter().enumerate().collect();
        order.sort_by(|(_, a), (_, b)| a.start_s.total_cmp(&b.start_s));
        let moves: Vec<(ModuleId, Move)> = order.iter().map(|(_, step)| (step.module, step.action)).collect();
        let course = DriveSequence::new(problem, &moves).ok()?;
        let mut drives = vec![None; plan.steps.len()];
        let shaking = order.iter().filter(|(_, step)| step.action.shakes());
        for (drive, (step, _)) in shaking.enumerate() {
            drives[*step] = Some(drive);
        }
        Some(Self { plan, course, drives })
    }

    fn of(&self, step: usize, waits_for: usize) -> WaitReason {
        let takes_part = |drive: usize, other: usize| {
            self.course.drives[drive].members.contains(&self.plan.steps[other].module)
        };
        match (self.drives[step], self.drives[waits_for]) {
            (Some(a), Some(b)) if self.course.keep_order(a, b) => WaitReason::Host,
            (Some(a), Some(b)) if self.course.collide(a, b) => WaitReason::Paths,
            (Some(drive), None) if takes_part(drive, waits_for) => WaitReason::Host,
            (None, Some(drive)) if takes_part(drive, step) => WaitReason::Host,
            _ => WaitReason::Load,
        }
    }
}
