//! Replays a plan, stretch by stretch: first all configurations are computed in order of time, then all stretches and rests are checked in parallel.

use super::claims::{claim_findings, expected_duration_s, summarise};
use super::clearance::Past;
use super::judge::{Look, Verdict, Watched};
use super::order::{order_findings, overlap};
use super::recovery;
use super::{Finding, goal_findings};
use crate::control::{Interrupt, Stopped, uninterrupted};
use crate::math::tolerance;
use crate::model::{Body, Configuration, Hold, ModuleId, Placement, Problem};
use crate::motion::Rule;
use crate::motion::structure_utilisations::StructureUtilisations;
use crate::motion::{Attached, Fault, Move, Stretch, Underway, apply};
use crate::plan::{Plan, Step, Summary};
use rayon::prelude::*;

/// Recomputed figures of one step.
#[derive(Clone, Debug, Default, PartialEq)]
#[non_exhaustive]
pub struct StepFigures {
    /// Duration by the kind's rates, in seconds.
    pub duration_s: f64,
    /// The module's placement at the end; `None` if the move could not begin.
    pub end: Option<Placement>,
    /// Worst utilisation over the step.
    pub utilisation: f64,
    /// Smallest free gap over the step, in metres; `None` where there is none.
    pub gap_m: Option<f64>,
}

/// The result of a check.
#[derive(Clone, Debug, PartialEq)]
#[non_exhaustive]
pub struct CheckReport {
    /// Violated rules, in the order of time where they have one. If empty, the plan is sound.
    pub findings: Vec<Finding>,
    /// Whether the plan could be replayed. If starts and precedences are inconsistent it is not, and the figures below are the plan's own claims.
    pub replayed: bool,
    /// Recomputed figures of each step.
    pub steps: Vec<StepFigures>,
    /// Recomputed summary; the lower bound is the plan's claim.
    pub summary: Summary,
    /// The configuration at the end.
    pub last: Configuration,
}

impl CheckReport {
    /// Whether no rule is violated.
    #[must_use]
    pub fn is_sound(&self) -> bool {
        self.findings.is_empty()
    }

    /// Adds findings where the plan's claims differ from the recomputed figures.
    fn add_claims(&mut self, problem: &Problem, plan: &Plan) {
        if self.replayed {
            let claims = claim_findings(problem, plan, self);
            self.findings.extend(claims);
        }
    }
}

/// Checks a plan against the rules of the model at every instant, and its claims against recomputed figures.
///
/// A plan that violates rules is not an error: each violation is a [`Finding`] of the report. Gaps are exact, and loads are certified over whole
/// intervals; nothing is sampled. Complexity: for each stretch with constant moves, quadratic in the modules for gaps; loads are cone programmes
/// where bodies touch. The report does not depend on the number of threads.
#[must_use]
pub fn check_plan(problem: &Problem, plan: &Plan) -> CheckReport {
    uninterrupted(|interrupt| check(problem, plan, interrupt))
}

/// The same, with an interrupt.
///
/// # Errors
/// When interrupted; the interrupt is polled before every load case of a stretch.
pub fn check(problem: &Problem, plan: &Plan, interrupt: Interrupt<'_>) -> Result<CheckReport, Stopped> {
    let mut report = replayed(problem, plan, interrupt)?;
    report.add_claims(problem, plan);
    Ok(report)
}

/// Checks a plan whose utilisations and gaps are still empty, and writes the computed ones into it.
///
/// Every other claim of the plan is checked. Where the plan is not sound, the written figures are not meaningful.
///
/// # Errors
/// When interrupted, see [`check`].
pub fn check_and_fill_in(
    problem: &Problem,
    plan: &mut Plan,
    interrupt: Interrupt<'_>,
) -> Result<CheckReport, Stopped> {
    let mut report = replayed(problem, plan, interrupt)?;
    if report.replayed {
        for (step, figures) in plan.steps.iter_mut().zip(&report.steps) {
            (step.utilisation, step.gap_m) = (figures.utilisation, figures.gap_m);
        }
        (plan.summary.utilisation, plan.summary.gap_m) = (report.summary.utilisation, report.summary.gap_m);
    }
    report.add_claims(problem, plan);
    for (step, figures) in plan.steps.iter_mut().zip(&report.steps) {
        step.end = figures.end.unwrap_or(step.end);
    }
    Ok(report)
}

