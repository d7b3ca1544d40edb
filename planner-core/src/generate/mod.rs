//! Families of random scenes from a seed, for measuring planners on many scenes.
//!
//! Every scene is sound at its start, and its goal was rehearsed: the generator itself moves the crew there, trip by trip, along ways of its own
//! choice. Where a rehearsal fails, the scene says that it is unknown whether it can be solved. The same family, number of modules and seed give the
//! same bytes.

mod climb;
mod cross;
mod draft;
mod reach;
mod rehearsal;
mod shapes;

pub use crate::math::SplitMix64;

use crate::scene::{Scenario, WriteError};

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

/// Fewest and most modules of a scene.
pub const MODULES: [usize; 2] = [4, 12];

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
    /// The scene could not be written.
    #[error(transparent)]
    Write(#[from] WriteError),
    /// The generated scene is invalid: an error of the generator.
    #[error("the scene drawn makes no sense: {0}")]
    Senseless(String),
}

/// Generates a scene.
///
/// Complexity: some trips per module, each as [`reachable`](crate::travel::reachable).
///
/// # Errors
/// When the number of modules is out of range.
///
/// ```
/// use clamber_core::unstable::generate::{Family, generate};
///
/// let scene = generate(Family::Climb, 5, 7)?;
/// assert!(scene.text.starts_with("# climb, 5 modules, seed 7."));
/// # Ok::<(), clamber_core::unstable::generate::GenerateError>(())
/// ```
pub fn generate(family: Family, modules: usize, seed: u64) -> Result<Generated, GenerateError> {
    if !(MODULES[0]..=MODULES[1]).contains(&modules) {
        return Err(GenerateError::Modules(modules));
    }
    let title = format!("{} {modules} {seed}", family.name());
    // Each family and size has its own random stream.
    let stream = Family::ALL.iter().position(|(f, _)| *f == family).unwrap_or(0) as u64 * 64 + modules as u64;
    let mut random = SplitMix64::new(seed ^ SplitMix64::new(stream).next_u64());
    let draft = match family {
        Family::ScatteredToShape => shapes::scattered_to_shape(title, modules, &mut random),
        Family::ShapeToShape => shapes::shape_to_shape(title, modules, &mut random),
        Family::Climb => climb::climb(title, modules, &mut random),
        Family::Cross => cross::cross(title, modules, &mut random),
        Family::Reach => reach::reach(title, modules, &mut random),
    }?;
    draft.finish(family, modules, seed)
}
