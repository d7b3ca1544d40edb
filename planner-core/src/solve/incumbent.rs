//! The best plan so far: timed and checked.

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
    /// Braces and releases, and how few there can be, where they were chosen to be few.
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

/// A timed plan that is still to be checked.
#[derive(Clone, Debug)]
pub(super) struct Candidate {
    plan: Plan,
    holds: Option<(usize, usize)>,
}

/// Why a candidate does not count.
#[derive(Clone, Debug, PartialEq)]
pub(super) enum Refused {
    /// The check was given up.
    Stopped(Stopped),
    /// It does not pass the check.
    Unsound(Box<(Plan, Vec<Finding>)>),
}

impl Candidate {
    /// Its figures, without utilisation and gap.
    pub(super) const fn summary(&self) -> &Summary {
        &self.plan.summary
    }

    /// Has it checked; its utilisations and gaps are those of the check.
    pub(super) fn checked(mut self, problem: &Problem, interrupt: Interrupt<'_>) -> Result<Checked, Refused> {
        let report = check_and_fill_in(problem, &mut self.plan, interrupt).map_err(Refused::Stopped)?;
        let findings = faults(&self.plan, report);
        if findings.is_empty() {
            Ok(Checked { plan: self.plan, holds: self.holds })
        } else {
            Err(Refused::Unsound(Box::new((self.plan, findings))))
        }
    }
}

/// What counts against a plan. That a part of the way does not reach the goal does not.
fn faults(plan: &Plan, report: CheckReport) -> Vec<Finding> {
    let solved = plan.status == Status::Solved;
    let mut found = report.findings;
    found.retain(|finding| solved || finding.rule != Rule::Goal);
    found
}

/// The best plan so far, to which several threads may offer better ones.
#[derive(Debug)]
pub(super) struct Incumbent {
    objective: Objective,
    best: Mutex<Option<Checked>>,
}

impl Incumbent {
    pub(super) fn new(objective: Objective) -> Self {
        Self { objective, best: Mutex::default() }
    }

    /// Takes a plan if it is better than the best so far.
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
