//! Estimated time to go: the cheapest assignment of modules to places.

use crate::math::DVec3;
use crate::model::{Body, Configuration, ModuleId, Problem, SlotPlace};
use pathfinding::kuhn_munkres::kuhn_munkres_min;
use pathfinding::matrix::Matrix;

/// Nominal places of the goal's slots, fixed for a problem when all modules that may fill a slot's host have one size.
#[derive(Clone, Debug)]
pub(super) struct Targets {
    /// Nominal centre of every slot for every module: `places[slot][module]`.
    places: Vec<Vec<Option<DVec3>>>,
    /// Largest speed of a module's centre while it drives itself.
    speed_mps: Vec<f64>,
}

/// Time that stands for "this module cannot fill this slot".
const NEVER_S: f64 = 1e6;

impl Targets {
    pub(super) fn new(problem: &Problem) -> Self {
        let mut places: Vec<Vec<Option<DVec3>>> = Vec::new();
        for slot in &problem.goal.slots {
            let host = match slot.place {
                SlotPlace::OnDeck(..) => None,
                SlotPlace::OnSlot(below, _) => places.get(below.index()).and_then(|row: &Vec<Option<DVec3>>| {
                    row.iter().enumerate().find_map(|(m, p)| p.map(|p| (ModuleId::at(m), p)))
                }),
            };
            let row = problem
                .module_ids()
                .map(|m| problem.slot_takes(slot, m).then(|| problem.slot_place(slot, m, host)).flatten())
                .collect();
            places.push(row);
        }
        let largest_step = |m: ModuleId| {
            let kind = problem.kind(m);
            // On a shell of radius R the centre goes (R + h)/R times as fast as the sole.
            problem
                .kinds
                .iter()
                .map(|host| kind.slide_speed_mps * kind.standing_distance(host) / host.shell_radius_m)
                .fold(kind.slide_speed_mps, f64::max)
        };
        Self { places, speed_mps: problem.module_ids().map(largest_step).collect() }
    }

    /// Nominal places of slots that a module may fill.
    pub(super) fn places_for(&self, module: ModuleId) -> impl Iterator<Item = DVec3> + '_ {
        self.places.iter().filter_map(move |row| row[module.index()])
    }

    /// One nominal place of every slot.
    pub(super) fn all_places(&self) -> impl Iterator<Item = DVec3> + '_ {
        self.places.iter().filter_map(|row| row.iter().flatten().next().copied())
    }

    /// A lower bound on the time that trips one after the other still need, in seconds; infinite when the slots cannot all
    /// be filled.
    ///
    /// Complexity: cubic in the modules (Kuhn–Munkres).
    pub(super) fn time_to_go_s(&self, problem: &Problem, configuration: &Configuration) -> f64 {
        let slots = self.slot_time_s(problem, configuration);
        slots.max(gather_time_s(problem, configuration))
    }

    fn slot_time_s(&self, problem: &Problem, configuration: &Configuration) -> f64 {
        let (rows, columns) = (self.places.len(), configuration.len());
        if rows == 0 {
            return 0.0;
        }
        if rows > columns {
            return f64::INFINITY;
        }
        let weights = Matrix::from_fn(rows, columns, |(slot, module)| {
            let time = self.trip_time_s(problem, configuration, slot, ModuleId::at(module));
            (time * 1e6) as i64
        });
        let (micros, _) = kuhn_munkres_min(&weights);
        let seconds = micros as f64 * 1e-6;
        if seconds >= NEVER_S { f64::INFINITY } else { seconds }
    }

    /// The module assigned to each slot by the cheapest assignment, if all slots can be filled.
    pub(super) fn assign(&self, problem: &Problem, configuration: &Configuration) -> Option<Vec<ModuleId>> {
        let (rows, columns) = (self.places.len(), configuration.len());
        if rows > columns {
            return None;
        }
        let cost = |slot, module| self.trip_time_s(problem, configuration, slot, ModuleId::at(module));
        let weights = Matrix::from_fn(rows, columns, |(slot, module)| (cost(slot, module) * 1e6) as i64);
        let (micros, modules) = kuhn_munkres_min(&weights);
        (micros < (NEVER_S * 1e6) as i64).then(|| modules.into_iter().map(ModuleId::at).collect())
    }

    fn trip_time_s(&self, problem: &Problem, configuration: &Configuration, slot: usize, module: ModuleId) -> f64 {
        let Some(target) = self.places[slot][module.index()] else { return NEVER_S };
        let place = configuration.get(module);
        let distance = place.position.distance(target);
        if distance < 1e-6 {
            return 0.0;
        }
        let hop = match (problem.goal.slots[slot].place, place.host) {
            (SlotPlace::OnDeck(deck, _), host) => host != Body::Deck(deck),
            (SlotPlace::OnSlot(..), host) => host.deck().is_some(),
        };
        let hop_s = if hop { problem.kind(module).hop_time_s } else { 0.0 };
        distance / self.speed_mps[module.index()] + hop_s
    }
}

/// Time for enough modules to come onto the deck to gather on.
fn gather_time_s(problem: &Problem, configuration: &Configuration) -> f64 {
    let Some(gather) = problem.goal.gather else { return 0.0 };
    let solid = &problem.decks[gather.deck.index()].solid;
    let mut times: Vec<f64> = configuration
        .iter()
        .map(|(id, place)| {
            if place.host == Body::Deck(gather.deck) {
                return 0.0;
            }
            let kind = problem.kind(id);
            let rise = (solid.top + kind.ride_height_m - place.position.z).abs();
            rise / (2.0 * kind.slide_speed_mps) + kind.hop_time_s
        })
        .collect();
    times.sort_by(f64::total_cmp);
    if gather.count > times.len() { f64::INFINITY } else { times[..gather.count].iter().sum() }
}
