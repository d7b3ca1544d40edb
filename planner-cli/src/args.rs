//! The arguments of the command line.

mod bench;
mod plan;
mod risk;
mod whatif;

use crate::cautions;
use crate::envelope::EnvelopeArgs;
use crate::follow::FollowArgs;
use crate::ground::GroundArgs;
use crate::rate::RateArgs;
use crate::rehearse::RehearseArgs;
pub(crate) use bench::{BenchArgs, BenchCommand, MergeArgs, ReportArgs};
use clamber_core::unstable::generate::{Family, GroundMaterial, Kinds};
use clap::builder::{PossibleValuesParser, TypedValueParser};
use clap::{Args, Parser, Subcommand, ValueEnum};
pub(crate) use plan::{GoalOf, PlanArgs, Survive};
pub(crate) use risk::RiskArgs;
use std::path::PathBuf;
pub(crate) use whatif::{FailureWord, WhatifArgs};

const ABOUT: &str = "Plans how a crew of ball-shaped magnetic robot modules rearranges itself";

const LONG_ABOUT: &str = "\
Plans how a crew of ball-shaped magnetic robot modules rearranges itself, and checks such plans.

A scene (TOML or JSON) describes the decks, where the modules of the crew stand at the start, and the goal: slots to fill, or a \
deck to gather on. A plan (JSON) holds the scene and the timed moves. All lengths are in metres, \
masses in kilograms, forces in newtons, times in seconds.";

const EXAMPLES: &str = "\
Examples:
  clamber scene new -o culvert.toml           write a scene to begin with, every field explained
  clamber inspect culvert.toml                is the start sound, and how near are its limits?
  clamber plan culvert.toml -o plan.json      search for a plan, check it, write it
  clamber check plan.json                     replay a plan against every rule, at every instant
  clamber whatif plan.json                    what does one failure do to it?
  clamber envelope crew.toml -o cobble        what can crews of this kind do at all?
  clamber risk plan.json --hold-cv 0.1        how likely is it to hold?
  clamber show plan.json -o plan.html         make a page to watch it in a browser
  clamber script plan.json -o scripts         write one move list for each module
  clamber rehearse plan.json --runs 100       what becomes of it when things fail?
  clamber follow plan.json                    carry it out: events in, commands out
  clamber rate pulls.csv -o cobble.toml       rate the holds of a kind from pull tests
  clamber scene climb --seed 7 -o climb.toml  make a scene from a seed, to compare planners
  clamber ground lane.asc -o site.toml --tolerance 0.004 --accuracy 0.001 --foot-radius 0.04
                                              decks and stones from a survey
  clamber bench suite.toml -o results.jsonl   compare planners; then `clamber bench report`
  clamber schema scenario > scene-schema.json   the fields of a scene, for editors

Files:
  A file is replaced only by a file of its own type: a plan by a plan, a scene from a seed by a
  scene from a seed, a picture by a picture, a page by a page. New rows are added to a results
  file. The extension of the name must fit the type. Files are replaced in one step: a reader sees
  the old file or the new one, never a part.

Exit codes:
  0    done: solved, sound, rated
  1    the answer is no: not solved, not sound, not rated
  2    a file cannot be read or written, or an argument is wrong
  130  interrupted twice";

/// The command line.
#[derive(Debug, Parser)]
#[command(name = "clamber", version, about = ABOUT, long_about = LONG_ABOUT, max_term_width = 100)]
#[command(after_help = EXAMPLES, after_long_help = format!("{EXAMPLES}\n\n{}", cautions::FULL))]
#[command(disable_help_subcommand = true)]
pub(crate) struct Cli {
    /// The command.
    #[command(subcommand)]
    pub(crate) command: Command,
}

