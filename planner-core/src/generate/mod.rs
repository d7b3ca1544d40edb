//! Families of random scenes from a seed, for measuring planners on many scenes.
//!
//! Every scene is sound at its start, and its goal was rehearsed: the generator itself moves the crew there, trip by trip, along ways of its own
//! choice. Where a rehearsal fails, the scene says that it is unknown whether it can be solved. The same family and options give the same bytes.

mod climb;
mod cross;
mod draft;
mod frame;
mod ground;
mod kinds;
mod reach;
mod rehearsal;
mod rounding;
mod setting;
mod shapes;

pub use crate::math::SplitMix64;

use crate::scene::{Scenario, WriteError};
use setting::Setting;

/// The task of a scene.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Family {
    /// Modules scattered on the ground form a shape.
    ScatteredToShape,
    /// One shape becomes another.
    ShapeToShape,
    /// Some modules get onto a higher deck; the others help.
    Climb,
    /// The modules cross a gap between two decks.
    Cross,
    /// An arm reaches out from the edge of a steel landing.
    Reach,
}

impl Family {
    /// All families with their names.
    pub const ALL: [(Self, &'static str); 5] = [
        (Self::ScatteredToShape, "scattered-to-shape"),
        (Self::ShapeToShape, "shape-to-shape"),
        (Self::Climb, "climb"),
        (Self::Cross, "cross"),
        (Self::Reach, "reach"),
    ];

    /// The name in files and on the command line.
    #[must_use]
    pub fn name(self) -> &'static str {
        Self::ALL.into_iter().find_map(|(family, name)| (family == self).then_some(name)).unwrap_or_default()
    }
}

/// The kinds of a crew, with the ground and the place in the world that go with them.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Kinds {
    /// The demo kind, on rectangular decks of bare concrete along the axes.
    #[default]
    Cobble,
    /// A kind drawn from the seed, on decks of drawn material and shape, the whole scene turned and shifted.
    Random,
    /// The same with two kinds in one crew.
    Mixed,
}

impl Kinds {
    /// All of them with their names.
    pub const ALL: [(Self, &'static str); 3] =
        [(Self::Cobble, "cobble"), (Self::Random, "random"), (Self::Mixed, "mixed")];

    /// The name in files and on the command line.
    #[must_use]
    pub fn name(self) -> &'static str {
        Self::ALL.into_iter().find_map(|(kinds, name)| (kinds == self).then_some(name)).unwrap_or_default()
    }
}

/// Fewest and most modules of a scene.
pub const MODULES: [usize; 2] = [4, 12];

/// What to generate besides the family.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct GenerateOptions {
    /// Number of modules, within [`MODULES`].
    pub modules: usize,
    /// Another seed gives another scene.
    pub seed: u64,
    /// The kinds of the crew.
    pub kinds: Kinds,
}

impl Default for GenerateOptions {
    /// Six modules of the demo kind, seed 1.
    fn default() -> Self {
        Self { modules: 6, seed: 1, kinds: Kinds::Cobble }
    }
}

/// A scene from a seed.
#[derive(Clone, Debug, PartialEq)]
pub struct Generated {
    /// The scene with every default filled in.
    pub scenario: Scenario,
    /// Its TOML file, with comments on its origin and on what is known about it.
    pub text: String,
    /// Number of trips of the rehearsal that reached the goal; `None` where it is unknown whether the goal can be reached.
    pub rehearsed: Option<usize>,
}

/// Why no scene was generated.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum GenerateError {
    /// Too few or too many modules.
    #[error("{0} modules; from {min} to {max} are allowed", min = MODULES[0], max = MODULES[1])]
    Modules(usize),
    /// Nothing was found that this crew can do.
    #[error("no task was found for the crew drawn from seed {0}")]
    NoTask(u64),
    /// The scene could not be written.
    #[error(transparent)]
    Write(#[from] WriteError),
    /// The generated scene is invalid: an error of the generator.
    #[error("the scene drawn makes no sense: {0}")]
    Senseless(String),
}

/// Where kinds are drawn, a scene whose rehearsal fails is drawn again up to so many times.
const FURTHER_DRAWS: usize = 11;

/// Generates a scene.
///
/// Complexity: some trips per module, each as [`reachable`](crate::travel::reachable); where kinds are drawn, up to twelve times as many.
///
/// # Errors
/// When the number of modules is out of range.
///
/// ```
/// use clamber_core::unstable::generate::{Family, GenerateOptions, Kinds, generate};
///
/// let options = GenerateOptions { modules: 5, seed: 7, kinds: Kinds::Cobble };
/// let scene = generate(Family::Climb, options)?;
/// assert!(scene.text.starts_with("# climb, 5 modules, seed 7."));
/// # Ok::<(), clamber_core::unstable::generate::GenerateError>(())
/// ```
pub fn generate(family: Family, options: GenerateOptions) -> Result<Generated, GenerateError> {
    let GenerateOptions { modules, seed, kinds } = options;
    if !(MODULES[0]..=MODULES[1]).contains(&modules) {
        return Err(GenerateError::Modules(modules));
    }
    // Each family, size and choice of kinds has its own random stream.
    let stream = (kinds as u64 * 64 + family as u64) * 64 + modules as u64;
    let mut random = SplitMix64::new(seed ^ SplitMix64::new(stream).next_u64());
    let mut draw = || {
        let setting = Setting::new(kinds, &mut random);
        match family {
            Family::ScatteredToShape => shapes::scattered_to_shape(&setting, modules, &mut random),
            Family::ShapeToShape => shapes::shape_to_shape(&setting, modules, &mut random),
            Family::Climb => climb::climb(&setting, modules, &mut random),
            Family::Cross => cross::cross(&setting, modules, &mut random),
            Family::Reach => reach::reach(&setting, modules, &mut random),
        }
    };
    let mut draft = draw()?;
    let again = if kinds == Kinds::Cobble { 0 } else { FURTHER_DRAWS };
    for _ in 0..again {
        if draft.rehearsed.is_some() {
            break;
        }
        draft = draw()?;
    }
    draft.finish(family, options)
}
