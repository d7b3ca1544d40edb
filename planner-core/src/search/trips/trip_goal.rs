//! The goal of a trip: its module has to get to a place. The way is planned anew where the others stand elsewhere.

use super::successors::{after_trip, braced};
use crate::control::{Budget, Stopped};
use crate::math::DVec3;
use crate::model::{Body, Configuration, ModuleId, Problem};
use crate::motion::{Move, Stretch, duration_s};
use crate::statics::WarmStart;
use crate::travel::{Trip, Way, quickest_to};

/// The goal of a trip.
#[derive(Clone, Debug, PartialEq)]
pub(crate) enum TripGoal {
    /// A module goes to a place.
    Go { module: ModuleId, host: Body, position: DVec3 },
    /// A module moves with those that stand on it.
    Carry { module: ModuleId, moves: Vec<Move> },
}

/// A trip that reaches its goal.
#[derive(Clone, Debug)]
pub(crate) struct Done {
    pub(crate) trip: Trip,
    pub(crate) after: Configuration,
    pub(crate) time_s: f64,
}

impl TripGoal {
    /// The goal of a trip that leads to `after`.
    pub(crate) fn of(trip: &Trip, after: &Configuration) -> Self {
        let module = trip.module;
        match &trip.way {
            Way::Alone(_) => {
                let place = after.get(module);
                Self::Go { module, host: place.host, position: place.position }
            }
            Way::Carrying(moves) => Self::Carry { module, moves: moves.clone() },
        }
    }

    /// Reaches the goal from a configuration by the quickest sound trip; `None` if there is none.
    ///
    /// Complexity: one search for trips of one module.
    pub(crate) fn run(
        &self,
        problem: &Problem,
        before: &Configuration,
        budget: &Budget<'_>,
    ) -> Result<Option<Done>, Stopped> {
        budget.go_on()?;
        let limit = problem.limits.utilisation_to_plan_for();
        Ok(match self {
            &Self::Go { module, host, position } => {
                if before.is_stood_on(module) || !problem.modules[module.index()].can_drive() {
                    return Ok(None);
                }
                let found = quickest_to(problem, before, module, (host, position), limit, budget.interrupt)?;
                found.map(|end| {
                    let after = end.after(before, module);
                    Done { trip: Trip::alone(module, end.waypoints), after, time_s: end.time_s }
                })
            }
            Self::Carry { module, moves } => {
                let trip = Trip::carrying(*module, moves.clone());
                if !is_sound_within(problem, before, &trip, limit, budget)? {
                    return Ok(None);
                }
                let time_s = trip_time_s(problem, before, &trip);
                after_trip(problem, before, &trip).map(|after| Done { trip, after, time_s })
            }
        })
    }
}

/// Time of a trip by the model's rates, in seconds; infinite when it cannot be made.
pub(crate) fn trip_time_s(problem: &Problem, before: &Configuration, trip: &Trip) -> f64 {
    let hold = trip.hold(before.get(trip.module).hold);
    let start = trip.released(before);
    trip.moves(problem, &start).map_or(f64::INFINITY, |moves| {
        moves.iter().map(|(action, _)| duration_s(problem, trip.module, hold, action)).sum()
    })
}

/// Time of trips one after the other from the start, in seconds; infinite when one cannot be made.
pub(crate) fn sequence_time_s(problem: &Problem, trips: &[Trip]) -> f64 {
    let mut now = braced(problem, &problem.start);
    let mut total = 0.0;
    for trip in trips {
        total += trip_time_s(problem, &now, trip);
        let Some(after) = after_trip(problem, &now, trip) else { return f64::INFINITY };
        now = after;
    }
    total
}

/// A trip that is sound at every instant from a configuration, and the configuration it leads to: the given trip, or otherwise another to the same
/// end. A reversed trip, or one planned for another heading, may have to yaw where the load does not allow it.
pub(crate) fn sound_version(
    problem: &Problem,
    before: &Configuration,
    trip: Trip,
    budget: &Budget<'_>,
) -> Result<Option<(Trip, Configuration)>, Stopped> {
    let Some(after) = after_trip(problem, before, &trip) else { return Ok(None) };
    if is_sound(problem, before, &trip, budget)? {
        return Ok(Some((trip, after)));
    }
    let other = TripGoal::of(&trip, &after).run(problem, before, budget)?;
    Ok(other.map(|done| (done.trip, done.after)))
}

/// Whether every instant of a trip is sound while all other modules stand.
pub(crate) fn is_sound(
    problem: &Problem,
    before: &Configuration,
    trip: &Trip,
    budget: &Budget<'_>,
) -> Result<bool, Stopped> {
    is_sound_within(problem, before, trip, problem.limits.utilisation_to_make_again(), budget)
}

/// The same with utilisations up to a limit.
fn is_sound_within(
    problem: &Problem,
    before: &Configuration,
    trip: &Trip,
    limit: f64,
    budget: &Budget<'_>,
) -> Result<bool, Stopped> {
    let mut now = trip.released(before);
    let Ok(moves) = trip.moves(problem, &now) else { return Ok(false) };
    let mut hint = WarmStart::default();
    for (action, after) in moves {
        let stretch = Stretch::of_move(problem, &now, trip.module, &action, &after);
        if !stretch.is_clear() || !stretch.carries(limit, &mut hint, budget.interrupt)? {
            return Ok(false);
        }
        now = after;
    }
    Ok(true)
}