/// The commands.
#[derive(Debug, Subcommand)]
pub(crate) enum Command {
    /// Examine scenes: their contents, whether the start is sound, and the load on each bond
    Inspect(InspectArgs),
    /// Search for a plan, check it, print it and write it
    Plan(PlanArgs),
    /// Check a plan against every rule, at every instant
    Check(CheckArgs),
    /// Find out what one failure does to a plan: a cup, a bond, a mass, a drive, a touch
    Whatif(WhatifArgs),
    /// Work out the chance that a plan holds, from the scatter of holds, masses and places
    Risk(RiskArgs),
    /// Make one move list for each module from a sound plan
    Script(ScriptArgs),
    /// Follow a plan on real modules: events in on stdin, commands out on stdout
    Follow(FollowArgs),
    /// Let a simulated crew follow a plan while things fail
    Rehearse(RehearseArgs),
    /// Make a scene: a template to begin with, or a scene from a seed to compare planners
    Scene(SceneArgs),
    /// Turn a survey of real ground into decks and stones
    Ground(GroundArgs),
    /// Make a page or a glTF model that shows a plan or a scene
    Show(ShowArgs),
    /// Rate the holds of a kind from pull tests
    Rate(RateArgs),
    /// Find out what crews of a kind can do: walls, gaps, arms, columns, payloads, doorways
    Envelope(EnvelopeArgs),
    /// Print the JSON Schema of scenes, plans, kinds, suites, results, answers or lines of `follow`
    Schema(SchemaArgs),
    /// Compare planners over scenes and seeds, and report the differences
    Bench(BenchArgs),
    /// Print a script that lets a shell complete commands and options
    Completions(CompletionsArgs),
    /// Write a manual page for every command
    Manual(ManualArgs),
    /// One run of `bench`, in a process of its own
    #[command(hide = true)]
    BenchSingle,
}

impl Command {
    /// Whether the answer is wanted as JSON.
    pub(crate) fn wants_json(&self) -> bool {
        match self {
            Self::Inspect(args) => args.json,
            Self::Plan(args) => args.json,
            Self::Check(args) => args.json,
            Self::Whatif(args) => args.json,
            Self::Risk(args) => args.json,
            Self::Script(args) => args.json,
            Self::Follow(args) => args.json,
            Self::Rehearse(args) => args.json,
            Self::Scene(args) => args.json,
            Self::Ground(args) => args.json,
            Self::Show(args) => args.json,
            Self::Rate(args) => args.json,
            Self::Envelope(args) => args.json,
            Self::Schema(args) => args.json,
            Self::Bench(args) => match &args.command {
                None => args.json,
                Some(BenchCommand::Merge(args)) => args.json,
                Some(BenchCommand::Report(args)) => args.json,
            },
            Self::Manual(args) => args.json,
            Self::Completions(_) | Self::BenchSingle => false,
        }
    }
}

/// Arguments of `check`.
#[derive(Debug, Args)]
#[command(after_help = "Example: clamber check plan.json")]
pub(crate) struct CheckArgs {
    /// The plan, JSON; - for stdin
    pub(crate) plan: PathBuf,
    /// Print JSON instead of text
    #[arg(long)]
    pub(crate) json: bool,
}

/// Arguments of `script`.
#[derive(Debug, Args)]
#[command(after_help = "\
Example: clamber script plan.json -o scripts --format jsonl

Every module gets a list, even if it never moves. `step` and `after` are numbers of the plan's steps, counted from 0. \
A step may start when its start time has come and all steps in `after` have ended. `signals` lists the steps that wait for its end. \
If the plan needs no common clock, start times can be ignored.

`slack_s` is how much later a step may start without delaying the end of the plan. `if_stopped` tells the state if this step stops half-way \
while the others go on as far as they do not wait for it: `stands` (sound where it is), `rolling` (sound, in the rolling hold), `between_hosts` (it \
holds, with a weakened foot: finish the hop) or `not_proven`. A stopped crew can resume from any set of ended steps that contains, with each step, \
all steps in its `after`. jsonl lists the smallest such set after each step as `resume`.

File names are the modules' names, with every character except letters, digits, . _ - written as %XX. A spreadsheet would take a name in a \
CSV file that begins with = + - @ as a formula, so such names are refused there. jsonl takes any name.")]
pub(crate) struct ScriptArgs {
    /// The plan, JSON; - for stdin
    pub(crate) plan: PathBuf,
    /// Write one file for each module into this folder
    #[arg(short, long, value_name = "DIR")]
    pub(crate) output: Option<PathBuf>,
    /// Draw a timeline of all modules as an SVG picture
    #[arg(long, value_name = "FILE.svg")]
    pub(crate) timeline: Option<PathBuf>,
    /// Format of the lists
    #[arg(long, value_enum, default_value_t = ScriptFormat::Csv)]
    pub(crate) format: ScriptFormat,
    /// Print one JSON object with all lists and the names of the files written
    #[arg(long)]
    pub(crate) json: bool,
}

/// Format of move lists.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub(crate) enum ScriptFormat {
    /// A table with a header
    Csv,
    /// One JSON object per line and move
    Jsonl,
}

/// Arguments of `inspect`.
#[derive(Debug, Args)]
#[command(after_help = "\
Example: clamber inspect culvert.toml
         clamber inspect culvert.toml --module m3 --map m3.svg

