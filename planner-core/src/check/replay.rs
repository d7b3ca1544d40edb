//! Replays a plan in the order of time: where everybody is, which moves cannot begin, and which structures there are.

use super::Finding;
use super::crew::{Active, Crew};
use super::gaps::Made;
use super::order::overlap;
use super::report::StepFigures;
use super::structures::{Instant, Structures, at};
use super::timeline::Timeline;
use crate::control::{Interrupt, Stopped};
use crate::math::tolerance;
use crate::model::{Body, Hold, ModuleId, Placement, Problem};
use crate::motion::{
    Fault, Move, Rule, bond_fault, carried, duration_at_s, duration_s, placed_after, sweeps_of,
};
use crate::plan::Plan;

/// A replay, and what it has found.
pub(super) struct Replay<'a> {
    problem: &'a Problem,
    pub(super) plan: &'a Plan,
    pub(super) crew: Crew<'a>,
    pub(super) timeline: Timeline,
    pub(super) structures: Structures<'a>,
    pub(super) figures: Vec<StepFigures>,
    /// The steps that could be begun.
    pub(super) made: Vec<Option<Made>>,
    pub(super) findings: Vec<Finding>,
    /// The instants at which steps begin or end, in seconds.
    pub(super) instants: Vec<f64>,
    /// For each step the numbers of the instants at which it begins and ends.
    pub(super) spans: Vec<(usize, usize)>,
}

impl<'a> Replay<'a> {
    pub(super) fn new(problem: &'a Problem, plan: &'a Plan) -> Self {
        let figures = plan.steps.iter().map(|s| StepFigures {
            duration_s: duration_s(problem, s.module, Hold::Rolling, &s.action),
            ..StepFigures::default()
        });
        let mut instants: Vec<f64> = plan.steps.iter().flat_map(|s| [s.start_s, s.end_s()]).collect();
        instants.sort_by(f64::total_cmp);
        instants.dedup_by(|late, early| *late - *early <= tolerance::TIME_S);
        let number = |at_s: f64| instants.partition_point(|instant| *instant <= at_s).saturating_sub(1);
        let spans = plan.steps.iter().map(|s| (number(s.start_s), number(s.end_s()))).collect();
        let mut crew = Crew::new(problem);
        Self {
            problem,
            plan,
            timeline: Timeline::new(&problem.start),
            structures: Structures::new(problem, &mut crew, instants.len()),
            crew,
            figures: figures.collect(),
            made: vec![None; plan.steps.len()],
            findings: Vec::new(),
            instants,
            spans,
        }
    }

    /// Replays the plan.
    ///
    /// # Errors
    /// When interrupted; the interrupt is polled at every instant.
    pub(super) fn run(&mut self, interrupt: Interrupt<'_>) -> Result<(), Stopped> {
        let mut starting: Vec<Vec<usize>> = vec![Vec::new(); self.instants.len()];
        for (step, (begins, _)) in self.spans.iter().enumerate() {
            starting[*begins].push(step);
        }
        for (number, starting) in starting.iter().enumerate() {
            interrupt.go_on()?;
            let instant = Instant { number, at_s: self.instants[number] };
            let mut changed = self.end_steps(instant);
            for &step in starting {
                self.start_step(step, instant, &mut changed);
            }
            self.settle(instant, &mut changed);
            self.structures.note(at(number) + 1, &self.crew);
        }
        let at_s = self.instants.last().copied().unwrap_or(0.0);
        self.structures.end(&mut self.crew, Instant { number: self.instants.len(), at_s });
        Ok(())
    }

    /// Finds the structures of changed modules anew.
    fn settle(&mut self, instant: Instant, changed: &mut Vec<ModuleId>) {
        if !changed.is_empty() {
            self.structures.change(&mut self.crew, instant, changed);
            changed.clear();
        }
    }

    /// Ends steps; returns the modules whose structures change.
    fn end_steps(&mut self, instant: Instant) -> Vec<ModuleId> {
        let (ended, active): (Vec<Active>, Vec<Active>) =
            std::mem::take(&mut self.crew.active).into_iter().partition(|a| a.ends_at == instant.number);
        // The structures that end here are asked about with these steps still under way.
        self.crew.active = active;
        let mut changed = Vec::new();
        for ended in &ended {
            self.end_step(ended, instant);
            changed.extend(ended.concerned());
        }
        changed
    }

    fn end_step(&mut self, ended: &Active, instant: Instant) {
        self.crew.end(ended);
        for &(member, place) in &ended.end {
            self.timeline.stays(member, instant.at_s, place);
            if let Some(fault) = bond_fault(self.problem, &self.crew.now, member) {
                let finding = Finding::of_fault(self.problem, &fault, Some(ended.step), instant.at_s);
                self.findings.push(finding);
            }
        }
    }

