//! One line of a results file: one run, however it ended.

use super::suite::{Settings, called};
use crate::lines_file::Line;
use crate::sort::Sort;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// The word in every row.
pub(crate) const ROW_FORMAT: &str = "clamber-result/1";

/// How a run ended.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub(crate) enum Ending {
    /// There is a plan, within the time, and it passed the check.
    Solved,
    /// The planner says that there is no plan, and gives a certificate.
    ProvedImpossible,
    /// The planner stopped by itself without an answer.
    Unsolved,
    /// No answer within the time, or killed because it did not stop.
    TimeOut,
    /// More memory was asked for than allowed.
    OutOfMemory,
    /// There is a plan, and it did not pass the check: never counted as solved.
    NotSound,
    /// The process ended without an answer.
    Crashed,
    /// The planner refused the scene, such as for an unsound start.
    Refused,
}

impl Ending {
    /// All of them, with their words for people.
    pub(crate) const WORDS: [(Self, &'static str); 8] = [
        (Self::Solved, "solved"),
        (Self::ProvedImpossible, "proved impossible"),
        (Self::Unsolved, "gave up"),
        (Self::TimeOut, "time out"),
        (Self::OutOfMemory, "out of memory"),
        (Self::NotSound, "not sound"),
        (Self::Crashed, "crashed"),
        (Self::Refused, "refused"),
    ];

    /// Its word for people.
    pub(crate) fn word(self) -> &'static str {
        Self::WORDS.iter().find(|(ending, _)| *ending == self).map_or("", |(_, word)| word)
    }
}

/// One run. What was measured (times, memory, machine, and how far an unfinished search came) may differ from one run to the next;
/// everything else follows from the first ten fields after `format`.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub(crate) struct Row {
    /// The format and its version.
    #[schemars(extend("const" = ROW_FORMAT))]
    pub(crate) format: String,
    /// The name of the planner.
    pub(crate) planner: String,
    /// How it was set, where the suite says so.
    pub(crate) options: Settings,
    /// The digest of the scene, as in plan files.
    #[schemars(regex(pattern = r"^[0-9a-f]{64}$"))]
    pub(crate) scene_sha256: String,
    /// The seed.
    pub(crate) seed: u64,
    /// Which of the equal runs, from 1.
    #[schemars(range(min = 1))]
    pub(crate) repeat: u32,
    /// The time limit in seconds.
    pub(crate) time_limit_s: f64,
    /// The memory limit in MiB.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub(crate) memory_limit_mib: Option<u64>,
    /// Threads of the run.
    pub(crate) threads: u16,
    /// The version of clamber.
    pub(crate) version: String,
    /// The first 16 hexadecimal digits of the SHA-256 of the program: two builds of one version are not the same.
    #[schemars(regex(pattern = r"^[0-9a-f]{16}$"))]
    pub(crate) build: String,

    /// The scene's file name without its extension.
    pub(crate) scene: String,
    /// Where it ran: host, system and processors.
    pub(crate) machine: String,
    /// How it ended.
    pub(crate) status: Ending,
    /// Whether the plan passed the check; absent where no plan was offered.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub(crate) checked: Option<bool>,
    /// Whole time of the process in seconds, with start, reading and checking.
    pub(crate) wall_s: f64,
    /// What stopped it, why it is impossible, or its last words.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub(crate) note: Option<String>,
    /// The signal that ended a crashed process.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub(crate) signal: Option<i32>,
    /// The exit code of a crashed process.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub(crate) exit_code: Option<i32>,
    /// What the process measured of itself, unless it did not live to tell.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub(crate) work: Option<Work>,
    /// Figures of the plan as the checker recomputed them, if it passed.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub(crate) plan: Option<PlanFigures>,
}