The surface of a module is the set of all places its centre can take while it stands on a host and the other modules stay where they \
are. It has one face for each shell and deck. Faces are joined by the arcs on which the module can hop. Some parts may be out of reach \
because the load forbids the drive.")]
pub(crate) struct InspectArgs {
    /// Scenes, TOML or JSON; - for stdin
    #[arg(required = true)]
    pub(crate) scene: Vec<PathBuf>,
    /// Examine the surface of this module instead: where it can be, which parts it reaches, and why not the others
    #[arg(long, value_name = "NAME")]
    pub(crate) module: Option<String>,
    /// Draw the surface of the module as an SVG map, with one panel for each host
    #[arg(long, value_name = "FILE.svg", requires = "module")]
    pub(crate) map: Option<PathBuf>,
    /// List all resting places of the module, not only the first 20
    #[arg(long, requires = "module")]
    pub(crate) all: bool,
    /// Print one line of JSON for each scene
    #[arg(long)]
    pub(crate) json: bool,
}

/// Which scene to make.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum SceneWord {
    /// One to begin with.
    New,
    /// One from a seed.
    Family(Family),
}

/// Arguments of `scene`.
#[derive(Debug, Args)]
#[command(after_help = "\
Example: clamber scene new -o culvert.toml
         clamber scene climb --modules 6 --seed 42 -o climb.toml
         clamber scene reach --kind random -o reach.toml
         clamber scene fields --modules 256 --ground concrete -o fields.toml

Families for small crews, of 4 to 16 modules: scattered-to-shape, shape-to-shape, climb, cross, reach, rough, and walk (4 to 10 modules, one machine). Families for large crews, of up to 2000 modules of one \
kind, which form shapes of touching balls: fields (piles of four), fields-various (shapes of three to six modules), arch, pyramid, wall, raft, and transport \
(a pyramid or a wall that moves). Modules that a shape has no place for are spare.

Every scene has a sound start. The second line of a scene from a seed says whether its goal is known to be reachable, because the generator \
rehearsed it, or unknown. Large crews are not rehearsed as a whole; in large fields, every shape is rehearsed by itself. The same family and options give the same file.

--ground makes all ground steel, where magnets and cups hold, or bare concrete, where they do not. Large crews stand on steel unless it says otherwise.

--kind cobble is the demo kind, on rectangular decks, of bare concrete in the families for small crews. --kind random draws everything from the seed: the size of the shells \
(radius 20 to 150 mm), the ride clearance (up to 1 mm, or up to 3 mm where all ground is steel), masses, holds, frictions, drives and times; the \
material and the shape of the ground, which can be several decks; and a turn and a shift of the whole scene. --kind mixed draws two kinds for \
one crew. Comments in the file say what was drawn.

A scene from a seed replaces only a scene that has a name of this form: family, modules, seed, kind if it is not cobble, and ground if it was given. So rename a scene when you \
change it. `new` replaces only its own template, and only if that was not changed.")]
pub(crate) struct SceneArgs {
    /// `new` for a template in which every field is explained, or a family of tasks for a scene from a seed
    #[arg(value_name = "NEW_OR_FAMILY", value_parser = scene_parser())]
    pub(crate) what: SceneWord,
    /// Number of modules: 4 to 16, or up to 2000 in families for large crews [default: 6]
    #[arg(long, value_name = "N")]
    pub(crate) modules: Option<u16>,
    /// Seed: another seed gives another scene [default: 1]
    #[arg(long, value_name = "S")]
    pub(crate) seed: Option<u64>,
    /// Kinds of modules: the demo kind, a kind from the seed, or two kinds from the seed [default: cobble]
    #[arg(long, value_name = "KIND", value_parser = kinds_parser())]
    pub(crate) kind: Option<Kinds>,
    /// What all ground is made of [default: steel in the families for large crews, else as the task or the seed has it]
    #[arg(long, value_name = "MATERIAL", value_parser = ground_parser())]
    pub(crate) ground: Option<GroundMaterial>,
    /// Write the scene to this file instead of stdout
    #[arg(short, long, value_name = "SCENE")]
    pub(crate) output: Option<PathBuf>,
    /// Write JSON instead of TOML, without comments
    #[arg(long)]
    pub(crate) json: bool,
}

/// Arguments of `show`.
#[derive(Debug, Args)]
#[command(after_help = "\
Example: clamber show plan.json -o plan.html
         clamber show run.jsonl --part 1 -o run.html
         clamber show culvert.toml -o culvert.html
         clamber show plan.json -o plan.glb

