//! How a crew that follows a plan stops safely.

use super::Follower;
use crate::check::{Finding, check_rules};
use crate::control::Interrupt;
use crate::follow::state::{Command, StepState};
use crate::model::{Configuration, Hold, ModuleId, Problem};
use crate::motion::{Move, Rule};
use crate::plan::{Plan, Step};

/// How a crew stops safely: who halts, who finishes first, and where it then stands.
#[derive(Clone, Debug, PartialEq)]
pub struct SafeStop {
    /// What to do. Steps that finish do so while the others stand.
    pub commands: Vec<Command>,
    /// The crew once it stands.
    pub configuration: Configuration,
    /// What the check finds wrong with stopping so. Empty: the stop is proven.
    pub findings: Vec<Finding>,
}

impl Follower<'_> {
    /// How the crew stops safely from here.
    ///
    /// Slides and yaws halt where they are. Hops, crosses, strides, braces and releases go on to their ends while the others stand; the check proves it. A hop or
    /// a cross that cannot go on is taken back. What a module can no longer do halts too: a hop whose module is stuck stays an instant of that hop, which
    /// the check proves. Nobody releases, and those that halt brace where a cup holds.
    #[must_use]
    pub fn safe_stop(&self) -> SafeStop {
        let now = self.expected();
        let crew = self.with_lost();
        let halts = |step: usize| {
            let Step { module, action, .. } = self.plan.steps[step];
            halts_anywhere(&action) || !can_end(&crew, module, &action)
        };
        let holds: Vec<usize> = self.under_way().filter(|step| halts(*step)).collect();
        let ending: Vec<usize> = self.under_way().filter(|step| !halts(*step)).collect();
        let hops: Vec<usize> = (0..self.plan.steps.len())
            .filter(|step| self.plan.steps[*step].action.changes_host() && ending.contains(step))
            .collect();
        // What is caught on its way: sound where every instant of its move is.
        let caught = self.caught(&crew);
        let mut first: Option<SafeStop> = None;
        // All hops go on, or else some are taken back, as few as will do.
        let mut ways: Vec<u32> = (0..1_u32 << hops.len().min(MOST_HOPS)).collect();
        ways.sort_by_key(|bits| bits.count_ones());
        for bits in ways {
            let goes_back =
                |step: usize| hops.iter().position(|hop| *hop == step).is_some_and(|at| bits >> at & 1 == 1);
            let on: Vec<usize> = ending.iter().copied().filter(|step| !goes_back(*step)).collect();
            let (configuration, mut findings) = self.stopped(&now, &on);
            if findings.is_empty() && !caught.is_empty() {
                findings = self.caught_findings(&configuration, &caught);
            }
            let mut commands: Vec<Command> = holds.iter().map(|&step| Command::Hold { step }).collect();
            commands.extend(ending.iter().map(|&step| match goes_back(step) {
                true => Command::TakeBack { step },
                false => Command::Finish { step },
            }));
            commands.extend(self.braces(&configuration, &holds));
            let stop = SafeStop { commands, configuration, findings };
            if stop.findings.is_empty() {
                return stop;
            }
            first.get_or_insert(stop);
        }
        // There is always the way in which all go on.
        first.unwrap_or_else(|| {
            let (configuration, findings) = self.stopped(&now, &[]);
            SafeStop { commands: Vec::new(), configuration, findings }
        })
    }

    /// The hops, crosses and strides that have stopped on their way, or whose modules can neither end them nor take them back.
    fn caught(&self, crew: &Problem) -> Vec<usize> {
        let is_caught = |index: &usize| {
            let Step { module, action, .. } = self.plan.steps[*index];
            !halts_anywhere(&action)
                && !matches!(action, Move::Brace | Move::Release)
                && match self.state.steps[*index] {
                    StepState::UnderWay(_) => !can_end(crew, module, &action),
                    StepState::Stalled(share) => share > 0.0,
                    StepState::Waiting | StepState::Done => false,
                }
        };
        self.order.iter().copied().filter(is_caught).collect()
    }

    /// What the check finds wrong with the moves that have stopped on their way.
    pub(in crate::follow) fn caught_findings_here(&self) -> Vec<Finding> {
        let caught = self.caught(&self.with_lost());
        if caught.is_empty() { Vec::new() } else { self.caught_findings(&self.expected(), &caught) }
    }

    /// Whether a move is caught for good: a hop, a cross or a stride has begun, and can neither end nor be taken back.
    pub(in crate::follow) fn is_caught_for_good(&self) -> bool {
        let crew = self.with_lost();
        self.caught(&crew).into_iter().any(|index| {
            let Step { module, action, .. } = self.plan.steps[index];
            !can_end(&crew, module, &action)
        })
    }

    /// What the check finds wrong with hops, crosses and strides, all of their instants, while all others stand.
    fn caught_findings(&self, there: &Configuration, caught: &[usize]) -> Vec<Finding> {
        let mut problem = Problem { start: there.clone(), ..self.with_lost() };
        for &index in caught {
            let Step { module, action, .. } = self.plan.steps[index];
            let planted = match &action {
                Move::Stride { planted, .. } => planted.ids(),
                _ => &[],
            };
            for id in planted.iter().chain([&module]) {
                let module = &mut problem.modules[id.index()];
                (module.stuck, module.lost.drive) = (false, false);
            }
        }
        let alone =
            |index: &usize| Step { start_s: 0.0, after: Vec::new(), ..self.plan.steps[*index].clone() };
        let steps = caught.iter().map(alone).collect();
        self.judged(&problem, steps).1
    }

    /// The crew once some steps have gone on to their ends while all others stand, and what the check finds wrong with it.
    fn stopped(&self, now: &Configuration, on: &[usize]) -> (Configuration, Vec<Finding>) {
        let here = Problem { start: now.clone(), ..self.with_lost() };
        let steps = on.iter().filter_map(|&index| {
            let step = &self.plan.steps[index];
            // The bond of a release has let go already.
            (step.action != Move::Release).then(|| Step { start_s: 0.0, after: Vec::new(), ..step.clone() })
        });
        self.judged(&here, steps.collect())
    }

    /// The crew after some steps, and every rule that they break; no goal is asked for.
    fn judged(&self, here: &Problem, steps: Vec<Step>) -> (Configuration, Vec<Finding>) {
        let plan = Plan { steps, ..self.plan.as_ref().clone() };
        match check_rules(here, &plan, Interrupt::NEVER) {
            Ok(report) => {
                let mut findings = report.findings;
                findings.retain(|finding| finding.rule != Rule::Goal);
                (report.last, findings)
            }
            Err(_) => {
                let words = "stopping so was not checked".to_owned();
                (here.start.clone(), vec![Finding::new(Rule::Move, None, words)])
            }
        }
    }

    /// Braces of modules that halt, where a cup holds them better.
    fn braces(&self, there: &Configuration, holds: &[usize]) -> Vec<Command> {
        let crew = self.with_lost();
        let gains = |module: ModuleId| {
            let place = there.get(module);
            let with = |hold: Hold| crew.adhesion_n(module, place.host, hold);
            place.hold == Hold::Rolling
                && crew.modules[module.index()].can_brace()
                && with(Hold::Braced) > with(Hold::Rolling)
        };
        // A foot between two hosts has nothing to hold on to.
        let stands = holds.iter().filter(|step| halts_anywhere(&self.plan.steps[**step].action));
        let movers = stands.map(|step| self.plan.steps[*step].module);
        movers
            .filter(|module| gains(*module))
            .map(|module| Command::Brace { module: module.index() })
            .collect()
    }
}

/// Whether a move may be halted on its way: in a stride the foot is in the air.
const fn halts_anywhere(action: &Move) -> bool {
    matches!(action, Move::Yaw { .. } | Move::Slide { .. })
}

/// Whether a module can still end a move that it has begun.
fn can_end(crew: &Problem, module: ModuleId, action: &Move) -> bool {
    let module_of = |id: ModuleId| &crew.modules[id.index()];
    let module = module_of(module);
    match action {
        Move::Stride { planted, .. } => planted.ids().iter().all(|&id| module_of(id).can_drive()),
        Move::Brace => module.can_brace(),
        Move::Hop { .. } | Move::Cross { .. } => module.can_drive(),
        Move::Yaw { .. } | Move::Slide { .. } | Move::Release => true,
    }
}

/// Most hops under way for which all ways to end them are tried.
const MOST_HOPS: usize = 6;
