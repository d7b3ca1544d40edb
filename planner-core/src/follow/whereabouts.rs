//! Where the crew is, against where it should be.

use super::follower::Follower;
use super::measured::Measured;
use super::settle::{Finish, Settled, Unsettled, settle};
use crate::model::{ModuleId, Placement};

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

/// Most crosses that may be interrupted at once for all their ends to be tried.
const MOST_CROSSES: usize = 6;

/// A module within a cross, and the end at which it is taken to stand.
#[derive(Clone, Copy)]
struct CrossEnd {
    module: ModuleId,
    place: Placement,
    goes_on: bool,
}

impl Follower<'_> {
    /// Where the crew is by measured poses, against where it should be. A module that is between two hosts is taken to stand at the nearer of the
    /// two at which the crew is sound: [`Settled::hops`] tells which.
    ///
    /// # Errors
    /// When the poses make no sense or contradict the model; see [`settle`].
    pub fn whereabouts(&self, measured: &[Measured], tube: Tube) -> Result<Whereabouts, Unsettled> {
        let (crew, expected) = (self.with_lost(), self.expected());
        let mut poses = measured.to_vec();
        let crosses = self.crosses(&expected);
        for (id, own) in crew.module_ids().zip(&mut poses) {
            let crosses = crosses.iter().any(|(module, _)| *module == id);
            own.hopping_to = self.goes_over(id).map(|(_, to)| to).filter(|_| !crosses);
        }
        let mut found: Option<Result<Settled, Unsettled>> = None;
        for ends in ends_of_crosses(&crosses, measured) {
            let (mut poses, mut expected) = (poses.clone(), expected.clone());
            for end in &ends {
                *expected.get_mut(end.module) = end.place;
                if let Some(own) = poses.get_mut(end.module.index()) {
                    *own = Measured::exactly(&end.place, own.scatter);
                }
            }
            let mut settled = settle(&crew, &poses, Some(&expected));
            if let Ok(settled) = &mut settled {
                settled.hops.extend(ends.iter().map(|end| Finish {
                    module: end.module,
                    host: end.place.host,
                    goes_on: end.goes_on,
                }));
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
        let nowhere = || Unsettled::Contradiction(vec!["there is no way to end the crosses".to_owned()]);
        let settled = found.unwrap_or_else(|| Err(nowhere()))?;
        let beyond = settled.configuration.iter().filter_map(|(module, place)| {
            let planned = expected.get(module);
            let goes_over = self.goes_over(module).is_some();
            let crosses = crosses.iter().any(|(crossing, _)| *crossing == module);
            let position_m = if crosses { 0.0 } else { place.position.distance(planned.position) };
            let angle_rad =
                if goes_over { 0.0 } else { place.orientation.angle_between(planned.orientation) };
            let is_beyond = position_m > tube.position_m || angle_rad > tube.angle_rad;
            is_beyond.then_some(Deviation { module, position_m, angle_rad })
        });
        Ok(Whereabouts { beyond: beyond.collect(), settled })
    }
}

/// All ways in which interrupted crosses may end, the nearest first.
fn ends_of_crosses(crosses: &[(ModuleId, [Placement; 2])], measured: &[Measured]) -> Vec<Vec<CrossEnd>> {
    let crosses = &crosses[..crosses.len().min(MOST_CROSSES)];
    let way = |bits: u32| {
        let end = |(at, (module, ends)): (usize, &(ModuleId, [Placement; 2]))| {
            let goes_on = bits >> at & 1 == 1;
            CrossEnd { module: *module, place: ends[usize::from(goes_on)], goes_on }
        };
        crosses.iter().enumerate().map(end).collect::<Vec<CrossEnd>>()
    };
    let distance_m = |ends: &[CrossEnd]| -> f64 {
        let of = |end: &CrossEnd| {
            measured.get(end.module.index()).map_or(0.0, |own| own.position.distance(end.place.position))
        };
        ends.iter().map(of).sum()
    };
    let mut ways: Vec<Vec<CrossEnd>> = (0..1_u32 << crosses.len()).map(way).collect();
    ways.sort_by(|a, b| distance_m(a).total_cmp(&distance_m(b)));
    ways
}