/// The findings of a replay, without those about claims.
fn replayed(problem: &Problem, plan: &Plan, interrupt: Interrupt<'_>) -> Result<CheckReport, Stopped> {
    let mut replay = Replay::new(problem, plan);
    replay.findings.extend(order_findings(problem, plan));
    let replayed = replay.findings.is_empty();
    if replayed {
        replay.run(interrupt)?;
        replay.judge(interrupt)?;
    }
    let Replay { mut findings, figures, now, .. } = replay;
    if !replayed {
        return Ok(CheckReport { findings, replayed, steps: figures, summary: plan.summary, last: now });
    }
    findings.extend(goal_findings(problem, &now));
    let summary = summarise(problem, plan, &figures);
    Ok(CheckReport { findings, replayed, steps: figures, summary, last: now })
}

/// The parts of a plan that are looked at, one after the other.
pub(super) fn looks_of<'a>(
    problem: &'a Problem,
    plan: &'a Plan,
    interrupt: Interrupt<'_>,
) -> Result<Vec<Look<'a>>, Stopped> {
    let mut replay = Replay::new(problem, plan);
    if order_findings(problem, plan).is_empty() {
        replay.run(interrupt)?;
    }
    Ok(replay.looks.into_iter().map(|(_, look)| look).collect())
}

/// A step under way.
struct Active<'a> {
    step: usize,
    before: Configuration,
    /// Placements of its group at its end, or at its beginning if it could not begin.
    group_end: Vec<(ModuleId, Placement)>,
    /// The stretches of it that are already passed.
    stretches: Vec<Stretch<'a>>,
}

struct Replay<'a> {
    problem: &'a Problem,
    plan: &'a Plan,
    now: Configuration,
    active: Vec<Active<'a>>,
    figures: Vec<StepFigures>,
    findings: Vec<Finding>,
    /// The parts to check, each with the number of findings before it.
    looks: Vec<(usize, Look<'a>)>,
    /// The steps that have ended; empty where no clearance is asked for.
    history: Vec<Option<Past>>,
    /// The load-bearing structures in these parts, without duplicates.
    loads: StructureUtilisations<'a>,
}

impl<'a> Replay<'a> {
    fn new(problem: &'a Problem, plan: &'a Plan) -> Self {
        let figures = plan
            .steps
            .iter()
            .map(|s| StepFigures {
                duration_s: expected_duration_s(problem, s, Hold::Rolling),
                ..StepFigures::default()
            })
            .collect();
        Self {
            problem,
            plan,
            now: problem.start.clone(),
            active: Vec::new(),
            figures,
            findings: Vec::new(),
            looks: Vec::new(),
            history: plan.steps.iter().map(|_| None).collect(),
            loads: StructureUtilisations::new(problem),
        }
    }

    /// Checks all recorded parts, and inserts the findings in the order of time.
    fn judge(&mut self, interrupt: Interrupt<'_>) -> Result<(), Stopped> {
        let looks = std::mem::take(&mut self.looks);
        let problem = self.problem;
        let stretches = looks.iter().filter_map(|(_, look)| look.parts_under_way());
        let loads = self.loads.work_out(stretches, interrupt)?;
        let limits = recovery::limits(problem, &looks, &self.loads, &loads);
        let verdicts: Result<Vec<Verdict>, Stopped> = looks
            .par_iter()
            .zip(&limits)
            .map(|((_, look), limits)| look.judge(problem, &loads, limits, &self.history, interrupt))
            .collect();
        let mut before = std::mem::take(&mut self.findings).into_iter();
        let mut taken = 0;
        for ((at, look), verdict) in looks.iter().zip(verdicts?) {
            self.findings.extend(before.by_ref().take(at - taken));
            taken = *at;
            for &step in look.steps() {
                let figures = &mut self.figures[step];
                figures.utilisation = figures.utilisation.max(verdict.utilisation);
            }
            for finding in verdict.findings {
                let known = |f: &Finding| f.rule == finding.rule && f.message == finding.message;
                if !(look.is_rest() && self.findings.iter().any(known)) {
                    self.findings.push(finding);
                }
            }
        }
        self.findings.extend(before);
        Ok(())
    }

    /// Records a step that has ended, if the clearance of drives depends on what was before and after.
    fn note_history(&mut self, step: usize, before: &Configuration) {
        if self.problem.limits.clearance_m > 0.0 {
            let past = Past::new(&self.plan.steps[step], before.clone(), self.now.clone());
            self.history[step] = Some(past);
        }
    }

