//! Failures of one module.

/// By how much a module is heavier than it is said to be.
pub const HEAVIER: f64 = 1.1;

/// A failure of one module, at any instant, that stays until the plan's end.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Failure {
    /// Its cup: braced, it holds by its magnets only.
    Cup,
    /// Its bond, if it has adhesion: the module and all that stands on it are gone.
    Bond,
    /// Its mass and payload are 10 % more.
    Mass,
}

impl Failure {
    /// All failures, with their names in files.
    pub const ALL: [(Self, &'static str); 3] =
        [(Self::Cup, "cup"), (Self::Bond, "bond"), (Self::Mass, "mass")];

    /// The name in files.
    #[must_use]
    pub fn word(self) -> &'static str {
        Self::ALL.iter().find(|(failure, _)| *failure == self).map_or("", |(_, word)| word)
    }
}
