//! The arguments of `ground`.

use clamber_ground::{SurveyFormat, Unit};
use clap::builder::{PossibleValuesParser, TypedValueParser};
use clap::{Args, ValueEnum};
use std::path::PathBuf;

/// Arguments of `ground`.
#[derive(Debug, Args)]
#[command(after_help = "\
Example: clamber ground lane.asc -o site.toml --tolerance 0.004 --accuracy 0.001 --foot-radius 0.04 --friction 0.6
         clamber ground scan.stl -o site.toml --unit mm --tolerance 0.005 --accuracy unknown --kind crew.toml --picture site.svg

Reads height grids (ESRI ASCII, .asc), meshes (.stl, .obj, .ply) and point clouds (.ply; .las if built with the feature las). Every plane piece of \
ground, within the tolerance, becomes a deck; what a ball fits becomes a stone; what neither fits is covered by small decks that no foot fits on. \
Where there are no data there is no deck: what lies there is not known.

The scene holds only the ground. Add [kind.NAME], [[module]] and [goal], as `clamber scene new` shows. \
What a survey of shapes cannot tell has to be given: friction, and whether magnets and cups hold.

Lengths are in metres. Exit codes: 0 the scene is written; 1 some surveyed point lies farther from its deck than the tolerance; 2 the survey cannot be used.")]
pub(crate) struct GroundArgs {
    /// The survey: .asc, .stl, .obj, .ply or .las
    pub(crate) survey: PathBuf,
    /// Write the decks and stones to this file
    #[arg(short, long, value_name = "SCENE")]
    pub(crate) output: PathBuf,
    /// How far surveyed points of a deck may lie from its plane
    #[arg(long, value_name = "M", value_parser = length, allow_negative_numbers = true)]
    pub(crate) tolerance: f64,
    /// Accuracy of the survey: 95 % of its points lie within this of the real surface; or `unknown`. It is added to relief and tilt
    #[arg(long, value_name = "M", value_parser = accuracy, allow_negative_numbers = true)]
    pub(crate) accuracy: Accuracy,
    /// Radius of the foot that is to stand there
    #[arg(long, value_name = "M", value_parser = length, allow_negative_numbers = true, required_unless_present = "kind")]
    pub(crate) foot_radius: Option<f64>,
    /// Take the largest foot of this file of kinds, or of this scene
    #[arg(long, value_name = "FILE", conflicts_with = "foot_radius")]
    pub(crate) kind: Option<PathBuf>,
    /// Unit of length in the survey; needed for STL, OBJ and PLY, which do not say it
    #[arg(long, value_name = "UNIT", value_parser = unit_parser())]
    pub(crate) unit: Option<Unit>,
    /// Axis of the survey that points up
    #[arg(long, value_enum, default_value_t = UpWord::Z)]
    pub(crate) up: UpWord,
    /// Place in the survey, in its own unit, that becomes the origin of the scene
    #[arg(long, num_args = 3, value_names = ["X", "Y", "Z"], value_parser = coordinate, allow_negative_numbers = true)]
    pub(crate) origin: Option<Vec<f64>>,
    /// Use only what lies in this rectangle of the scene
    #[arg(long, num_args = 4, value_names = ["X0", "Y0", "X1", "Y1"], value_parser = coordinate, allow_negative_numbers = true)]
    pub(crate) window: Option<Vec<f64>>,
    /// Use only what lies below this height of the scene, to take off a roof
    #[arg(long, value_name = "Z", value_parser = coordinate, allow_negative_numbers = true)]
    pub(crate) ceiling: Option<f64>,
    /// Width of the squares into which points are sorted [default: about nine points in each]; a mesh is then looked at from above, square by square
    #[arg(long, value_name = "M", value_parser = length, allow_negative_numbers = true)]
    pub(crate) cell: Option<f64>,
    /// Friction of the ground at feet and shells; without it the scene has lines to fill in
    #[arg(long, value_name = "MU", value_parser = friction, allow_negative_numbers = true)]
    pub(crate) friction: Option<f64>,
    /// Magnets hold on the ground
    #[arg(long)]
    pub(crate) ferrous: bool,
    /// Cups hold on the ground
    #[arg(long)]
    pub(crate) sealable: bool,
    /// Format of the survey, if the extension of its name does not say it
    #[arg(long, value_name = "FORMAT", value_parser = format_parser())]
    pub(crate) format: Option<SurveyFormat>,
    /// Draw what was fitted as an SVG picture, coloured by residual
    #[arg(long, value_name = "FILE.svg")]
    pub(crate) picture: Option<PathBuf>,
    /// Print JSON instead of text
    #[arg(long)]
    pub(crate) json: bool,
}

/// What is known of a survey's accuracy.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) enum Accuracy {
    Known(f64),
    Unknown,
}

/// The axis that points up.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub(crate) enum UpWord {
    /// z, as in scenes
    Z,
    /// y, as in many meshes
    Y,
}

fn unit_parser() -> impl TypedValueParser<Value = Unit> {
    PossibleValuesParser::new(Unit::ALL.map(|(_, word)| word)).try_map(|word| {
        let known = Unit::ALL.into_iter().find(|(_, name)| *name == word);
        known.map(|(unit, _)| unit).ok_or("no such unit")
    })
}

fn format_parser() -> impl TypedValueParser<Value = SurveyFormat> {
    PossibleValuesParser::new(SurveyFormat::ALL.map(|(_, word)| word))
        .try_map(|word| SurveyFormat::of_ending(&word).ok_or("no such format"))
}

fn length(text: &str) -> Result<f64, String> {
    number(
        text,
        |value| (1e-5..=1e3).contains(&value),
        "a length in metres from 0.00001 to 1000, such as 0.004",
    )
}

fn accuracy(text: &str) -> Result<Accuracy, String> {
    if text == "unknown" {
        return Ok(Accuracy::Unknown);
    }
    let wanted = "a length in metres from 0 to 1, such as 0.001, or `unknown`";
    number(text, |value| (0.0..=1.0).contains(&value), wanted).map(Accuracy::Known)
}

fn coordinate(text: &str) -> Result<f64, String> {
    number(text, |_| true, "a number")
}

fn friction(text: &str) -> Result<f64, String> {
    number(text, |value| (0.0..=10.0).contains(&value), "a friction from 0 to 10, such as 0.6")
}

fn number(text: &str, allowed: impl Fn(f64) -> bool, wanted: &str) -> Result<f64, String> {
    let value = text.parse().ok().filter(|value: &f64| value.is_finite() && allowed(*value));
    value.ok_or_else(|| format!("give {wanted}"))
}
