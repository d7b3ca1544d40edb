//! Static equilibrium of the crew: a configuration in, utilisation or a reason out.
//!
//! Without touches a bond forest is statically determinate: the wrench of each bond follows from the weight above it. Every touch adds three unknown
//! force components, and the least possible largest utilisation is a second-order cone programme in the touch forces alone. Both are evaluated for
//! gravity straight down and in eight tilted directions.

mod asked;
mod balance;
mod bond;
mod carried_places;
mod case;
mod centre;
mod cone;
mod cone_program;
#[cfg(test)]
mod cone_program_tests;
mod gravity;
mod known_forces;
mod patches;
mod posed;
mod reason;
mod report;
mod rider;
mod rolling;
mod touching;
mod warm_start;

pub use bond::{BondLoad, Demand, FailureMode};
pub use case::{Driving, LoadCase, Utilisation};
pub use gravity::{DIRECTIONS, describe_direction, gravity_directions};
pub(crate) use posed::PosedCase;
pub use reason::Reason;
pub use report::{BondReport, DriveReport, LoadReport, LoadStatus, assess, tilt_survived_rad};
pub use rider::{CrewProof, Rider};
pub(crate) use rolling::{Rolling, RollingModule};
pub use warm_start::WarmStart;
