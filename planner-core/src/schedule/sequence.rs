//! Stage 1: from trips to a sequence of moves, without holds.

use super::ScheduleError;
use crate::model::{Configuration, Hold, ModuleId, Problem};
use crate::motion::Move;
use crate::travel::Trip;

/// The yaws, slides and hops of trips, in the order of the trips.
///
/// Holds are decided later ([`side_by_side`](super::side_by_side())), so there is no brace and no release among them.
///
/// # Errors
/// When a move of a trip cannot begin.
pub fn moves_of_trips(problem: &Problem, trips: &[Trip]) -> Result<Vec<(ModuleId, Move)>, ScheduleError> {
    Ok(moves_with_trips(problem, trips)?.into_iter().map(|made| (made.module, made.action)).collect())
}

/// A move of a trip.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Made {
    /// The index of the trip.
    pub(crate) trip: usize,
    pub(crate) module: ModuleId,
    pub(crate) action: Move,
}

/// The same, each with its trip.
pub(crate) fn moves_with_trips(problem: &Problem, trips: &[Trip]) -> Result<Vec<Made>, ScheduleError> {
    let mut now = rolling(&problem.start);
    let mut moves = Vec::new();
    for (index, trip) in trips.iter().enumerate() {
        let made = trip.moves(problem, &now).map_err(|error| ScheduleError::Cannot {
            module: problem.module_name(trip.module).into(),
            index: moves.len(),
            error,
        })?;
        for (action, after) in made {
            moves.push(Made { trip: index, module: trip.module, action });
            now = after;
        }
    }
    Ok(moves)
}

/// The same configuration with every module rolling.
pub(crate) fn rolling(configuration: &Configuration) -> Configuration {
    configuration.with_holds(|_| Hold::Rolling)
}
