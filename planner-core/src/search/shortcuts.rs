//! Shortcuts of a trip sequence: from a stop to a much later one that hardly differs from it.
//!
//! A search that follows novelty wanders: after many trips the crew may stand nearly as before. Such detours are longer than the windows that are solved
//! again, and found at once by comparing stops.

use super::trips::trip_goal::{TripGoal, trip_time_s};
use super::trips::trip_sequence::TripSequence;
use crate::math::{rounded, tolerance};
use crate::model::{Body, Configuration, ModuleId, Problem};

/// Most modules that stand otherwise at the two stops.
const MOST_MOVED: usize = 2;

/// A way past all trips between two stops, if its trips can be made.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Shortcut {
    /// The stop where it begins, and that where it ends.
    pub(super) from: usize,
    pub(super) to: usize,
    /// The time of the trips between, in seconds.
    pub(super) time_s: f64,
    /// For each module at the later stop, the one that is in its place instead.
    pub(super) names: Vec<ModuleId>,
    /// The goals of the trips that are left, at most two, in some order.
    pub(super) goals: Vec<TripGoal>,
}

/// The shortcuts past more than `fewest` trips, those past the longest time first.
///
/// Complexity: quadratic in the trips and in the modules.
pub(super) fn shortcuts(problem: &Problem, sequence: &TripSequence, fewest: usize) -> Vec<Shortcut> {
    let mut ends_s = vec![0.0];
    for (stop, trip) in sequence.stops.iter().zip(&sequence.trips) {
        ends_s.push(ends_s[ends_s.len() - 1] + trip_time_s(problem, stop, trip));
    }
    let stops = &sequence.stops;
    let mut found = Vec::new();
    for from in 0..stops.len() {
        for to in from + fewest + 1..stops.len() {
            if let Some((names, goals)) = difference(problem, &stops[from], &stops[to]) {
                found.push(Shortcut { from, to, time_s: ends_s[to] - ends_s[from], names, goals });
            }
        }
    }
    found.sort_by(|a, b| rounded(b.time_s).total_cmp(&rounded(a.time_s)));
    found
}

/// Which module takes the place of which, and the trips by which the second configuration comes of the first; `None` where too many modules would have
/// to move.
fn difference(
    problem: &Problem,
    before: &Configuration,
    after: &Configuration,
) -> Option<(Vec<ModuleId>, Vec<TripGoal>)> {
    let class = |m: ModuleId| problem.modules[m.index()].class;
    let mut names: Vec<Option<ModuleId>> = vec![None; after.len()];
    let mut left: Vec<ModuleId> = before.iter().map(|(id, _)| id).collect();
    for (id, place) in after.iter() {
        let is_there = |&m: &ModuleId| {
            class(m) == class(id)
                && before.get(m).position.distance(place.position) <= tolerance::SAME_PLACE_M
        };
        if let Some(index) = left.iter().position(is_there) {
            names[id.index()] = Some(left.remove(index));
        }
    }
    if left.len() > MOST_MOVED {
        return None;
    }
    // Whoever has to move keeps its name where that can be.
    for (id, _) in after.iter().filter(|(id, _)| names[id.index()].is_none()).collect::<Vec<_>>() {
        let index =
            left.iter().position(|&m| m == id).or_else(|| left.iter().position(|&m| class(m) == class(id)));
        names[id.index()] = Some(left.remove(index?));
    }
    let names: Vec<ModuleId> = names.into_iter().collect::<Option<_>>()?;
    let host = |host: Body| host.module().map_or(host, |m| Body::Module(names[m.index()]));
    let goals: Vec<TripGoal> = after
        .iter()
        .map(|(id, place)| (names[id.index()], host(place.host), place.position))
        .filter(|&(module, host, position)| {
            let now = before.get(module);
            now.host != host || now.position.distance(position) > tolerance::SAME_PLACE_M
        })
        .map(|(module, host, position)| TripGoal::Go { module, host, position })
        .collect();
    (goals.len() <= MOST_MOVED).then_some((names, goals))
}
