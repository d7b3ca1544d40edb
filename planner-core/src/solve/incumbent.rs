//! The incumbent: the best plan so far that is timed and checked.

use crate::check::{CheckReport, Finding, check_and_fill_in};
use crate::control::{Interrupt, Stopped};
use crate::model::Problem;
use crate::motion::Rule;
use crate::plan::{Plan, Status, Summary};
use crate::schedule::{Objective, SideBySide};
use std::sync::{Mutex, PoisonError};

/// A plan that has passed the check.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Checked {
    pub(super) plan: Plan,
    /// The number of braces and releases, and a lower bound on it, where it was minimised.
    pub(super) holds: Option<(usize, usize)>,
}

impl From<Plan> for Candidate {
    fn from(plan: Plan) -> Self {
        Self { plan, holds: None }
    }
}

impl From<SideBySide> for Candidate {
    fn from(timed: SideBySide) -> Self {
        Self { holds: Some((timed.hold_moves, timed.hold_moves_at_least)), plan: timed.plan }
    }
}

/// A timed plan that has not yet been checked.
#[derive(Clone, Debug)]
pub(super) struct Candidate {
    plan: Plan,
    holds: Option<(usize, usize)>,
}

/// Why a candidate is refused.
#[derive(Clone, Debug, PartialEq)]
pub(super) enum Refused {
    /// The check was interrupted.
    Stopped(Stopped),
    /// It does not pass the check.
    Unsound(Box<(Plan, Vec<Finding>)>),
}

impl Candidate {
    /// Its figures, without utilisation and gap.
    pub(super) const fn summary(&self) -> &Summary {
        &self.plan.summary
    }

    /// Checks the plan; its utilisations and gaps are those of the check.
    pub(super) fn checked(mut self, problem: &Problem, interrupt: Interrupt<'_>) -> Result<Checked, Refused> {
        let report = check_and_fill_in(problem, &mut self.plan, interrupt).map_err(Refused::Stopped)?;
        let findings = faults(&self.plan, report);
        if findings.is_empty() {
            if problem.limits.cups_may_fail {
                // The plan tells what bonds use of all that they hold.
                let mut whole = problem.clone();
                whole.limits.cups_may_fail = false;
                check_and_fill_in(&whole, &mut self.plan, interrupt).map_err(Refused::Stopped)?;
            }
            Ok(Checked { plan: self.plan, holds: self.holds })
        } else {
            Err(Refused::Unsound(Box::new((self.plan, findings))))
        }
    }
}

/// The findings that count against a plan. A partial plan need not reach the goal.
fn faults(plan: &Plan, report: CheckReport) -> Vec<Finding> {
    let solved = plan.status == Status::Solved;
    let mut found = report.findings;
    found.retain(|finding| solved || finding.rule != Rule::Goal);
    found
}

/// The best plan so far; several threads may offer better ones.
#[derive(Debug)]
pub(super) struct Incumbent {
    objective: Objective,
    best: Mutex<Option<Checked>>,
}

impl Incumbent {
    pub(super) fn new(objective: Objective) -> Self {
        Self { objective, best: Mutex::default() }
    }

    /// Accepts a plan if it is better than the best so far.
    pub(super) fn offer(&self, checked: Checked) {
        let mut best = self.best.lock().unwrap_or_else(PoisonError::into_inner);
        if best.as_ref().is_none_or(|b| self.objective.prefers(&checked.plan.summary, &b.plan.summary)) {
            *best = Some(checked);
        }
    }

    pub(super) fn makespan_s(&self) -> Option<f64> {
        let best = self.best.lock().unwrap_or_else(PoisonError::into_inner);
        best.as_ref().map(|checked| checked.plan.summary.makespan_s)
    }

    pub(super) fn take(self) -> Option<Checked> {
        self.best.into_inner().unwrap_or_else(PoisonError::into_inner)
    }
}
