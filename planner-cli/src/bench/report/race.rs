//! Rows sorted into a race: who ran what, and which runs all have in common.

use crate::bench::row::{PlanFigures, Row};
use crate::bench::suite::called;
use crate::failure::Failure;
use crate::wording;
use std::collections::{BTreeMap, BTreeSet};

/// Who takes part: planner and setting, and the build if there are two of one.
type Who = (String, Option<(String, String)>);
/// Seed and repeat: runs with the same are compared with each other.
type Round = (u64, u32);
/// A scene by name and digest.
type Scene = (String, String);
type Rounds = BTreeMap<Round, Row>;
type Sorted = BTreeMap<Who, BTreeMap<Scene, Rounds>>;

/// Rows by planner and scene. Every planner has the same runs of every scene, in the same order.
pub(crate) struct Race {
    pub(crate) planners: Vec<String>,
    pub(crate) scenes: Vec<String>,
    /// By planner, scene, and round.
    runs: Vec<Vec<Vec<Row>>>,
    pub(crate) time_limit_s: f64,
    pub(crate) memory_limit_mib: Option<u64>,
    pub(crate) threads: u16,
    /// What a reader should know about the rows.
    pub(crate) remarks: Vec<String>,
}

impl Race {
    pub(crate) fn new(rows: Vec<Row>) -> Result<Self, Failure> {
        let first = with_equal_limits(&rows)?;
        let (time_limit_s, memory_limit_mib, threads) =
            (first.time_limit_s, first.memory_limit_mib, first.threads);
        let two_builds = has_two_builds(&rows);
        let mut remarks = remarks(&rows, two_builds);
        let all = rows.len();
        let mut sorted = sorted(rows, two_builds);
        let common = common(&sorted);
        if common.is_empty() {
            return Err(Failure::unreadable(
                "error: no scene was run by all planners with the same seed; finish the suite first",
            ));
        }
        let runs: Vec<Vec<Vec<Row>>> = sorted.values_mut().map(|scenes| take(scenes, &common)).collect();
        let left_out = all - runs.iter().flatten().map(Vec::len).sum::<usize>();
        if left_out > 0 {
            let runs = wording::count(left_out, "run");
            remarks.push(format!(
                "Not all planners have all runs: {runs} without a counterpart of every planner are left out."
            ));
        }
        let planners = sorted.keys().map(planner_name).collect();
        let scenes = scene_names(&common);
        Ok(Self { planners, scenes, runs, time_limit_s, memory_limit_mib, threads, remarks })
    }

    /// The runs of a planner on a scene.
    pub(crate) fn runs(&self, planner: usize, scene: usize) -> &[Row] {
        &self.runs[planner][scene]
    }

    /// All runs of a planner.
    pub(crate) fn of(&self, planner: usize) -> impl Iterator<Item = &Row> {
        self.runs[planner].iter().flatten()
    }

    pub(crate) fn rows(&self) -> impl Iterator<Item = &Row> {
        self.runs.iter().flatten().flatten()
    }

    /// Plans for a scene, of all planners.
    pub(crate) fn plans(&self, scene: usize) -> impl Iterator<Item = &PlanFigures> {
        self.runs.iter().flat_map(move |scenes| &scenes[scene]).filter_map(|row| row.plan.as_ref())
    }

    /// Mean over the runs of a planner on a scene.
    pub(crate) fn mean(&self, planner: usize, scene: usize, of: impl Fn(&Row) -> f64) -> f64 {
        let runs = self.runs(planner, scene);
        runs.iter().map(of).sum::<f64>() / runs.len() as f64
    }
}

