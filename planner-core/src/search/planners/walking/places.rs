//! Where the hub could sit: the points of a grid through its goal, and the middles of decks.

use super::machine::Machine;
use super::tops::{Tops, middle};
use crate::math::DVec2;
use crate::model::{Configuration, GroundId, Problem};

/// The distance between points of the grid, in radii of the ends.
const GRID_RADII: f64 = 1.0 / 6.0;
/// The longest stride that is tried, in the same.
const LONGEST_RADII: f64 = 4.5;
/// No grid is looked through for more points to either side than this.
const MOST_STEPS: f64 = 60.0;

/// A place of the hub.
#[derive(Clone, Copy, Debug)]
pub(super) struct Place {
    pub(super) to: GroundId,
    pub(super) at: DVec2,
    /// Which point of the grid it is; `None` for the middle of the ground.
    pub(super) point: Option<[i64; 2]>,
}

impl Place {
    /// Whether it is a point of the grid that is twice as coarse, or a middle: these are tried first.
    pub(super) fn is_coarse(&self) -> bool {
        self.point.is_none_or(|point| point.iter().all(|steps| steps % 2 == 0))
    }

    pub(super) fn is_goal(&self, machine: &Machine) -> bool {
        self.to == machine.to && self.point == Some([0, 0])
    }
}

/// The places in reach of one stride on which the hub's foot can stand without being held by magnets.
pub(super) fn in_reach(
    problem: &Problem,
    machine: &Machine,
    tops: &Tops<'_>,
    now: &Configuration,
) -> Vec<Place> {
    let (here, goal) = (now.get(machine.hub).position.truncate(), machine.goal_at());
    let kind = problem.kind(machine.hub);
    let (step_m, far_m) = (GRID_RADII * machine.radius_m, LONGEST_RADII * machine.radius_m);
    // The grid lies along the way from the start to the goal: it turns with the scene.
    let along = machine.ahead * step_m;
    let off = here - goal;
    let centre = DVec2::new(off.dot(machine.ahead), off.dot(machine.ahead.perp())) / step_m;
    let most = (far_m / step_m).min(MOST_STEPS);
    let mut found = Vec::new();
    for (to, ground) in tops.near(here, far_m) {
        if ground.surfacing.ferrous && kind.magnet_force_n > 0.0 {
            continue;
        }
        let stands = |at: DVec2| at.distance(here) <= far_m && ground.outline.inset(at) >= kind.foot_radius_m;
        for i in (centre.x - most).ceil() as i64..=(centre.x + most).floor() as i64 {
            for j in (centre.y - most).ceil() as i64..=(centre.y + most).floor() as i64 {
                let at = goal + DVec2::new(i as f64, j as f64).rotate(along);
                if stands(at) {
                    found.push(Place { to, at, point: Some([i, j]) });
                }
            }
        }
        let at = middle(ground);
        if stands(at) {
            found.push(Place { to, at, point: None });
        }
    }
    found
}
