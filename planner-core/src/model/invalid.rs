//! What is wrong with values that were made in code.

use crate::control::Stopped;
use std::fmt;
use std::ops::{Bound, RangeBounds};

/// A value that makes no sense.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct InvalidValue {
    /// What it belongs to, such as `module m3`, `kind cobble` or `step 4`.
    pub of: String,
    /// Its field.
    pub field: String,
    /// What was found.
    pub found: String,
    /// What is allowed.
    pub allowed: String,
}

impl fmt::Display for InvalidValue {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let Self { of, field, found, allowed } = self;
        write!(f, "{of}: {field}: {found} was found; {allowed} is allowed")
    }
}

/// All values of a problem or a plan that make no sense. Never empty.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub struct Invalid {
    /// The values, in the order of the problem or plan.
    pub values: Vec<InvalidValue>,
}

impl fmt::Display for Invalid {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        for (index, value) in self.values.iter().enumerate() {
            if index > 0 {
                writeln!(f)?;
            }
            value.fmt(f)?;
        }
        Ok(())
    }
}

/// Why a question about a problem has no answer.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum Unanswered {
    /// A value makes no sense.
    #[error(transparent)]
    Invalid(#[from] Invalid),
    /// The caller stopped it.
    #[error("it was stopped")]
    Stopped(Stopped),
}

impl From<Stopped> for Unanswered {
    fn from(stopped: Stopped) -> Self {
        Self::Stopped(stopped)
    }
}

/// An error unless there is none.
pub(crate) fn finish(values: Vec<InvalidValue>) -> Result<(), Invalid> {
    if values.is_empty() { Ok(()) } else { Err(Invalid { values }) }
}

/// The numbers that a field may have.
pub(crate) type Allowed = (Bound<f64>, Bound<f64>);

/// All numbers from one to another.
pub(crate) const fn from_to(least: f64, most: f64) -> Allowed {
    (Bound::Included(least), Bound::Included(most))
}

/// Collects the values of one thing that make no sense.
pub(crate) struct Faults<'a> {
    list: &'a mut Vec<InvalidValue>,
    of: String,
}

impl<'a> Faults<'a> {
    pub(crate) const fn of(list: &'a mut Vec<InvalidValue>, of: String) -> Self {
        Self { list, of }
    }

    pub(crate) fn add(&mut self, field: &str, found: impl Into<String>, allowed: impl Into<String>) {
        let (of, field) = (self.of.clone(), field.to_owned());
        self.list.push(InvalidValue { of, field, found: found.into(), allowed: allowed.into() });
    }

    /// A number in a range.
    pub(crate) fn number(&mut self, field: &str, value: f64, allowed: Allowed) {
        if !allowed.contains(&value) {
            self.add(field, value.to_string(), described(allowed));
        }
    }

    /// Numbers that must be finite.
    pub(crate) fn finite(&mut self, field: &str, values: &[f64]) {
        if let Some(value) = values.iter().find(|value| !value.is_finite()) {
            self.add(field, value.to_string(), "a finite number");
        }
    }

    /// The index of one of `count` things.
    pub(crate) fn index(&mut self, field: &str, index: usize, count: usize, what: &str) -> bool {
        if index >= count {
            self.add(field, format!("{what} {index}"), format!("an index below {count}"));
        }
        index < count
    }
}

fn described((least, most): Allowed) -> String {
    let least = match least {
        Bound::Included(least) => format!("from {least}"),
        Bound::Excluded(least) => format!("above {least}"),
        Bound::Unbounded => String::new(),
    };
    let most = match most {
        Bound::Included(most) => format!("up to {most}"),
        Bound::Excluded(most) => format!("below {most}"),
        Bound::Unbounded => String::new(),
    };
    format!("a number {least} {most}")
}