The extension of the output's name decides what is made. .html is one page that needs no network and no server. .glb and .gltf are \
glTF 2.0 models with the plan as animation, for other programs. A plan is checked first. A plan that is not sound is shown with all \
findings, and the exit code is 1.")]
pub(crate) struct ShowArgs {
    /// A plan (JSON), a scene (TOML or JSON), or the log of a run of `rehearse`; - for stdin
    pub(crate) file: PathBuf,
    /// Which part of a run, from 0: each plan that is followed is one
    #[arg(long, value_name = "N", default_value_t = 0)]
    pub(crate) part: usize,
    /// Write this file: .html, .glb or .gltf
    #[arg(short, long, value_name = "FILE")]
    pub(crate) output: PathBuf,
    /// Print JSON instead of text
    #[arg(long)]
    pub(crate) json: bool,
}

/// Arguments of `schema`.
#[derive(Debug, Args)]
#[command(after_help = "Example: clamber schema scenario > scenario-schema.json")]
pub(crate) struct SchemaArgs {
    /// Which type of file
    pub(crate) file: SchemaOf,
    /// Has no effect: a schema is always JSON
    #[arg(long)]
    pub(crate) json: bool,
}

/// Files that have a schema.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub(crate) enum SchemaOf {
    /// A scene
    Scenario,
    /// A plan
    Plan,
    /// A file of kinds that scenes can share
    Kinds,
    /// A suite of `bench`
    Suite,
    /// A line of a results file of `bench`
    Results,
    /// The answer of `whatif --json`
    Whatif,
    /// The answer of `envelope --json`
    Envelope,
    /// The answer of `risk --json`
    Risk,
    /// A line that `follow` reads or writes
    Follow,
}

/// Arguments of `completions`.
#[derive(Debug, Args)]
#[command(after_help = "\
Example: clamber completions bash > ~/.local/share/bash-completion/completions/clamber
         clamber completions zsh > ~/.zfunc/_clamber                       a folder of your $fpath
         clamber completions fish > ~/.config/fish/completions/clamber.fish
         clamber completions powershell >> $PROFILE
         clamber completions elvish >> ~/.config/elvish/rc.elv")]
pub(crate) struct CompletionsArgs {
    /// Which shell
    pub(crate) shell: clap_complete::Shell,
}

/// Arguments of `manual`.
#[derive(Debug, Args)]
#[command(after_help = "Example: clamber manual -o ~/.local/share/man/man1, then: man clamber-plan")]
pub(crate) struct ManualArgs {
    /// Write the pages into this folder, one for each command
    #[arg(short, long, value_name = "DIR")]
    pub(crate) output: PathBuf,
    /// Print JSON instead of text
    #[arg(long)]
    pub(crate) json: bool,
}

fn scene_parser() -> impl TypedValueParser<Value = SceneWord> {
    let words = std::iter::once("new").chain(Family::ALL.map(|(_, name)| name));
    PossibleValuesParser::new(words).try_map(|word| {
        let family = Family::ALL.into_iter().find(|(_, name)| *name == word);
        match family {
            Some((family, _)) => Ok(SceneWord::Family(family)),
            None if word == "new" => Ok(SceneWord::New),
            None => Err("no such family"),
        }
    })
}

fn kinds_parser() -> impl TypedValueParser<Value = Kinds> {
    PossibleValuesParser::new(Kinds::ALL.map(|(_, name)| name)).try_map(|word| {
        let known = Kinds::ALL.into_iter().find(|(_, name)| *name == word);
        known.map(|(kinds, _)| kinds).ok_or("no such kind")
    })
}

fn ground_parser() -> impl TypedValueParser<Value = GroundMaterial> {
    PossibleValuesParser::new(GroundMaterial::ALL.map(|(_, name)| name)).try_map(|word| {
        let known = GroundMaterial::ALL.into_iter().find(|(_, name)| *name == word);
        known.map(|(material, _)| material).ok_or("no such material")
    })
}

pub(crate) fn seconds(text: &str) -> Result<f64, String> {
    number(text, |value| value > 0.0, "a number of seconds above 0, such as 60")
}

fn number(text: &str, allowed: impl Fn(f64) -> bool, wanted: &str) -> Result<f64, String> {
    let value = text.parse().ok().filter(|value: &f64| value.is_finite() && allowed(*value));
    value.ok_or_else(|| format!("give {wanted}"))
}
