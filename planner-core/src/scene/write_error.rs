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
    /// Values of the problem or the plan make no sense.
    #[error(transparent)]
    Invalid(#[from] crate::model::Invalid),
    /// The scenario is not that of the problem: reading it gives another.
    #[error(
        "{field}: the scenario and the problem differ; a plan is written with the scenario of its problem, which `Scenario::of` gives where a file can hold it"
    )]
    NotThisProblem {
        /// The field.
        field: String,
    },
    /// The notation cannot represent the value.
    #[error("the file cannot be written: {0}")]
    Notation(String),
}
