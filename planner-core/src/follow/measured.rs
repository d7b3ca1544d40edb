//! Measured poses.

use crate::math::{DQuat, DVec3};
use crate::model::invalid::{Faults, finish, from_to};
use crate::model::{Body, Configuration, Hold, Invalid, ModuleId, Placement, Problem};

/// How far measured values lie from the truth: one coordinate of a position, and an orientation. A good choice is the standard deviation, or for evenly
/// spread errors the largest.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Scatter {
    /// Of each coordinate of a position, in metres.
    pub position_m: f64,
    /// Of the orientation, in radians.
    pub angle_rad: f64,
}

impl Default for Scatter {
    /// Half a millimetre and half a degree.
    fn default() -> Self {
        Self { position_m: 0.5e-3, angle_rad: 0.5_f64.to_radians() }
    }
}

/// The pose of one module as it was measured, and what it is known to stand on.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Measured {
    /// The shell's centre in the world frame, in metres.
    pub position: DVec3,
    /// Orientation, body to world.
    pub orientation: DQuat,
    /// The body that its foot stands on, or has left in a hop that was interrupted.
    pub host: Body,
    /// Where it was hopping to, if a hop was interrupted.
    pub hopping_to: Option<Body>,
    /// The hold of its bond. A hold that was being changed counts as rolling.
    pub hold: Hold,
    /// How far the pose may lie from the truth.
    pub scatter: Scatter,
}

impl Measured {
    /// A pose measured without any error.
    #[must_use]
    pub const fn exactly(place: &Placement, scatter: Scatter) -> Self {
        Self {
            position: place.position,
            orientation: place.orientation,
            host: place.host,
            hopping_to: None,
            hold: place.hold,
            scatter,
        }
    }
}

/// The poses as a configuration, if they make sense.
pub(super) fn as_configuration(problem: &Problem, measured: &[Measured]) -> Result<Configuration, Invalid> {
    problem.validate()?;
    let placed = |m: &Measured| Placement {
        position: m.position,
        orientation: m.orientation,
        host: m.host,
        hold: m.hold,
    };
    let there = Configuration::new(measured.iter().map(placed).collect());
    problem.validate_configuration(&there)?;
    let mut values = Vec::new();
    for (index, m) in measured.iter().enumerate() {
        let mut faults =
            Faults::of(&mut values, format!("module {}", problem.module_name(ModuleId::at(index))));
        faults.number("scatter.position_m", m.scatter.position_m, from_to(1e-9, 0.1));
        faults.number("scatter.angle_rad", m.scatter.angle_rad, from_to(1e-9, 1.0));
        match m.hopping_to {
            Some(Body::Module(to)) if to.index() == index => {
                faults.add("hopping_to", "itself", "another body");
            }
            Some(to) => {
                problem.push_body(&mut faults, "hopping_to", to);
            }
            None => {}
        }
    }
    finish(values)?;
    Ok(there)
}
