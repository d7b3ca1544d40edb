//! What to generate besides the family.

/// The kinds of a crew, with the ground and the place in the world that go with them.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Kinds {
    /// The demo kind, on rectangular decks along the axes.
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

/// What all ground of a scene is made of.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum GroundMaterial {
    /// Smooth steel: magnets and cups hold.
    Steel,
    /// Bare concrete: neither holds.
    Concrete,
}

impl GroundMaterial {
    /// Both with their names.
    pub const ALL: [(Self, &'static str); 2] = [(Self::Steel, "steel"), (Self::Concrete, "concrete")];

    /// The name in files and on the command line.
    #[must_use]
    pub fn name(self) -> &'static str {
        Self::ALL
            .into_iter()
            .find_map(|(material, name)| (material == self).then_some(name))
            .unwrap_or_default()
    }
}

/// What to generate besides the family.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct GenerateOptions {
    /// Number of modules, within [`Family::modules`](super::Family::modules).
    pub modules: usize,
    /// Another seed gives another scene.
    pub seed: u64,
    /// The kinds of the crew.
    pub kinds: Kinds,
    /// What all ground is made of; `None` as usual in the family.
    pub ground: Option<GroundMaterial>,
}

impl Default for GenerateOptions {
    /// Six modules of the demo kind on the usual ground, seed 1.
    fn default() -> Self {
        Self { modules: 6, seed: 1, kinds: Kinds::Cobble, ground: None }
    }
}
