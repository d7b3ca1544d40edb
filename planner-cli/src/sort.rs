//! The sorts of files that clamber reads and writes: their endings, and how a file of each is told by its content.

use clamber_core::FileFormat;
use clamber_core::unstable::generate::{Family, GroundMaterial, Kinds as KindsOfScene};
use serde::Deserialize;

/// A sort of file.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Sort {
    Plan,
    /// A scene that somebody wrote; never replaced.
    Scene,
    GeneratedScene(FileFormat),
    /// The template of `scene new`, as it came.
    NewScene(FileFormat),
    /// The ground of a survey, as `ground` writes it.
    SurveyedScene,
    /// Kinds that somebody wrote; never replaced.
    Kinds,
    /// A kind that `rate` wrote.
    RatedKind,
    /// Pull tests; only read.
    Pulls,
    Suite,
    Results,
    /// Points and scenes of `envelope`.
    Envelope,
    /// What `follow` knows.
    FollowState,
    /// The log of a run of `rehearse`.
    Rehearsal,
    /// Moves of one module.
    MoveTable,
    MoveLines,
    /// A table of `bench report`.
    ReportTable,
    ReportText,
    Picture,
    Page,
    TextModel,
    BinaryModel,
    ManualPage,
}

use Sort::{
    BinaryModel, Envelope, FollowState, GeneratedScene, Kinds, ManualPage, MoveLines, MoveTable, NewScene,
    Page, Picture, Plan, Pulls, RatedKind, Rehearsal, ReportTable, ReportText, Results, Scene, Suite,
    SurveyedScene, TextModel,
};

/// The first fields of a file of ours.
#[derive(Deserialize)]
struct Head {
    format: String,
    #[serde(default)]
    name: String,
}

/// What the name of a scene begins with that `ground` made, until somebody renames it.
pub(crate) const SURVEYED: &str = "ground of ";

/// How much of a file is looked at for words that stand at its beginning.
const HEAD_BYTES: usize = 4096;

impl Sort {
    /// What a file is; `None` if it is nothing of ours.
    pub(crate) fn of(content: &[u8]) -> Option<Self> {
        if content.starts_with(b"glTF") {
            return Some(BinaryModel);
        }
        let text = std::str::from_utf8(content).ok()?;
        of_format(text).or_else(|| of_beginning(text)).or_else(|| is_model(text).then_some(TextModel))
    }

    /// The sort in words.
    pub(crate) const fn word(self) -> &'static str {
        match self {
            Plan => "a plan",
            Scene => "a scene",
            GeneratedScene(_) => "a generated scene",
            NewScene(_) => "a new scene",
            SurveyedScene => "the ground of a survey",
            Kinds => "a file of kinds",
            RatedKind => "a rated kind",
            Pulls => "a file of pull tests (CSV)",
            Suite => "a suite",
            Results => "a results file",
            Envelope => "a file of an envelope",
            FollowState => "the state of a plan that is followed",
            Rehearsal => "the log of a rehearsal (JSON lines)",
            MoveTable => "a move list (CSV)",
            MoveLines => "a move list (JSON lines)",
            ReportTable => "a table of a report (CSV)",
            ReportText => "a report (Markdown)",
            Picture => "a picture (SVG)",
            Page => "a page (HTML)",
            TextModel => "a model (glTF)",
            BinaryModel => "a model (binary glTF)",
            ManualPage => "a manual page",
        }
    }

    /// What the name of such a file may end in.
    pub(crate) const fn endings(self) -> &'static [&'static str] {
        match self {
            Plan | FollowState | GeneratedScene(FileFormat::Json) | NewScene(FileFormat::Json) => &["json"],
            Scene | Kinds => &["toml", "json"],
            GeneratedScene(FileFormat::Toml)
            | NewScene(FileFormat::Toml)
            | SurveyedScene
            | Suite
            | RatedKind => &["toml"],
            Results => &["jsonl", "ndjson"],
            Envelope => &["jsonl", "json"],
            MoveLines | Rehearsal => &["jsonl"],
            MoveTable | ReportTable | Pulls => &["csv"],
            ReportText => &["md"],
            Picture => &["svg"],
            Page => &["html", "htm"],
            TextModel => &["gltf"],
            BinaryModel => &["glb"],
            ManualPage => &["1"],
        }
    }

    /// Whether it is a scene of any sort.
    pub(crate) const fn is_scene(self) -> bool {
        matches!(self, Scene | GeneratedScene(_) | NewScene(_) | SurveyedScene | Envelope)
    }
}

