//! One number tried for one question.

use super::question::Question;
use crate::lines_file::Line;
use crate::sort::Sort;
use serde::{Deserialize, Serialize};

pub(super) const POINT_FORMAT: &str = "clamber-envelope/1";

/// What was found for one number.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub(super) enum Answer {
    /// A shape stands, or a checked plan leads there.
    Can,
    /// It is proved that none does.
    Cannot,
    /// Neither was found in the time.
    Unknown,
}

/// A line of the file of points.
#[derive(Clone, Debug, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Point {
    pub(super) format: String,
    /// Digest of the kind, the time for each number, and the version: other ones are other points.
    pub(super) of: String,
    pub(super) question: Question,
    pub(super) modules: usize,
    pub(super) number: f64,
    pub(super) answer: Answer,
    /// The bond used most, the plan, the proof, or what ended the search.
    pub(super) why: String,
    pub(super) wall_s: f64,
}

impl Line for Point {
    const SORT: Sort = Sort::Envelope;
    const ALLOWED: (&'static str, &'static str) =
        ("a point of `clamber envelope` is allowed", "give another folder, or take the line out");

    fn fault(&self) -> Option<String> {
        (self.format != POINT_FORMAT).then(|| format!("format {:?} was found", self.format))
    }
}
