//! A rated number of a kind.

use serde::Serialize;

/// A number of a kind that pull tests give.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum FigureName {
    /// The pull of the magnets.
    MagnetForceN,
    /// The vacuum that counts.
    CupVacuumPa,
    /// The friction of the foot on a shell.
    BondFriction,
    /// The radius about which the foot peels.
    PeelRadiusM,
}

impl FigureName {
    /// The field of the kind.
    #[must_use]
    pub const fn field(self) -> &'static str {
        match self {
            Self::MagnetForceN => "magnet_force_n",
            Self::CupVacuumPa => "cup_vacuum_pa",
            Self::BondFriction => "bond_friction",
            Self::PeelRadiusM => "peel_radius_m",
        }
    }

    /// Its unit, with a space before it.
    #[must_use]
    pub const fn unit(self) -> &'static str {
        match self {
            Self::MagnetForceN => " N",
            Self::CupVacuumPa => " Pa",
            Self::BondFriction => "",
            Self::PeelRadiusM => " m",
        }
    }
}

/// A number of a kind, rated or not.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Figure {
    /// Which.
    pub name: FigureName,
    /// The rated value, rounded down; `None` if it is not rated.
    pub value: Option<f64>,
    /// The same before rounding.
    pub unrounded: Option<f64>,
    /// The series that decides it, as an index.
    pub governed_by: Option<usize>,
    /// Whether it is not rated for want of tests.
    pub lacks_tests: bool,
    /// Where it comes from, or why it is not rated.
    pub why: String,
}
