//! Lines that go out.

use crate::failure::Failure;
use crate::output;
use clamber_core::follow::{Command, Deviation, Finish, Follower, Residual, Settled, StepState, Whereabouts};
use clamber_core::{Body, Finding, ModuleId, Plan, Problem};
use schemars::JsonSchema;
use serde::Serialize;
use serde_json::Value;

/// An answer.
#[derive(Serialize, JsonSchema)]
#[serde(tag = "answer", rename_all = "snake_case")]
pub(crate) enum Answer {
    /// A plan is being followed: the first answer, and the first after a state was read.
    Following {
        /// `clamber-follow/1`.
        format: String,
        /// 0 for the plan that was given, one more for each that took its place.
        plan: usize,
        /// How far each step has come.
        steps: Vec<StepEntry>,
        /// Whether no further step may start.
        halted: bool,
    },
    /// What the crew is to do.
    Command(CommandEntry),
    /// Where the crew is.
    Where(WhereEntry),
    /// The crew is on course.
    GoOn,
    /// Another plan takes the place of the one that was followed.
    Follow {
        /// `refit`, `replan` or `fewer_slots`.
        remedy: String,
        /// What to do first, with steps of the plan that is given up.
        first: Vec<CommandEntry>,
        /// Its number.
        plan: usize,
        /// The plan file; its scenario begins where the crew is.
        file: Value,
    },
    /// There is no plan from here: the crew stays where it is.
    Stop(StopEntry),
    /// How the crew stops.
    Halted(StopEntry),
    /// A line was refused; nothing was changed by it.
    Refused(RefusedEntry),
    /// All steps have ended.
    Done {
        /// Whether the goal of the followed plan is met.
        goal_is_met: bool,
    },
}

/// How far a step has come.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub(crate) enum StepEntry {
    Waiting,
    UnderWay(f64),
    Done,
    Stalled(f64),
}

impl From<StepState> for StepEntry {
    fn from(state: StepState) -> Self {
        match state {
            StepState::Waiting => Self::Waiting,
            StepState::UnderWay(share) => Self::UnderWay(share),
            StepState::Done => Self::Done,
            StepState::Stalled(share) => Self::Stalled(share),
        }
    }
}

/// What the crew is to do.
#[derive(Debug, PartialEq, Serialize, JsonSchema)]
pub(crate) struct CommandEntry {
    /// `start`, `hold` (where it is), `finish` (go on to the end), `take_back` or `brace`.
    command: &'static str,
    /// The step, but for `brace`.
    #[serde(skip_serializing_if = "Option::is_none")]
    step: Option<usize>,
    /// The name of the module.
    module: String,
    /// Its move.
    #[serde(skip_serializing_if = "Option::is_none")]
    r#move: Option<&'static str>,
}

#[derive(Serialize, JsonSchema)]
pub(crate) struct WhereEntry {
    /// Whether every module is within the tube of 2.5 mm and 0.025 rad.
    on_course: bool,
    /// The modules beyond it.
    beyond: Vec<BeyondEntry>,
    /// The nearest configuration that meets the rules exactly.
    poses: Vec<SettledEntry>,
    /// How interrupted hops, crosses and strides should end.
    interrupted: Vec<InterruptedEntry>,
    /// Rules that are not kept at rest, in words.
    unsound: Vec<String>,
}

#[derive(Serialize, JsonSchema)]
struct BeyondEntry {
    module: String,
    /// From where it should be.
    position_m: f64,
    angle_rad: f64,
}

#[derive(Serialize, JsonSchema)]
struct SettledEntry {
    module: String,
    position_m: [f64; 3],
    orientation_xyzw: [f64; 4],
    on: String,
    hold: &'static str,
    /// How far the measured centre is from this.
    residual_m: f64,
    /// How far the measured orientation is turned from this; absent within a hop.
    #[serde(skip_serializing_if = "Option::is_none")]
    residual_rad: Option<f64>,
}

#[derive(Serialize, JsonSchema)]
struct InterruptedEntry {
    module: String,
    on: String,
    /// Whether it goes on, instead of back.
    goes_on: bool,
}

#[derive(Serialize, JsonSchema)]
pub(crate) struct StopEntry {
    /// Whether the check has proven the stop.
    proven: bool,
    /// What the check finds wrong with it.
    findings: Vec<String>,
}

