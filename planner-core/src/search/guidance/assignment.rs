//! Estimated time to go: the cheapest assignment of modules to slots.

use super::gathering::gathering_places;
use super::goal::payload_shortfall;
use crate::math::{DVec3, steps_of, tolerance};
use crate::model::{Body, Configuration, ModuleId, Problem, SlotPlace};
use crate::search::bounds::own_speed;
use pathfinding::kuhn_munkres::kuhn_munkres_min;
use pathfinding::matrix::Matrix;

/// Nominal places of the goal's slots. They are fixed where all modules that may fill a slot's host have one size.
#[derive(Clone, Debug)]
pub(crate) struct Targets {
    /// Nominal centre of every slot for every module: `places[slot][module]`.
    places: Vec<Vec<Option<DVec3>>>,
    /// Places to gather at, for every module, where a goal names one deck of a ground of several.
    gathering: Vec<Vec<DVec3>>,
    /// Greatest speed of each module's centre while it drives itself, in metres per second.
    speed_mps: Vec<f64>,
}

/// Penalty for a unit of [`payload_shortfall`], in hops.
const SHORTFALL_HOPS: f64 = 4.0;

/// Time that stands for "this module cannot fill this slot", in seconds.
const NEVER_S: f64 = 1e6;

impl Targets {
    pub(crate) fn new(problem: &Problem) -> Self {
        let mut places: Vec<Vec<Option<DVec3>>> = Vec::new();
        for slot in &problem.goal.slots {
            let host = match slot.place {
                SlotPlace::OnGround(..) => None,
                SlotPlace::OnSlot(below, _) => {
                    places.get(below.index()).and_then(|row: &Vec<Option<DVec3>>| {
                        row.iter().enumerate().find_map(|(m, p)| p.map(|p| (ModuleId::at(m), p)))
                    })
                }
            };
            let row = problem
                .module_ids()
                .map(|m| problem.slot_takes(slot, m).then(|| problem.slot_place(slot, m, host)).flatten())
                .collect();
            places.push(row);
        }
        let speed_mps = problem.module_ids().map(|m| own_speed(problem, m)).collect();
        Self { places, gathering: gathering_places(problem), speed_mps }
    }