/// What a run cost.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub(crate) struct Work {
    /// Time to the timed plan, or to the end of the search, in seconds: the time that is compared.
    pub(crate) time_s: f64,
    /// The part of it that the search took, in seconds.
    pub(crate) search_s: f64,
    /// Time of the check, in seconds; not part of `time_s`.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub(crate) check_s: Option<f64>,
    /// Processor time of the process with all its threads, in seconds.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub(crate) cpu_s: Option<f64>,
    /// Most memory that was resident, in MiB.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub(crate) peak_memory_mib: Option<f64>,
    /// Configurations expanded.
    pub(crate) expanded: u64,
    /// Configurations kept.
    pub(crate) kept: u64,
    /// Trips found.
    pub(crate) generated: u64,
}

/// Figures of a plan.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub(crate) struct PlanFigures {
    /// Number of moves.
    pub(crate) moves: usize,
    /// End of the last move, in seconds.
    pub(crate) makespan_s: f64,
    /// Energy in joules.
    pub(crate) energy_j: f64,
    /// Way of all soles, in metres.
    pub(crate) travel_m: f64,
    /// Largest utilisation of any bond at any instant.
    pub(crate) utilisation: f64,
    /// What is left of the utilisation the scene allows: 1 - utilisation x hold factor.
    pub(crate) margin: f64,
    /// Smallest free gap, in metres.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub(crate) gap_m: Option<f64>,
    /// No plan can be shorter than this, in seconds.
    pub(crate) lower_bound_s: f64,
    /// No plan in which nobody is carried can be shorter than this, in seconds; absent where this plan carries somebody.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub(crate) uncarried_bound_s: Option<f64>,
    /// The SHA-256 of the plan file.
    #[schemars(regex(pattern = r"^[0-9a-f]{64}$"))]
    pub(crate) sha256: String,
}

/// What makes two runs the same run, as text that sorts and compares.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub(crate) struct Key(pub(crate) String);

impl Row {
    /// The run it is of.
    pub(crate) fn key(&self) -> Key {
        Key(format!("{} {}", self.key_of_any_build().0, self.build))
    }

    /// The run it is of, whichever build of clamber made it.
    pub(crate) fn key_of_any_build(&self) -> Key {
        let Self { planner, options, scene_sha256, seed, repeat, .. } = self;
        let memory = self.memory_limit_mib.unwrap_or(0);
        let setting = called(planner, options);
        let limits = format!("{}s {memory}MiB {}threads", self.time_limit_s, self.threads);
        Key(format!("{scene_sha256} {setting} {seed} {repeat} {limits} {}", self.version))
    }

    /// The run in words.
    pub(crate) fn called(&self) -> String {
        let repeat = if self.repeat == 1 { String::new() } else { format!(", repeat {}", self.repeat) };
        format!("{}, {}, seed {}{repeat}", self.scene, called(&self.planner, &self.options), self.seed)
    }

    /// Time to a plan that counts, in seconds.
    pub(crate) fn solved_s(&self) -> Option<f64> {
        self.work.filter(|_| self.status == Ending::Solved).map(|work| work.time_s)
    }

    /// The first field that two rows of the same run disagree about, apart from what is measured.
    pub(crate) fn disagreement(&self, other: &Self) -> Option<&'static str> {
        let search = |row: &Self| {
            row.work.filter(|_| row.status == Ending::Solved).map(|w| (w.expanded, w.kept, w.generated))
        };
        [
            ("status", self.status != other.status),
            ("checked", self.checked != other.checked),
            ("plan", self.plan != other.plan),
            ("work", search(self) != search(other)),
        ]
        .into_iter()
        .find_map(|(field, differs)| differs.then_some(field))
    }
}

impl Line for Row {
    const SORT: Sort = Sort::Results;
    const ALLOWED: (&'static str, &'static str) =
        ("a row as in `clamber schema results` is allowed", "give a results file, or take the line out");

    fn fault(&self) -> Option<String> {
        let is_honest = self.status != Ending::Solved
            || (self.checked == Some(true) && self.plan.is_some() && self.work.is_some());
        if self.format != ROW_FORMAT {
            Some(format!("format {:?} was found", self.format))
        } else if !is_honest {
            Some("status \"solved\" was found without a plan that passed the check".into())
        } else {
            None
        }
    }
}