/// Any row, if all of them were made with the same limits.
fn with_equal_limits(rows: &[Row]) -> Result<&Row, Failure> {
    let Some(first) = rows.first() else {
        return Err(Failure::unreadable(
            "error: there are no rows; run `clamber bench SUITE -o RESULTS` first",
        ));
    };
    let words = |row: &Row| {
        let memory = row.memory_limit_mib.map_or("no memory limit".into(), |mib| format!("{mib} MiB"));
        format!("{} s, {memory}, {}", row.time_limit_s, wording::count(row.threads.into(), "thread"))
    };
    match rows.iter().map(words).find(|other| *other != words(first)) {
        None => Ok(first),
        Some(other) => Err(Failure::unreadable(format!(
            "error: runs with different limits are no fair race: {} and {other}; report them apart",
            words(first)
        ))),
    }
}

/// What a reader should know about where the rows come from.
fn remarks(rows: &[Row], two_builds: bool) -> Vec<String> {
    let count = |of: fn(&Row) -> &String| rows.iter().map(of).collect::<BTreeSet<_>>().len();
    let (builds, machines) = (count(|row| &row.build), count(|row| &row.machine));
    let mut remarks = Vec::new();
    if builds > 1 && !two_builds {
        remarks.push(format!("The runs were made by {builds} builds of clamber."));
    }
    if machines > 1 {
        remarks.push(format!(
            "The runs were made on {machines} machines: times are as comparable as these are alike."
        ));
    }
    remarks
}

/// Whether some run was made by two builds: then they are compared like two planners.
fn has_two_builds(rows: &[Row]) -> bool {
    let mut builds = BTreeMap::new();
    rows.iter().any(|row| {
        let run = (called(&row.planner, &row.options), &row.scene_sha256, row.seed, row.repeat);
        builds.insert(run, &row.build).is_some_and(|build| *build != row.build)
    })
}

fn sorted(rows: Vec<Row>, two_builds: bool) -> Sorted {
    let mut sorted = Sorted::new();
    for row in rows {
        let build = two_builds.then(|| (row.version.clone(), row.build.clone()));
        let who = (called(&row.planner, &row.options), build);
        let scene = (row.scene.clone(), row.scene_sha256.clone());
        sorted.entry(who).or_default().entry(scene).or_default().insert((row.seed, row.repeat), row);
    }
    sorted
}

fn planner_name((name, build): &Who) -> String {
    match build {
        Some((version, build)) => format!("{name} [{version} {}]", start(build)),
        None => name.clone(),
    }
}

/// Names of scenes, with the start of the digest where two have one name.
fn scene_names(common: &BTreeMap<Scene, Vec<Round>>) -> Vec<String> {
    let name = |(name, digest): &Scene| {
        let twice = common.keys().filter(|(other, _)| other == name).count() > 1;
        if twice { format!("{name} ({})", start(digest)) } else { name.clone() }
    };
    common.keys().map(name).collect()
}

/// The first eight digits of a digest.
fn start(digest: &str) -> &str {
    digest.get(..8).unwrap_or(digest)
}

/// Scenes and rounds that every planner has.
fn common(sorted: &Sorted) -> BTreeMap<Scene, Vec<Round>> {
    let Some(first) = sorted.values().next() else { return BTreeMap::new() };
    let everywhere = |scene: &Scene, round: &Round| {
        sorted.values().all(|scenes| scenes.get(scene).is_some_and(|rounds| rounds.contains_key(round)))
    };
    let rounds = |(scene, rounds): (&Scene, &Rounds)| {
        let rounds: Vec<Round> = rounds.keys().filter(|round| everywhere(scene, round)).copied().collect();
        (!rounds.is_empty()).then(|| (scene.clone(), rounds))
    };
    first.iter().filter_map(rounds).collect()
}

fn take(scenes: &mut BTreeMap<Scene, Rounds>, common: &BTreeMap<Scene, Vec<Round>>) -> Vec<Vec<Row>> {
    let rows = |(scene, rounds): (&Scene, &Vec<Round>)| {
        let mut of_scene = scenes.remove(scene).unwrap_or_default();
        rounds.iter().filter_map(|round| of_scene.remove(round)).collect()
    };
    common.iter().map(rows).collect()
}
