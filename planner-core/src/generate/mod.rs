//! Families of scenes from a seed, for measuring planners on more than a handful of scenes.
//!
//! Every scene is sound at its start, and its goal was rehearsed: the generator itself drives the crew there, trip by trip, along ways it chose.
//! Where a rehearsal does not come through, the scene says that nobody knows whether it can be solved. The same family, number of modules
//! and seed give the same bytes.

mod climb;
mod cross;
mod draft;
mod reach;
mod rehearsal;
mod shapes;

pub use crate::math::SplitMix64;

use crate::scene::{Scenario, WriteError};

/// What kind of task a scene sets.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Family {
    /// Modules scattered on the ground form a shape.
    ScatteredToShape,
    /// One shape becomes another.
    ShapeToShape,
    /// Some modules get onto a higher deck, the others help.
    Climb,
    /// All modules get over a gap between two decks.
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
    /// The scene with every default written out.
    pub scenario: Scenario,
    /// Its file, TOML, with comments that say where it comes from and what is known.
    pub text: String,
    /// Trips of the rehearsal that reached the goal; `None` where it is not known whether the goal can be reached.
    pub rehearsed: Option<usize>,
}

/// Why there is no scene.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum GenerateError {
    /// Too few or too many modules.
    #[error("{0} modules; from {min} to {max} are allowed", min = MODULES[0], max = MODULES[1])]
    Modules(usize),
    /// The scene could not be written.
    #[error(transparent)]
    Write(#[from] WriteError),
    /// The scene that was drawn is not one; a mistake in the generator.
    #[error("the scene drawn makes no sense: {0}")]
    Senseless(String),
}

/// Draws a scene.
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
    // Families and sizes have streams of their own.
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
