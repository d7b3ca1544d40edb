//! How far a plan has come: plain data that can be written and read back.

use serde::{Deserialize, Serialize};

/// How far a step has come.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum StepState {
    /// It has not begun.
    #[default]
    Waiting,
    /// It is under way, by this share of its move (0 to 1).
    UnderWay(f64),
    /// It has ended as planned.
    Done,
    /// It has stopped for good after this share of its move.
    Stalled(f64),
}

/// A part of a module that can fail.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Part {
    /// The tracks.
    Drive,
    /// The turning of the foot.
    Yaw,
    /// The cup.
    Cup,
    /// All moves of its own.
    All,
}

/// How far a plan has come, and what has failed.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct FollowState {
    /// One for each step of the plan.
    pub steps: Vec<StepState>,
    /// What has failed: the module as an index of the crew, and its part.
    pub lost: Vec<(usize, Part)>,
    /// Whether no further step may start.
    pub halted: bool,
}

/// What has happened.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[serde(tag = "event", rename_all = "snake_case")]
pub enum Event {
    /// A step has begun.
    Started {
        /// Its index.
        step: usize,
    },
    /// A step has come further.
    Share {
        /// Its index.
        step: usize,
        /// The share of its move that is done, 0 to 1.
        share: f64,
    },
    /// A step has ended as planned.
    Ended {
        /// Its index.
        step: usize,
    },
    /// A step has stopped before its end and does not go on.
    Stalled {
        /// Its index.
        step: usize,
        /// The share of its move that is done, 0 to 1.
        share: f64,
    },
    /// A part of a module has failed.
    Lost {
        /// The module, as an index of the crew.
        module: usize,
        /// Its part.
        part: Part,
    },
}

/// What the crew is to do.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(tag = "command", rename_all = "snake_case")]
pub enum Command {
    /// Begin a step.
    Start {
        /// Its index.
        step: usize,
    },
    /// Stop a step where it is, and stay there. Once it stands it is reported as stalled.
    Hold {
        /// Its index.
        step: usize,
    },
    /// Let a step go on to its end: it is not sound to stop within it.
    Finish {
        /// Its index.
        step: usize,
    },
    /// Take a hop or a cross back to the host that it came from, or a stride back to where it began. Once it is back it is reported as stalled, with a share of 0.
    TakeBack {
        /// Its index.
        step: usize,
    },
    /// Evacuate the cup where the module stands: it then holds more.
    Brace {
        /// The module, as an index of the crew.
        module: usize,
    },
}
