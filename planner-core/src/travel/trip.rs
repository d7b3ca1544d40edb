//! A trip: one module's way from rest to rest, either alone through waypoints, or yaws and slides with all that stands on it.

use super::{Round, Waypoint, compile};
use crate::model::{Body, Configuration, Hold, ModuleId, Problem};
use crate::motion::{Move, MoveError, apply};

/// A trip of one module while the others stand or are carried.
#[derive(Clone, Debug, PartialEq)]
pub struct Trip {
    /// The module.
    pub module: ModuleId,
    /// Its way.
    pub way: Way,
}

/// The way of a trip.
#[derive(Clone, Debug, PartialEq)]
pub enum Way {
    /// Through waypoints, as a bare module; the last one is the end. The start is not included.
    Alone(Vec<Waypoint>),
    /// Yaws and slides with everything that stands on it.
    Carrying(Vec<Move>),
}

impl Trip {
    /// A trip through waypoints.
    #[must_use]
    pub const fn alone(module: ModuleId, waypoints: Vec<Waypoint>) -> Self {
        Self { module, way: Way::Alone(waypoints) }
    }

    /// A trip of yaws and slides with passengers.
    #[must_use]
    pub const fn carrying(module: ModuleId, moves: Vec<Move>) -> Self {
        Self { module, way: Way::Carrying(moves) }
    }

    /// The hold that the module needs for its moves: braced it can only yaw. `has` is the hold it has.
    #[must_use]
    pub fn hold(&self, has: Hold) -> Hold {
        match &self.way {
            Way::Carrying(moves) if moves.iter().all(|m| matches!(m, Move::Yaw { .. })) => has,
            _ => Hold::Rolling,
        }
    }

    /// A configuration with the holds that its moves need: see [`hold`](Self::hold); in a stride planted modules roll too.
    #[must_use]
    pub(crate) fn released(&self, configuration: &Configuration) -> Configuration {
        let mut ready = configuration.clone();
        ready.get_mut(self.module).hold = self.hold(configuration.get(self.module).hold);
        if let Way::Carrying(moves) = &self.way {
            for action in moves {
                let Move::Stride { planted, .. } = action else { continue };
                planted.ids().iter().for_each(|id| ready.get_mut(*id).hold = Hold::Rolling);
            }
        }
        ready
    }

    /// The moves of the trip and the configuration after each, from a configuration in which the module has the required hold.
    ///
    /// # Errors
    /// When a move cannot begin. Soundness of the moves is not checked.
    pub fn moves(
        &self,
        problem: &Problem,
        start: &Configuration,
    ) -> Result<Vec<(Move, Configuration)>, MoveError> {
        match &self.way {
            Way::Alone(waypoints) => compile(problem, start, self.module, waypoints),
            Way::Carrying(moves) => {
                let mut now = start.clone();
                let made = moves.iter().map(|action| {
                    now = apply(problem, &now, self.module, action)?;
                    Ok((*action, now.clone()))
                });
                made.collect()
            }
        }
    }

    /// The trip back from the end to `start`, where it began.
    #[must_use]
    pub fn reversed(&self, start: Waypoint) -> Self {
        let way = match &self.way {
            Way::Alone(waypoints) => {
                let mut places = vec![start];
                places.extend(waypoints.iter().copied());
                let back = |leg: usize| Waypoint {
                    round: places[leg].round.map(Round::reversed),
                    ..places[leg - 1]
                };
                Way::Alone((1..places.len()).rev().map(back).collect())
            }
            Way::Carrying(moves) => {
                let back = |action: &Move| match *action {
                    Move::Yaw { angle_rad } => Move::Yaw { angle_rad: -angle_rad },
                    Move::Slide { travel_m, curvature_per_m } => {
                        Move::Slide { travel_m: -travel_m, curvature_per_m }
                    }
                    Move::Stride { direction, angle_rad, planted, to } => {
                        Move::Stride { direction, angle_rad: -angle_rad, planted, to }
                    }
                    other => other,
                };
                Way::Carrying(moves.iter().rev().map(back).collect())
            }
        };
        Self { module: self.module, way }
    }

    /// The same trip with every module, mover and hosts, renamed.
    #[must_use]
    pub fn renamed(mut self, name: impl Fn(ModuleId) -> ModuleId) -> Self {
        self.module = name(self.module);
        if let Way::Alone(waypoints) = &mut self.way {
            for waypoint in waypoints {
                if let Body::Module(host) = waypoint.host {
                    waypoint.host = Body::Module(name(host));
                }
            }
        }
        self
    }
}
