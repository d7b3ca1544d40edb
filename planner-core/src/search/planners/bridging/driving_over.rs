//! Crews that drive to the deck to gather on: over edges that modules cross they need no structure.

use super::crossing::Crossing;
use crate::control::Stopped;
use crate::math::{DVec2, steps_of};
use crate::model::{Gather, GroundId, ModuleId};
use crate::search::guidance::gathering::grid;
use crate::search::trips::trip_sequence::free_on;
use crate::travel::Trip;

/// The most places that are tried for one module.
const MOST_TRIED: usize = 6;

impl Crossing<'_, '_> {
    /// Sends modules over that get to a deck by driving and crossing alone, until so many stand there: those that begin nearest to it first, each to
    /// the farthest place that is left, so that nobody stands in the way of the next.
    pub(super) fn drive_over(
        &mut self,
        Gather { ground: target, within, count }: Gather,
    ) -> Result<(), Stopped> {
        let problem = self.problem;
        let linked = |ground: &GroundId| *ground != target && problem.are_linked(*ground, target);
        let sources: Vec<GroundId> = problem.ground_ids().filter(linked).collect();
        if sources.is_empty() {
            return Ok(());
        }
        let mut places = grid(problem, target, within, count);
        let middle = places.iter().sum::<DVec2>() / places.len().max(1) as f64;
        let now = self.sequence.now().clone();
        let mut movers: Vec<ModuleId> =
            sources.into_iter().flat_map(|source| free_on(&now, source)).collect();
        movers.sort_by_key(|m| (steps_of(now.get(*m).position.truncate().distance(middle)), *m));
        for module in movers {
            if self.there() >= count {
                break;
            }
            let ride_m = problem.kind(module).ride_height_m;
            for index in (0..places.len()).rev().take(MOST_TRIED) {
                let place = problem.ground(target).stand(places[index], ride_m);
                let end = self.finder.trip_to_deck(self.sequence.now(), module, target, &[place])?;
                let Some(end) = end else { continue };
                if self.sequence.go(&self.finder, Trip::alone(module, end.waypoints))? {
                    places.remove(index);
                    break;
                }
            }
        }
        Ok(())
    }
}
