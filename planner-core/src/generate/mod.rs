//! Families of random scenes from a seed, for measuring planners on many scenes.
//!
//! Every scene is sound at its start, and its goal was rehearsed: the generator itself moves the crew there, trip by trip, along ways of its own
//! choice. Where a rehearsal fails, or the crew is too large for one, the scene says that it is unknown whether it can be solved. Shapes asked for
//! carry their load. The same family and options give the same bytes.

mod assembly;
mod climb;
mod cross;
mod draft;
mod family;
mod field;
mod fields;
mod frame;
mod ground;
mod kinds;
mod known;
mod large;
mod lattice;
mod loads;
mod options;
mod placed;
mod reach;
mod rehearsal;
mod rough;
mod rounding;
mod setting;
mod shapes;
mod walk;

pub use crate::math::SplitMix64;
pub use family::Family;
pub use options::{GenerateOptions, GroundMaterial, Kinds};

use crate::scene::{Scenario, WriteError};
use known::Known;
use setting::Setting;

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
    #[error("{modules} modules; {} takes from {} to {}", family.name(), family.modules()[0], family.modules()[1])]
    Modules {
        /// The family asked for.
        family: Family,
        /// The number asked for.
        modules: usize,
    },
    /// All ground of the family cannot be of this material.
    #[error("{} does not go with {} ground: {}", family.name(), ground.name(), match ground {
        GroundMaterial::Concrete => "an arm reaches out only where magnets hold its root",
        GroundMaterial::Steel => "a machine that strides lifts its foot, which magnets would hold",
    })]
    Ground {
        /// The family asked for.
        family: Family,
        /// The material asked for.
        ground: GroundMaterial,
    },
    /// The family takes one kind of module.
    #[error("{} takes one kind of module: its shapes are made of balls of one size", .0.name())]
    OneKind(Family),
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
/// Complexity: some trips per module, each as [`reachable`](crate::travel::reachable); where kinds are drawn, up to twelve times as many. In families for
/// large crews only shapes of up to about thirty modules are rehearsed, by themselves; besides that it is quadratic in the modules, by tests of pairs.
///
/// # Errors
/// When the number of modules is out of range, or kinds or ground do not go with the family.
///
/// ```
/// use clamber_core::unstable::generate::{Family, GenerateOptions, generate};
///
/// let options = GenerateOptions { modules: 5, seed: 7, ..GenerateOptions::default() };
/// let scene = generate(Family::Climb, options)?;
/// assert!(scene.text.starts_with("# climb, 5 modules, seed 7."));
/// # Ok::<(), clamber_core::unstable::generate::GenerateError>(())
/// ```
pub fn generate(family: Family, options: GenerateOptions) -> Result<Generated, GenerateError> {
    let GenerateOptions { modules, seed, kinds, ground } = options;
    refuse(family, options)?;
    // Each family, size and choice of kinds has its own random stream; sizes beyond 63 differ in its upper half.
    let [size, beyond] = [modules as u64 % 64, modules as u64 / 64];
    let stream = ((kinds as u64 * 64 + family as u64) * 64 + size) | beyond << 32;
    let mut random = SplitMix64::new(seed ^ SplitMix64::new(stream).next_u64());
    let mut draw = || {
        let setting = Setting::new(kinds, ground.or(family.usual_ground()), &mut random);
        match family {
            Family::ScatteredToShape => shapes::scattered_to_shape(&setting, modules, &mut random),
            Family::ShapeToShape => shapes::shape_to_shape(&setting, modules, &mut random),
            Family::Climb => climb::climb(&setting, modules, &mut random),
            Family::Cross => cross::cross(&setting, modules, &mut random),
            Family::Reach => reach::reach(&setting, modules, &mut random),
            Family::Fields => fields::fields(&setting, modules, &mut random),
            Family::FieldsVarious => fields::fields_various(&setting, modules, &mut random),
            Family::Arch => fields::arches(&setting, modules, &mut random),
            Family::Pyramid => large::pyramid(&setting, modules, &mut random),
            Family::Wall => large::wall(&setting, modules, &mut random),
            Family::Raft => large::raft(&setting, modules, &mut random),
            Family::Transport => large::transport(&setting, modules, &mut random),
            Family::Rough => rough::rough(&setting, modules, &mut random),
            Family::Walk => walk::walk(&setting, modules, &mut random),
        }
    };
    let mut draft = draw()?;
    let again = if kinds == Kinds::Cobble && family != Family::Walk { 0 } else { FURTHER_DRAWS };
    for _ in 0..again {
        // Large crews are a task also where nobody knows whether it can be done.
        if draft.known != Known::Failed || (family.is_lattice() && draft.scenario.goal.is_some()) {
            break;
        }
        draft = draw()?;
    }
    draft.finish(family, options)
}

/// Refuses options that do not go with a family.
fn refuse(family: Family, options: GenerateOptions) -> Result<(), GenerateError> {
    let GenerateOptions { modules, kinds, ground, .. } = options;
    let [least, most] = family.modules();
    if !(least..=most).contains(&modules) {
        return Err(GenerateError::Modules { family, modules });
    }
    if (family.is_lattice() || family == Family::Walk) && kinds == Kinds::Mixed {
        return Err(GenerateError::OneKind(family));
    }
    match ground {
        Some(ground) if !family.stands_on(ground) => Err(GenerateError::Ground { family, ground }),
        _ => Ok(()),
    }
}