    /// Begins a step; one that takes no time is made at once.
    fn start_step(&mut self, index: usize, instant: Instant, changed: &mut Vec<ModuleId>) {
        let step = &self.plan.steps[index];
        let before = *self.crew.now.get(step.module);
        self.figures[index].duration_s =
            duration_at_s(self.problem, &self.crew.now, step.module, &step.action);
        let (members, hosts) = self.crew.parties(step);
        self.check_alone(index, &members, &hosts);
        let after = match placed_after(self.problem, &self.crew.now, step.module, &step.action) {
            Ok(after) => after,
            Err(error) => {
                let fault = Fault::Cannot { module: step.module, error };
                let finding = Finding::of_fault(self.problem, &fault, Some(index), instant.at_s);
                self.findings.push(finding);
                return;
            }
        };
        let sweeps = sweeps_of(self.problem, &self.crew.now, step.module, &step.action);
        let end = |&module: &ModuleId| match sweeps {
            Some(sweeps) if module != step.module => {
                (module, carried(self.crew.now.get(module), &sweeps.of(module)))
            }
            _ => (module, after),
        };
        let end: Vec<(ModuleId, Placement)> = members.iter().map(end).collect();
        self.figures[index].end = Some(after);
        let ends_at = self.spans[index].1;
        let (from_s, to_s) = (instant.at_s, self.instants[ends_at]);
        self.made[index] = Some(Made {
            module: step.module,
            action: step.action,
            members: members.clone(),
            from_s,
            to_s,
            hosts: [before.host, after.host],
        });
        if let Some(sweeps) = sweeps {
            for &member in &members {
                let place = *self.crew.now.get(member);
                self.timeline.moves(member, (from_s, to_s), place, (index, sweeps.of(member)));
            }
        }
        let active = Active {
            step: index,
            mover: step.module,
            action: step.action,
            duration_s: step.duration_s,
            members,
            hosts,
            sweeps,
            from_s,
            end,
            ends_at,
            known_s: from_s,
        };
        if active.takes_no_time() {
            self.make_at_once(active, instant, changed);
        } else {
            changed.extend(active.concerned());
            self.crew.begin(active);
        }
    }

    fn make_at_once(&mut self, active: Active, instant: Instant, changed: &mut Vec<ModuleId>) {
        self.settle(instant, changed);
        let concerned = active.concerned();
        self.crew.begin(active);
        self.structures.note(at(instant.number), &self.crew);
        self.structures.change(&mut self.crew, instant, &concerned);
        if let Some(made) = self.crew.active.pop() {
            self.end_step(&made, instant);
            // What it was in ends with it.
            self.structures.change(&mut self.crew, instant, &concerned);
        }
    }

    /// Checks that no module takes part in two moves at once, and that no host of a mover moves.
    fn check_alone(&mut self, index: usize, mine: &[ModuleId], my_hosts: &[ModuleId]) {
        let step = &self.plan.steps[index];
        for active in &self.crew.active {
            let (other, theirs) = (active.step, &self.plan.steps[active.step]);
            if !overlap(step, theirs) {
                continue;
            }
            let shared = mine.iter().find(|m| active.members.contains(m));
            let moved_host =
                mine.iter().find(|m| active.hosts.contains(m)).filter(|_| moves_body(&step.action)).or_else(
                    || {
                        active
                            .members
                            .iter()
                            .find(|m| my_hosts.contains(m))
                            .filter(|_| moves_body(&theirs.action))
                    },
                );
            let message = match (shared, moved_host) {
                (Some(&m), _) => {
                    format!("{} takes part in step {other} at the same time", self.problem.module_name(m))
                }
                (None, Some(&m)) => {
                    format!(
                        "{} moves while what stands on it moves too (step {other})",
                        self.problem.module_name(m)
                    )
                }
                (None, None) => continue,
            };
            let finding = Finding::new(Rule::OneMoveAtATime, Some(index), message);
            self.findings.push(finding.about(self.problem, &[Body::Module(step.module)]).at(step.start_s));
        }
    }

    /// The step of the plan that ends first of those that end at an instant.
    pub(super) fn last_ended(&self, number: usize) -> Option<usize> {
        self.spans.iter().position(|(_, ends)| *ends == number)
    }
}

/// Whether a move changes the position or orientation of its module.
const fn moves_body(action: &Move) -> bool {
    action.shakes()
}
