//! Why a file cannot be written.

/// Why a file cannot be written.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum WriteError {
    /// Files contain only finite numbers.
    #[error("{field}: a number that is not finite; only finite numbers can be written; mend what made it")]
    NotFinite {
        /// The field.
        field: String,
    },
    /// The plan names a module, deck or host that its scenario does not have.
    #[error(
        "{field}: a module or deck that the problem does not have; a plan is written with its own problem; give that"
    )]
    NotOfThisScenario {
        /// The field.
        field: String,
    },
    /// The notation cannot represent the value.
    #[error("the file cannot be written: {0}")]
    Notation(String),
}