#[derive(Serialize, JsonSchema)]
pub(crate) struct RefusedEntry {
    /// The number of the line on stdin, from 1.
    line: usize,
    /// Absent where the line cannot be true, as a whole.
    #[serde(skip_serializing_if = "Option::is_none")]
    field: Option<String>,
    #[serde(skip_serializing_if = "Option::is_none")]
    found: Option<String>,
    #[serde(skip_serializing_if = "Option::is_none")]
    allowed: Option<String>,
    /// All of it as a sentence.
    message: String,
}

/// What is wrong with a line.
#[derive(Debug, PartialEq)]
pub(crate) enum Refusal {
    /// A field has a value that makes no sense.
    Field { field: String, found: String, allowed: String },
    /// The line makes sense, and cannot be true.
    Whole(String),
}

impl Refusal {
    pub(crate) fn new(field: impl Into<String>, found: impl ToString, allowed: impl Into<String>) -> Self {
        Self::Field { field: field.into(), found: found.to_string(), allowed: allowed.into() }
    }

    pub(crate) fn at(self, line: usize) -> Answer {
        Answer::Refused(match self {
            Self::Field { field, found, allowed } => RefusedEntry {
                message: format!("line {line}, {field}: found {found}; allowed: {allowed}"),
                line,
                field: Some(field),
                found: Some(found),
                allowed: Some(allowed),
            },
            Self::Whole(words) => RefusedEntry {
                message: format!("line {line}: {words}"),
                line,
                field: None,
                found: None,
                allowed: None,
            },
        })
    }
}

impl Answer {
    pub(crate) fn tell(&self) -> Result<(), Failure> {
        output::json_line(self).and_then(|line| output::print(&line))
    }

    pub(crate) fn following(number: usize, follower: &Follower<'_>) -> Self {
        let state = follower.state();
        Self::Following {
            format: "clamber-follow/1".into(),
            plan: number,
            steps: state.steps.iter().map(|step| StepEntry::from(*step)).collect(),
            halted: state.halted,
        }
    }

    pub(crate) fn whereabouts(problem: &Problem, found: &Whereabouts) -> Self {
        let Whereabouts { settled, beyond } = found;
        let beyond_entry = |deviation: &Deviation| BeyondEntry {
            module: problem.module_name(deviation.module).to_owned(),
            position_m: deviation.position_m,
            angle_rad: deviation.angle_rad,
        };
        let interrupted = |end: &Finish| InterruptedEntry {
            module: problem.module_name(end.module).to_owned(),
            on: problem.name_of(end.host).to_owned(),
            goes_on: end.goes_on,
        };
        Self::Where(WhereEntry {
            on_course: beyond.is_empty(),
            beyond: beyond.iter().map(beyond_entry).collect(),
            poses: poses(problem, settled),
            interrupted: settled.hops.iter().map(interrupted).collect(),
            unsound: settled.unsound.clone(),
        })
    }
}

fn poses(problem: &Problem, settled: &Settled) -> Vec<SettledEntry> {
    let entry = |((id, place), residual): ((ModuleId, &clamber_core::Placement), &Residual)| SettledEntry {
        module: problem.module_name(id).to_owned(),
        position_m: place.position.to_array(),
        orientation_xyzw: place.orientation.to_array(),
        on: problem.name_of(place.host).to_owned(),
        hold: place.hold.word(),
        residual_m: residual.position_m,
        residual_rad: residual.angle_rad,
    };
    settled.configuration.iter().zip(&settled.residuals).map(entry).collect()
}

impl StopEntry {
    pub(crate) fn new(findings: &[Finding]) -> Self {
        Self { proven: findings.is_empty(), findings: findings.iter().map(ToString::to_string).collect() }
    }
}

impl CommandEntry {
    pub(crate) fn new(problem: &Problem, plan: &Plan, command: Command) -> Self {
        let of_step = |word, step: usize| {
            let own = &plan.steps[step];
            Self {
                command: word,
                step: Some(step),
                module: problem.name_of(Body::Module(own.module)).to_owned(),
                r#move: Some(own.action.word()),
            }
        };
        match command {
            Command::Start { step } => of_step("start", step),
            Command::Hold { step } => of_step("hold", step),
            Command::Finish { step } => of_step("finish", step),
            Command::TakeBack { step } => of_step("take_back", step),
            Command::Brace { module } => Self {
                command: "brace",
                step: None,
                module: problem.modules[module].name.clone(),
                r#move: None,
            },
        }
    }
}