    /// Nominal places of the slots that a module may fill, and places to gather at.
    pub(crate) fn places_for(&self, module: ModuleId) -> impl Iterator<Item = DVec3> + '_ {
        let slots = self.places.iter().filter_map(move |row| row[module.index()]);
        slots.chain(self.gathering[module.index()].iter().copied())
    }

    /// Whether a module may fill a slot.
    pub(crate) fn takes(&self, slot: usize, module: ModuleId) -> bool {
        self.places[slot][module.index()].is_some()
    }

    /// The slots that a module may fill without leaving its host, and their nominal places.
    pub(crate) fn slots_on(
        &self,
        problem: &Problem,
        configuration: &Configuration,
        module: ModuleId,
    ) -> Vec<(usize, DVec3)> {
        let host = configuration.get(module).host;
        let is_on_host = |slot: usize, place: DVec3| match (problem.goal.slots[slot].place, host) {
            (SlotPlace::OnGround(ground, _), host) => host == Body::Ground(ground),
            (SlotPlace::OnSlot(..), Body::Module(below)) => {
                let distance = problem.kind(module).standing_distance(problem.kind(below));
                (place.distance(configuration.get(below).position) - distance).abs() <= tolerance::LENGTH_M
            }
            (SlotPlace::OnSlot(..), Body::Ground(_) | Body::Stone(_)) => false,
        };
        let places = self.places.iter().enumerate();
        places
            .filter_map(|(slot, row)| row[module.index()].map(|place| (slot, place)))
            .filter(|(slot, place)| is_on_host(*slot, *place))
            .collect()
    }

    /// One nominal place of every slot.
    pub(crate) fn all_places(&self) -> impl Iterator<Item = DVec3> + '_ {
        self.places.iter().filter_map(|row| row.iter().flatten().next().copied())
    }

    /// The estimate that suits a search: the lower bound where the answer must be the shortest (`weight` 1), otherwise the inadmissible estimate.
    pub(crate) fn estimate_s(&self, problem: &Problem, configuration: &Configuration, weight: f64) -> f64 {
        if weight > 1.0 {
            let hop_s = problem.kinds.iter().map(|k| k.hop_time_s).fold(0.0, f64::max);
            self.time_to_go_in_order_s(problem, configuration)
                + SHORTFALL_HOPS * hop_s * payload_shortfall(problem, configuration)
        } else {
            self.time_to_go_s(problem, configuration)
        }
    }

    /// A lower bound on the time that trips one after the other still need, in seconds; infinite when the slots cannot all be filled.
    ///
    /// Complexity: cubic in the modules (Kuhn–Munkres).
    pub(crate) fn time_to_go_s(&self, problem: &Problem, configuration: &Configuration) -> f64 {
        let cost = |slot, module| self.trip_time_s(problem, configuration, slot, module);
        let slots = self.cheapest(configuration, cost).map_or(f64::INFINITY, |(time_s, _)| time_s);
        slots.max(gather_time_s(problem, configuration))
    }

    /// An inadmissible estimate of the same that builds from the ground up and takes structures apart from their ends. Coming nearer to a slot is
    /// worth nothing before the slot's host is filled, because a module that waits there is in the way. Of the modules that have to go to a deck, the
    /// ends of chains come first, because the others carry them. May exceed the true time.
    pub(crate) fn time_to_go_in_order_s(&self, problem: &Problem, configuration: &Configuration) -> f64 {
        let slots =
            self.cheapest_in_order(problem, configuration).map_or(f64::INFINITY, |(time_s, _)| time_s);
        slots.max(gather_time_s(problem, configuration))
    }

    /// The modules that this estimate would move next, the nearest to their slots first, at most two.
    pub(crate) fn wanted_next(&self, problem: &Problem, configuration: &Configuration) -> Vec<ModuleId> {
        let Some((_, modules)) = self.cheapest_in_order(problem, configuration) else { return Vec::new() };
        let filled = self.filled(problem, configuration);
        let mut wanted: Vec<(f64, ModuleId)> = modules
            .into_iter()
            .enumerate()
            .filter(|&(slot, module)| {
                let host_is_there = match problem.goal.slots[slot].place {
                    SlotPlace::OnSlot(below, _) => filled[below.index()],
                    SlotPlace::OnGround(..) => true,
                };
                !filled[slot] && host_is_there && !configuration.is_stood_on(module)
            })
            .map(|(slot, module)| (self.trip_time_s(problem, configuration, slot, module), module))
            .collect();
        wanted.sort_by_key(|(time_s, module)| (steps_of(*time_s), *module));
        wanted.into_iter().map(|(_, module)| module).take(2).collect()
    }

    fn filled(&self, problem: &Problem, configuration: &Configuration) -> Vec<bool> {
        let is_at = |slot: usize, m: ModuleId| {
            self.places[slot][m.index()]
                .is_some_and(|p| p.distance(configuration.get(m).position) < tolerance::SLOT_M)
        };
        (0..self.places.len()).map(|slot| problem.module_ids().any(|m| is_at(slot, m))).collect()
    }

    fn cheapest_in_order(
        &self,
        problem: &Problem,
        configuration: &Configuration,
    ) -> Option<(f64, Vec<ModuleId>)> {
        let filled = self.filled(problem, configuration);
        let cost = |slot: usize, module: ModuleId| match problem.goal.slots[slot].place {
            SlotPlace::OnSlot(below, _) if !filled[below.index()] => {
                if self.places[slot][module.index()].is_none() {
                    NEVER_S
                } else {
                    2.0 * problem.kind(module).hop_time_s
                }
            }
            SlotPlace::OnSlot(..) => self.trip_time_s(problem, configuration, slot, module),
            SlotPlace::OnGround(deck, _) => {
                // Modules that come down from a structure on the same deck; from another deck a structure may be the way.
                let on_it = configuration.hosts_below(module).last() == Some(Body::Ground(deck));
                let below =
                    configuration.hosts_below(module).filter(|b| on_it && b.module().is_some()).count();
                self.trip_time_s(problem, configuration, slot, module)
                    + below as f64 * problem.kind(module).hop_time_s
            }
        };
        self.cheapest(configuration, cost)
    }

    /// The module assigned to each slot by the cheapest assignment, if all slots can be filled.
    pub(crate) fn assign(&self, problem: &Problem, configuration: &Configuration) -> Option<Vec<ModuleId>> {
        let cost = |slot, module| self.trip_time_s(problem, configuration, slot, module);
        self.cheapest(configuration, cost).map(|(_, modules)| modules)
    }

    /// The same with every time, relative to the longest, raised to a power, so that long times have more weight.
    pub(crate) fn assign_by_power(
        &self,
        problem: &Problem,
        configuration: &Configuration,
        power: i32,
    ) -> Option<Vec<ModuleId>> {
        let time_s = |slot, module| self.trip_time_s(problem, configuration, slot, module);
        let pairs = (0..self.places.len()).flat_map(|slot| problem.module_ids().map(move |m| (slot, m)));
        let longest_s = pairs.map(|(slot, m)| time_s(slot, m)).filter(|t| *t < NEVER_S).fold(1e-3, f64::max);
        let cost = |slot, module| match time_s(slot, module) {
            never if never >= NEVER_S => NEVER_S,
            time_s => longest_s * (time_s / longest_s).powi(power),
        };
        self.cheapest(configuration, cost).map(|(_, modules)| modules)
    }

    /// The cheapest assignment and its cost in seconds; `None` if some slot cannot be assigned.
    fn cheapest(
        &self,
        configuration: &Configuration,
        cost_s: impl Fn(usize, ModuleId) -> f64,
    ) -> Option<(f64, Vec<ModuleId>)> {
        let (rows, columns) = (self.places.len(), configuration.len());
        if rows == 0 {
            return Some((0.0, Vec::new()));
        }
        if rows > columns {
            return None;
        }
        let weights =
            Matrix::from_fn(rows, columns, |(slot, m)| (cost_s(slot, ModuleId::at(m)) * 1e6) as i64);
        let (micros, modules) = kuhn_munkres_min(&weights);
        let seconds = micros as f64 * 1e-6;
        (seconds < NEVER_S).then(|| (seconds, modules.into_iter().map(ModuleId::at).collect()))
    }

    fn trip_time_s(
        &self,
        problem: &Problem,
        configuration: &Configuration,
        slot: usize,
        module: ModuleId,
    ) -> f64 {
        let Some(target) = self.places[slot][module.index()] else { return NEVER_S };
        let place = configuration.get(module);
        let distance = place.position.distance(target);
        let hop = match (problem.goal.slots[slot].place, place.host) {
            (SlotPlace::OnGround(deck, _), host) => host != Body::Ground(deck),
            (SlotPlace::OnSlot(..), Body::Ground(_) | Body::Stone(_)) => true,
            // A host makes no trips: a host that is not in its slot's place has to be left.
            (SlotPlace::OnSlot(below, _), Body::Module(host)) => self.places[below.index()][host.index()]
                .is_none_or(|p| p.distance(configuration.get(host).position) > tolerance::LENGTH_M),
        };
        let hop_s = if hop { problem.kind(module).hop_time_s } else { 0.0 };
        distance / self.speed_mps[module.index()] + hop_s
    }
}

/// Time for enough modules to reach the deck to gather on, in seconds.
fn gather_time_s(problem: &Problem, configuration: &Configuration) -> f64 {
    let Some(gather) = problem.goal.gather else { return 0.0 };
    let solid = problem.ground(gather.ground);
    let mut times: Vec<f64> = configuration
        .iter()
        .map(|(id, place)| {
            let kind = problem.kind(id);
            if place.host == Body::Ground(gather.ground) {
                let away_m = gather.within.map_or(0.0, |deck| {
                    let at = problem.sole_from_above(gather.ground, place);
                    -problem.decks[deck.index()].solid.inset(at)
                });
                return (away_m.max(0.0) / kind.slide_speed_mps).min(2.0 * kind.hop_time_s);
            }
            let rise = (kind.ride_height_m - solid.plane.above(place.position)).abs();
            rise / (2.0 * kind.slide_speed_mps) + kind.hop_time_s
        })
        .collect();
    times.sort_by(f64::total_cmp);
    if gather.count > times.len() { f64::INFINITY } else { times[..gather.count].iter().sum() }
}
