//! Where the crew is, against where it should be.

use super::between::{End, ways_to_end};
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
    /// Where the crew is by measured poses, against where it should be. A module that is between two hosts, and a machine within a stride,
    /// is taken to stand at the nearer of its two ends at which the crew is sound: [`Settled::hops`] tells which.
    ///
    /// # Errors
    /// When the poses make no sense or contradict the model; see [`settle`].
    pub fn whereabouts(&self, measured: &[Measured], tube: Tube) -> Result<Whereabouts, Unsettled> {
        let (crew, expected) = (self.with_lost(), self.expected());
        let mut poses = measured.to_vec();
        let between = self.between(&expected);
        let is_between =
            |id: ModuleId| between.iter().any(|one| one.places.iter().any(|(own, _)| *own == id));
        for (id, own) in crew.module_ids().zip(&mut poses) {
            own.hopping_to = self.goes_over(id).map(|(_, to)| to).filter(|_| !is_between(id));
        }
        let mut found: Option<Result<Settled, Unsettled>> = None;
        for ends in ways_to_end(&between, measured) {
            let (mut poses, mut expected) = (poses.clone(), expected.clone());
            ends.iter().for_each(|end| end.put(&mut expected, &mut poses));
            let mut settled = settle(&crew, &poses, Some(&expected));
            if let Ok(settled) = &mut settled {
                settled.hops.extend(ends.iter().filter_map(End::finish));
            }
            let is_sound = settled.as_ref().is_ok_and(Settled::is_sound);
            let is_first = found.as_ref().is_none_or(|first| first.is_err() && settled.is_ok());
            if is_sound || is_first {
                found = Some(settled);
            }
            if is_sound {
                break;
            }
        }
        let nowhere = || Unsettled::Contradiction(vec!["there is no way to end the moves".to_owned()]);
        let settled = found.unwrap_or_else(|| Err(nowhere()))?;
        let beyond = settled.configuration.iter().filter_map(|(module, place)| {
            let planned = expected.get(module);
            let goes_over = self.goes_over(module).is_some();
            let off_m = place.position.distance(planned.position);
            let position_m = if is_between(module) { 0.0 } else { off_m };
            let is_turning = goes_over || is_between(module);
            let angle_rad =
                if is_turning { 0.0 } else { place.orientation.angle_between(planned.orientation) };
            let is_beyond = position_m > tube.position_m || angle_rad > tube.angle_rad;
            is_beyond.then_some(Deviation { module, position_m, angle_rad })
        });
        Ok(Whereabouts { beyond: beyond.collect(), settled })
    }
}