/// What a file says of itself in its field `format`.
fn of_format(text: &str) -> Option<Sort> {
    let json = text.trim_start().starts_with('{');
    let notation = if json { FileFormat::Json } else { FileFormat::Toml };
    let head: Option<Head> = if json { head_of_json(text) } else { toml::from_str(text).ok() };
    let Head { format, name } = head.or_else(|| head_of_broken(text))?;
    match format.strip_prefix("clamber-")?.split('/').next()? {
        "plan" => Some(Plan),
        "scenario" if crate::scene_template::is_template(text) => Some(NewScene(notation)),
        "scenario" if is_generated(&name) => Some(GeneratedScene(notation)),
        "scenario" if name.starts_with(SURVEYED) => Some(SurveyedScene),
        "scenario" if crate::envelope::is_scene(&name) => Some(Envelope),
        "scenario" => Some(Scene),
        "kinds" if text.starts_with(crate::rate::KIND_FILE_BEGINS) => Some(RatedKind),
        "kinds" => Some(Kinds),
        "suite" => Some(Suite),
        "result" => Some(Results),
        "envelope" => Some(Envelope),
        "follow-state" => Some(FollowState),
        "rehearsal" => Some(Rehearsal),
        _ => None,
    }
}

/// The first value of a JSON text: all of a file, or the first line of a file of lines.
fn head_of_json(text: &str) -> Option<Head> {
    serde_json::Deserializer::from_str(text).into_iter().next()?.ok()
}

/// The format of a file that cannot be read as a whole: what stands after the first word `format` at the beginning of a line.
fn head_of_broken(text: &str) -> Option<Head> {
    let field = |line: &str| {
        let value = line.trim_start().trim_start_matches(['{', '"']).strip_prefix("format")?;
        let value = value.trim_start_matches('"').trim_start().strip_prefix(['=', ':'])?;
        value.trim_start().strip_prefix('"')?.split('"').next().map(str::to_owned)
    };
    text.lines().find_map(field).map(|format| Head { format, name: String::new() })
}

/// Whether a scene has the name that `scene` gives: family, number of modules, seed, then the kind if it is not the demo's, and the ground if it was
/// asked for.
fn is_generated(name: &str) -> bool {
    let words: Vec<&str> = name.split(' ').collect();
    let [family, modules, seed, further @ ..] = &words[..] else { return false };
    let is_kind = |word: &&str| KindsOfScene::ALL.iter().any(|(_, name)| name == word);
    let is_ground = |word: &&str| GroundMaterial::ALL.iter().any(|(_, name)| name == word);
    Family::ALL.iter().any(|(_, name)| name == family)
        && [modules, seed].iter().all(|word| word.parse::<u64>().is_ok())
        && match further {
            [] => true,
            [word] => is_kind(word) || is_ground(word),
            [kind, ground] => is_kind(kind) && is_ground(ground),
            _ => false,
        }
}

/// Whether a text is a glTF model: it has an `asset` with a version.
fn is_model(text: &str) -> bool {
    #[derive(Deserialize)]
    struct Asset {
        #[serde(rename = "version")]
        _version: String,
    }
    #[derive(Deserialize)]
    struct Model {
        #[serde(rename = "asset")]
        _asset: Asset,
    }
    text.starts_with('{') && serde_json::from_str::<Model>(text).is_ok()
}

/// What a file is by the words it begins with.
fn of_beginning(text: &str) -> Option<Sort> {
    let head = &text[..text.floor_char_boundary(HEAD_BYTES)];
    let begins = |word: &str| head.get(..word.len()).is_some_and(|start| start.eq_ignore_ascii_case(word));
    if begins("<!doctype html") {
        return Some(Page);
    }
    if (begins("<?xml") || begins("<svg")) && head.contains("<svg") {
        return Some(Picture);
    }
    if head.contains("\n.TH clamber") {
        return Some(ManualPage);
    }
    if head.trim_start_matches('\u{feff}').starts_with("# clamber-pulls/") {
        return Some(Pulls);
    }
    if begins("module,step,") {
        return Some(MoveTable);
    }
    if begins("{\"module\":") {
        return Some(MoveLines);
    }
    if ["scene,planner,", "planner,runs,", "first,second,"].into_iter().any(begins) {
        return Some(ReportTable);
    }
    (begins("# ") && head.contains("\n## In short\n")).then_some(ReportText)
}
