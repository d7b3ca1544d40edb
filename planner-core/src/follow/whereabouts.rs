//! Where the crew is, against where it should be.

use super::follower::Follower;
use super::measured::Measured;
use super::settle::{Settled, Unsettled, settle};
use crate::model::ModuleId;

/// How far a module may be from where it should be.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Tube {
    /// Of the centre, in metres.
    pub position_m: f64,
    /// Of the orientation, in radians.
    pub angle_rad: f64,
}

impl Default for Tube {
    /// Half of a shortfall of 5 mm or 0.05 rad: wider than measuring errors of 0.5 mm and 0.5°, narrower than the shortfall.
    fn default() -> Self {
        Self { position_m: 2.5e-3, angle_rad: 0.025 }
    }
}

/// A module that is not where it should be.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Deviation {
    /// The module.
    pub module: ModuleId,
    /// How far its centre is from where it should be, in metres.
    pub position_m: f64,
    /// How far it is turned from how it should stand, in radians.
    pub angle_rad: f64,
}

/// Where the crew is.
#[derive(Clone, Debug, PartialEq)]
pub struct Whereabouts {
    /// The crew as it stands, exactly.
    pub settled: Settled,
    /// The modules beyond the tube. Empty: the crew is on course.
    pub beyond: Vec<Deviation>,
}

impl Follower<'_> {
    /// Where the crew is by measured poses, against where it should be.
    ///
    /// # Errors
    /// When the poses make no sense or contradict the model; see [`settle`].
    pub fn whereabouts(&self, measured: &[Measured], tube: Tube) -> Result<Whereabouts, Unsettled> {
        let mut poses = measured.to_vec();
        for (id, own) in self.problem().module_ids().zip(&mut poses) {
            own.hopping_to = self.hop_of(id);
        }
        let expected = self.expected();
        let settled = settle(&self.with_lost(), &poses, Some(&expected))?;
        let beyond = settled.configuration.iter().filter_map(|(module, place)| {
            let planned = expected.get(module);
            let position_m = place.position.distance(planned.position);
            let hops = self.hop_of(module).is_some();
            let angle_rad = if hops { 0.0 } else { place.orientation.angle_between(planned.orientation) };
            let is_beyond = position_m > tube.position_m || angle_rad > tube.angle_rad;
            is_beyond.then_some(Deviation { module, position_m, angle_rad })
        });
        Ok(Whereabouts { beyond: beyond.collect(), settled })
    }
}
