//! A shape at its place in a scene.

use super::frame::Frame;
use super::lattice::Ball;
use super::loads::carries;
use super::rounding::nanometres;
use crate::math::{DVec2, DVec3};
use crate::model::{Body, Configuration, GroundId, Hold, ModuleId, Placement, Problem};
use crate::motion::geometry_faults;

/// The ground that shapes stand on.
const GROUND: GroundId = GroundId(0);

/// A shape on the first ground.
#[derive(Clone, Debug)]
pub(super) struct Placed {
    pub(super) balls: Vec<Ball>,
    /// Where the shape lies in the coordinates of the task, balls on the ground at height 0.
    frame: Frame,
}

/// Where a ball stands, in the world.
pub(super) enum Stand {
    /// On the ground at this spot.
    Ground([f64; 2]),
    /// On an earlier ball, in this direction from its centre.
    Ball(usize, DVec3),
}

impl Placed {
    /// A shape with the middle of its foot at a spot, turned by an angle in radians.
    pub(super) fn new(mut balls: Vec<Ball>, middle: [f64; 2], turn_rad: f64) -> Self {
        let low: Vec<DVec3> = balls.iter().filter(|ball| ball.on.is_none()).map(|ball| ball.at).collect();
        let centre = low.iter().sum::<DVec3>() / low.len().max(1) as f64;
        for ball in &mut balls {
            ball.at -= centre;
        }
        Self { balls, frame: Frame::new(turn_rad, DVec2::from(middle).extend(0.0)) }
    }

    /// The centre of a ball in the coordinates of the task, above that of a ball on the ground.
    pub(super) fn at(&self, ball: usize) -> DVec3 {
        self.frame.at(self.balls[ball].at)
    }

    /// Least and greatest coordinates of centres on the ground, in the coordinates of the task.
    pub(super) fn extent(&self) -> [[f64; 2]; 2] {
        let spots = (0..self.balls.len()).map(|ball| self.at(ball).truncate());
        let bounds =
            spots.fold([DVec2::INFINITY, DVec2::NEG_INFINITY], |[low, high], at| [low.min(at), high.max(at)]);
        bounds.map(|corner| corner.to_array())
    }

    /// Where every ball stands in the world.
    pub(super) fn stands(&self, world: Frame) -> impl Iterator<Item = Stand> + '_ {
        self.balls.iter().map(move |ball| match ball.on {
            None => Stand::Ground(world.spot(self.frame.at(ball.at).truncate().to_array()).map(nanometres)),
            Some(host) => {
                let step = self.frame.way(ball.at - self.balls[host].at);
                Stand::Ball(host, world.way(step).normalize())
            }
        })
    }

    /// Whether the shape stands by itself when the modules of a problem fill it in their order, all braced.
    pub(super) fn stands_alone(&self, problem: &Problem, world: Frame) -> bool {
        let mut places: Vec<Placement> = Vec::with_capacity(self.balls.len());
        for (id, stand) in problem.module_ids().zip(self.stands(world)) {
            let kind = problem.kind(id);
            let place = match stand {
                Stand::Ground(spot) => {
                    Placement::on_ground(GROUND, problem.ground(GROUND), kind, DVec2::from(spot), None)
                }
                Stand::Ball(host, toward) => {
                    let (host, centre) = (ModuleId::at(host), places[host].position);
                    Placement::on_shell(host, centre, problem.kind(host), kind, toward, None)
                }
            };
            let Ok(place) = place else { return false };
            places.push(Placement { hold: Hold::Braced, ..place });
        }
        let shape = Configuration::new(places);
        shape.len() == problem.modules.len()
            && shape.len() == self.balls.len()
            && geometry_faults(problem, &shape).is_empty()
            && carries(problem, &shape)
    }
}

/// The ground as a host.
pub(super) const fn ground() -> Body {
    Body::Ground(GROUND)
}
