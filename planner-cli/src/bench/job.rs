//! The runs of a suite, their order, and which of them a shard makes.

use super::competitor::Competitor;
use super::row::{Ending, PlanFigures, ROW_FORMAT, Row, Work};
use super::suite::LimitsEntry;
use super::suite_read::{Scene, Suite};
use sha2::{Digest, Sha256};
use std::path::Path;

/// One run to make.
#[derive(Clone, Copy)]
pub(crate) struct Job<'a> {
    pub(crate) scene: &'a Scene,
    pub(crate) competitor: &'a Competitor,
    pub(crate) seed: u64,
    pub(crate) repeat: u32,
    pub(crate) limits: LimitsEntry,
}

/// How a run ended.
#[derive(Debug)]
pub(crate) struct Ended {
    pub(crate) status: Ending,
    pub(crate) checked: Option<bool>,
    pub(crate) note: Option<String>,
    pub(crate) signal: Option<i32>,
    pub(crate) exit_code: Option<i32>,
    pub(crate) work: Option<Work>,
    pub(crate) plan: Option<PlanFigures>,
    pub(crate) wall_s: f64,
}

/// What runs the jobs.
#[derive(Clone, Debug)]
pub(crate) struct Runner {
    pub(crate) build: String,
    pub(crate) machine: String,
}

impl Ended {
    pub(crate) fn new(status: Ending, note: Option<String>, wall_s: f64) -> Self {
        Self { status, checked: None, note, signal: None, exit_code: None, work: None, plan: None, wall_s }
    }
}

impl Job<'_> {
    pub(crate) fn row(&self, runner: &Runner, ended: Ended) -> Row {
        let Runner { build, machine } = runner.clone();
        let Ended { status, checked, note, signal, exit_code, work, plan, wall_s } = ended;
        Row {
            format: ROW_FORMAT.into(),
            planner: self.competitor.planner.clone(),
            options: self.competitor.options.clone(),
            scene_sha256: self.scene.sha256.clone(),
            seed: self.seed,
            repeat: self.repeat,
            time_limit_s: self.limits.time_s,
            memory_limit_mib: self.limits.memory_mib,
            threads: self.limits.threads,
            version: env!("CARGO_PKG_VERSION").into(),
            build,
            scene: self.scene.name.clone(),
            machine,
            status,
            checked,
            wall_s,
            note,
            signal,
            exit_code,
            work,
            plan,
        }
    }

    /// The row it would get if nothing was known: for its key and its name.
    pub(crate) fn blank(&self, runner: &Runner) -> Row {
        self.row(runner, Ended::new(Ending::Crashed, None, 0.0))
    }
}

/// All runs of a suite in an order that looks random and is always the same, so that neither a drift of the machine nor a cut into
/// shards falls on one planner or one scene.
pub(crate) fn all<'a>(suite: &'a Suite, runner: &Runner) -> Vec<Job<'a>> {
    let mut jobs = Vec::new();
    for scene in &suite.scenes {
        for competitor in &suite.competitors {
            for &seed in &suite.seeds {
                for repeat in 1..=suite.repeats {
                    jobs.push(Job { scene, competitor, seed, repeat, limits: suite.limits });
                }
            }
        }
    }
    // Not of the build: shards that run on different builds still cut the suite in the same way.
    jobs.sort_by_cached_key(|job| Sha256::digest(job.blank(runner).key_of_any_build().0.as_bytes()));
    jobs
}

/// The first 16 hexadecimal digits of the SHA-256 of a program.
pub(crate) fn build_of(program: &Path) -> std::io::Result<String> {
    let digest = Sha256::digest(std::fs::read(program)?);
    Ok(digest.iter().take(8).map(|byte| format!("{byte:02x}")).collect())
}