    fn look(&mut self, look: Look<'a>) {
        self.looks.push((self.findings.len(), look));
    }

    /// Replays the plan, and records the parts to check.
    fn run(&mut self, interrupt: Interrupt<'_>) -> Result<(), Stopped> {
        self.check_rest(0.0, None);
        let mut instants: Vec<f64> = self.plan.steps.iter().flat_map(|s| [s.start_s, s.end_s()]).collect();
        instants.sort_by(f64::total_cmp);
        instants.dedup_by(|late, early| *late - *early <= tolerance::TIME_S);
        for (index, &instant) in instants.iter().enumerate() {
            interrupt.go_on()?;
            self.end_steps(instant);
            self.start_steps(instant);
            let next = instants.get(index + 1).copied();
            match next {
                Some(next) if !self.active.is_empty() => self.check_stretch(instant, next),
                _ => self.check_rest(instant, self.last_ended(instant)),
            }
            // Moves too short for a stretch of their own end where they began.
            if next.is_none() {
                self.end_steps(f64::INFINITY);
            }
        }
        self.check_rest(instants.last().copied().unwrap_or(0.0), None);
        Ok(())
    }

    fn last_ended(&self, instant: f64) -> Option<usize> {
        self.plan.steps.iter().position(|s| (s.end_s() - instant).abs() <= tolerance::TIME_S)
    }

    fn check_rest(&mut self, at_s: f64, step: Option<usize>) {
        let crew = self.now.clone();
        let parts = self.loads.want_at_rest(&crew);
        self.look(Look::Rest { crew, parts, at_s, step });
    }

    fn end_steps(&mut self, instant: f64) {
        let plan = self.plan;
        let (ended, active): (Vec<_>, Vec<_>) = std::mem::take(&mut self.active)
            .into_iter()
            .partition(|a| plan.steps[a.step].end_s() <= instant + tolerance::TIME_S);
        self.active = active;
        for &(id, place) in ended.iter().flat_map(|a| &a.group_end) {
            *self.now.get_mut(id) = place;
        }
        // What a step touches at its end may have moved at the same time, so its gaps are known only now.
        for Active { step, before, stretches, .. } in &ended {
            self.note_history(*step, before);
            let Step { module, action, .. } = &plan.steps[*step];
            let attached = Attached::new(self.problem, *module, action, before, &self.now);
            for stretch in stretches {
                self.note_gap(*step, stretch, &attached);
            }
        }
    }

    fn start_steps(&mut self, instant: f64) {
        let starting: Vec<usize> = (0..self.plan.steps.len())
            .filter(|&i| (self.plan.steps[i].start_s - instant).abs() <= tolerance::TIME_S)
            .filter(|&i| self.figures[i].end.is_none() && !self.active.iter().any(|a| a.step == i))
            .collect();
        for index in starting {
            let step = &self.plan.steps[index];
            self.figures[index].duration_s =
                expected_duration_s(self.problem, step, self.now.get(step.module).hold);
            self.check_alone(index);
            let before = self.now.clone();
            match apply(self.problem, &before, step.module, &step.action) {
                Ok(after) => {
                    self.figures[index].end = Some(*after.get(step.module));
                    let members = match step.action {
                        Move::Yaw { .. } | Move::Slide { .. } => before.carried_with(step.module),
                        _ => vec![step.module],
                    };
                    let group_end = members.iter().map(|&m| (m, *after.get(m))).collect();
                    let zero = step.duration_s <= tolerance::TIME_S;
                    let active = Active { step: index, before, group_end, stretches: Vec::new() };
                    if zero {
                        self.check_instant(&active, &after, instant);
                        self.now = after;
                        self.note_history(index, &active.before);
                    } else {
                        self.active.push(active);
                    }
                }
                Err(error) => {
                    let fault = Fault::Cannot { module: step.module, error };
                    self.findings.push(Finding::of_fault(self.problem, &fault, Some(index), instant));
                }
            }
        }
    }

    /// Checks a move of zero duration as a whole.
    fn check_instant(&mut self, active: &Active<'_>, after: &Configuration, instant: f64) {
        let step = &self.plan.steps[active.step];
        let stretch = Stretch::of_move(self.problem, &active.before, step.module, &step.action, after);
        let watched = Watched::new(active.step, &active.group_end);
        let parts = self.want_instant(step, &active.before, after);
        self.look(Look::Stretch {
            stretch: stretch.clone(),
            parts,
            steps: vec![active.step],
            watched: vec![watched],
            from: instant,
            to: instant,
        });
        let attached = Attached::new(self.problem, step.module, &step.action, &active.before, after);
        self.note_gap(active.step, &stretch, &attached);
    }

