//! A finding: one violated rule of a plan.

use crate::model::{Body, Problem};
use crate::motion::{Fault, Rule};
use std::fmt;

/// A value and the limit it violates, in the unit of the rule.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Figures {
    /// The value found.
    pub value: f64,
    /// The value allowed or expected.
    pub limit: f64,
}

/// A violated rule: which, in which step, when, which bodies, and by how much.
#[derive(Clone, Debug, PartialEq)]
#[non_exhaustive]
pub struct Finding {
    /// The rule.
    pub rule: Rule,
    /// Index of the step; `None` for the plan as a whole.
    pub step: Option<usize>,
    /// Time of the violation, in seconds from the plan's beginning.
    pub at_s: Option<f64>,
    /// Names of the modules and decks involved.
    pub bodies: Vec<String>,
    /// Value and limit, where the rule has numbers.
    pub figures: Option<Figures>,
    /// A sentence without a full stop.
    pub message: String,
}

impl fmt::Display for Finding {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self.step {
            Some(step) => write!(f, "step {step}: {}", self.message),
            None => f.write_str(&self.message),
        }
    }
}

impl Finding {
    /// A finding about a step, or about the whole plan.
    #[must_use]
    pub fn new(rule: Rule, step: Option<usize>, message: String) -> Self {
        Self { rule, step, at_s: None, bodies: Vec::new(), figures: None, message }
    }

    pub(super) fn of_fault(problem: &Problem, fault: &Fault, step: Option<usize>, at_s: f64) -> Self {
        Self {
            rule: fault.rule(),
            step,
            at_s: Some(at_s),
            bodies: fault.bodies().iter().map(|&b| problem.name_of(b).to_owned()).collect(),
            figures: fault.figures().map(|(value, limit)| Figures { value, limit }),
            message: fault.describe(problem),
        }
    }

    pub(super) fn at(mut self, at_s: f64) -> Self {
        self.at_s = Some(at_s);
        self
    }

    pub(super) fn about(mut self, problem: &Problem, bodies: &[Body]) -> Self {
        self.bodies = bodies.iter().map(|&b| problem.name_of(b).to_owned()).collect();
        self
    }

    pub(super) fn with(mut self, value: f64, limit: f64) -> Self {
        self.figures = Some(Figures { value, limit });
        self
    }
}
