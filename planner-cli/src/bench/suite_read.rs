//! A suite file in: read, checked, with all its scenes.

use super::competitor::Competitor;
use super::suite::{CompetitorEntry, LimitsEntry, SUITE_FORMAT, SuiteFile};
use super::suite_text::SuiteText;
use crate::failure::Failure;
use crate::files;
use crate::scene_file::{self, SceneFile};
use clamber_core::{FileFormat, Strategy, scenario_sha256, write_scenario};
use std::path::{Path, PathBuf};

/// A suite with everything that its runs need.
pub(crate) struct Suite {
    pub(crate) name: String,
    pub(crate) scenes: Vec<Scene>,
    pub(crate) competitors: Vec<Competitor>,
    pub(crate) seeds: Vec<u64>,
    pub(crate) repeats: u32,
    pub(crate) limits: LimitsEntry,
}

/// A scene of a suite.
pub(crate) struct Scene {
    /// Its file name without the extension.
    pub(crate) name: String,
    pub(crate) sha256: String,
    /// All of it as JSON, so that a run does not depend on the file any more.
    pub(crate) json: String,
}

/// Reads a suite and its scenes.
pub(crate) fn read(path: &Path) -> Result<Suite, Failure> {
    let name = files::name(path);
    let text = files::read_text(path)?;
    let mut suite_text = SuiteText::new(&name, &text);
    let Some(file) = suite_text.parse() else { return Err(suite_text.failure()) };
    check_ranges(&file, &mut suite_text);
    let competitors = competitors(&file, &mut suite_text);
    let folder = path.parent().unwrap_or(Path::new("."));
    let paths = scene_paths(&file, folder, &mut suite_text);
    if !suite_text.is_clean() {
        return Err(suite_text.failure());
    }
    let mut scenes: Vec<Scene> = Vec::new();
    for path in paths {
        let scene = read_scene(&path)?;
        if let Some(twin) = scenes.iter().find(|twin| twin.sha256 == scene.sha256 || twin.name == scene.name)
        {
            let same = if twin.sha256 == scene.sha256 { "are the same scene" } else { "have the same name" };
            let (a, b) = (&twin.name, path.display());
            return Err(Failure::unreadable(format!(
                "error: {name}: scenes: {a} and {b} {same}; a suite has each scene once, each with a file name of its own"
            )));
        }
        scenes.push(scene);
    }
    let SuiteFile { name, seeds, repeats, limits, .. } = file;
    Ok(Suite { name, scenes, competitors, seeds, repeats, limits })
}

fn check_ranges(file: &SuiteFile, text: &mut SuiteText<'_>) {
    let limits = &file.limits;
    if file.format != SUITE_FORMAT {
        text.refuse(
            &["format"],
            format!("{:?} was found", file.format),
            format!("{SUITE_FORMAT:?} is allowed"),
            "give a suite",
        );
    }
    text.range(&["repeats"], f64::from(file.repeats), 1.0, 1000.0);
    text.range(&["limits", "time_s"], limits.time_s, 0.001, 1e6);
    text.range(&["limits", "grace_s"], limits.grace_s, 0.1, 1e6);
    text.range(&["limits", "threads"], f64::from(limits.threads), 1.0, 1024.0);
    if let Some(mib) = limits.memory_mib {
        text.range(&["limits", "memory_mib"], mib as f64, 16.0, f64::from(1 << 24));
        if !super::limits::MEMORY_IS_LIMITED {
            let found = "this system keeps no such limit".into();
            text.refuse(&["limits", "memory_mib"], found, "Linux does".into(), "leave it out here");
        }
    }
    for (index, seed) in file.seeds.iter().enumerate() {
        if file.seeds[..index].contains(seed) {
            let found = format!("{seed} was found twice");
            text.refuse(
                &["seeds", &index.to_string()],
                found,
                "each seed once is allowed".into(),
                "take one out; `repeats` makes equal runs",
            );
        }
    }
    if file.seeds.is_empty() {
        text.refuse(
            &["seeds"],
            "an empty list was found".into(),
            "at least one is allowed".into(),
            "write seeds = [1]",
        );
    }
}

fn competitors(file: &SuiteFile, text: &mut SuiteText<'_>) -> Vec<Competitor> {
    let default =
        |(_, name): (Strategy, &str)| CompetitorEntry { name: name.into(), options: Default::default() };
    let all: Vec<CompetitorEntry> = Strategy::all().into_iter().map(default).collect();
    let entries = if file.planner.is_empty() { &all } else { &file.planner };
    let mut competitors: Vec<Competitor> = Vec::new();
    for (index, entry) in entries.iter().enumerate() {
        let place = index.to_string();
        match Competitor::new(entry) {
            Ok(competitor) if competitors.contains(&competitor) => text.refuse(
                &["planner", &place],
                format!("{} was found twice", competitor.called()),
                "each planner once for each setting is allowed".into(),
                "take one out, or set it differently",
            ),
            Ok(competitor) => competitors.push(competitor),
            Err(problem) => text.refuse(
                &["planner", &place, problem.field],
                problem.found,
                problem.allowed,
                "mend it, or see `clamber plan --help`",
            ),
        }
    }
    competitors
}

/// The scene files in the order of the suite, those of one pattern in the order of their names.
fn scene_paths(file: &SuiteFile, folder: &Path, text: &mut SuiteText<'_>) -> Vec<PathBuf> {
    let mut paths: Vec<PathBuf> = Vec::new();
    // What is special in the folder's own name is meant as it stands.
    let base = glob::Pattern::escape(&folder.to_string_lossy());
    for (index, pattern) in file.scenes.iter().enumerate() {
        let whole = if base.is_empty() || Path::new(pattern).is_absolute() {
            pattern.clone()
        } else {
            format!("{base}/{pattern}")
        };
        let found: Vec<PathBuf> =
            glob::glob(&whole).into_iter().flatten().flatten().filter(|path| path.is_file()).collect();
        if found.is_empty() {
            text.refuse(
                &["scenes", &index.to_string()],
                format!("{pattern:?} matches no file"),
                "scene files, seen from the folder of the suite, are allowed".into(),
                "check the name and the folder",
            );
        }
        for path in found {
            if !paths.contains(&path) {
                paths.push(path);
            }
        }
    }
    if file.scenes.is_empty() {
        text.refuse(
            &["scenes"],
            "an empty list was found".into(),
            "at least one is allowed".into(),
            "name scene files",
        );
    }
    paths
}

fn read_scene(path: &Path) -> Result<Scene, Failure> {
    let SceneFile { file, scenario, .. } = scene_file::read(path)?;
    let json = write_scenario(&scenario, FileFormat::Json).map_err(|error| {
        Failure::not_sound(format!("internal error: {file}: {error}; please report this with the scene"))
    })?;
    let name = path.file_stem().unwrap_or_default().to_string_lossy().into_owned();
    Ok(Scene { name, sha256: scenario_sha256(&scenario), json })
}