    /// The load-bearing structures in a move of zero duration.
    fn want_instant(&mut self, step: &Step, before: &Configuration, after: &Configuration) -> Vec<usize> {
        let (mut begin, mut moving, mut hops) = (before.clone(), Vec::new(), Vec::new());
        match step.action {
            Move::Brace | Move::Release => begin.get_mut(step.module).hold = Hold::Rolling,
            Move::Hop { .. } => hops.push((step.module, *after.get(step.module))),
            Move::Yaw { .. } | Move::Slide { .. } => {
                moving.push(Underway { mover: step.module, action: step.action, share: 1.0 });
            }
        }
        self.loads.want(&begin, &moving, &hops)
    }

    /// Checks that no module takes part in two moves at once, and that no host of a mover moves.
    fn check_alone(&mut self, index: usize) {
        let step = &self.plan.steps[index];
        let (mine, my_hosts) = self.parties(step);
        for other in self.active.iter().map(|a| a.step) {
            let theirs = &self.plan.steps[other];
            if !overlap(step, theirs) {
                continue;
            }
            let (taking_part, hosts) = self.parties(theirs);
            let shared = mine.iter().find(|m| taking_part.contains(m));
            let moved_host =
                mine.iter().find(|m| hosts.contains(m)).filter(|_| moves_body(&step.action)).or_else(|| {
                    taking_part.iter().find(|m| my_hosts.contains(m)).filter(|_| moves_body(&theirs.action))
                });
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

    /// The modules that take part in a step, and the hosts below its mover.
    fn parties(&self, step: &Step) -> (Vec<ModuleId>, Vec<ModuleId>) {
        let taking_part = match step.action {
            Move::Yaw { .. } | Move::Slide { .. } => self.now.carried_with(step.module),
            _ => vec![step.module],
        };
        let mut hosts: Vec<ModuleId> = self.now.hosts_below(step.module).filter_map(Body::module).collect();
        if let Move::Hop { to: Body::Module(to) } = step.action {
            hosts.push(to);
            hosts.extend(self.now.hosts_below(to).filter_map(Body::module));
        }
        (taking_part, hosts)
    }

    /// Records the interval from `from` to `to`, in which the moves under way stay the same, and advances to its end.
    fn check_stretch(&mut self, from: f64, to: f64) {
        let mut begin = self.now.clone();
        let mut underway = Vec::new();
        let mut hop_ends = Vec::new();
        for active in &self.active {
            let step = &self.plan.steps[active.step];
            match step.action {
                Move::Brace | Move::Release => begin.get_mut(step.module).hold = Hold::Rolling,
                Move::Hop { .. } => hop_ends.extend(active.group_end.iter().copied()),
                Move::Yaw { .. } | Move::Slide { .. } => {}
            }
            let share = (to - from) / step.duration_s;
            underway.push(Underway { mover: step.module, action: step.action, share });
        }
        let parts = self.loads.want(&begin, &underway, &hop_ends);
        let stretch = Stretch::new(self.problem, begin, &underway, &hop_ends);
        let steps: Vec<usize> = self.active.iter().map(|a| a.step).collect();
        let watched = self.active.iter().map(|a| Watched::new(a.step, &a.group_end)).collect();
        self.look(Look::Stretch { stretch: stretch.clone(), parts, steps, watched, from, to });
        for active in &mut self.active {
            active.stretches.push(stretch.clone());
        }
        let holds = self.now.clone();
        self.now = stretch.at(1.0).with_holds(|id| holds.get(id).hold);
    }

    /// Updates the smallest gap of a step with one stretch.
    fn note_gap(&mut self, step: usize, stretch: &Stretch<'_>, attached: &Attached) {
        let figures = &mut self.figures[step];
        let gap = stretch.smallest_gap(attached).map(|g| g.gap_m);
        figures.gap_m = figures.gap_m.into_iter().chain(gap).reduce(f64::min);
    }
}

/// Whether a move changes the position or orientation of its module.
const fn moves_body(action: &Move) -> bool {
    action.shakes()
}
