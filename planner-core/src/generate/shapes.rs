//! Shapes that grow by random trips.

use super::GenerateError;
use super::draft::{Draft, OFF_M, direction, scattered_width_m};
use super::ground::Plot;
use super::known::Known;
use super::rehearsal::Rehearsal;
use super::setting::Setting;
use crate::math::{DVec3, SplitMix64};
use crate::model::{Body, ModuleId};
use crate::motion::load_at_rest;
use std::f64::consts::{FRAC_PI_2, FRAC_PI_6, PI};

/// Number of random places offered for each trip, besides those that geometry offers.
const OFFERS: usize = 4;
/// A distance farther than any touch, in metres.
const FAR_M: f64 = 10.0;
/// Least number of modules of a shape.
const LEAST: usize = 3;
/// Number of hubs, or rounds of trips, that are tried.
const TRIES: usize = 16;

/// Modules scattered on the ground, and a shape that grew from one of them.
pub(super) fn scattered_to_shape(
    setting: &Setting,
    modules: usize,
    random: &mut SplitMix64,
) -> Result<Draft, GenerateError> {
    let (mut draft, mut crew) = scattered(setting, modules, random)?;
    let (_, shape) = grow(&mut crew, random);
    if shape.len() < LEAST {
        return Ok(draft);
    }
    // A shape that leans on other modules is made the goal together with them.
    let asked = if stands_alone(&crew, &shape) { shape } else { crew.problem.module_ids().collect() };
    draft.goal_from(&crew.now, &crew.problem, &asked);
    draft.known = Known::Rehearsed { trips: crew.trips };
    Ok(draft)
}

/// A shape that grew from scattered modules, and the shape after half as many further trips.
pub(super) fn shape_to_shape(
    setting: &Setting,
    modules: usize,
    random: &mut SplitMix64,
) -> Result<Draft, GenerateError> {
    let (mut draft, mut crew) = scattered(setting, modules, random)?;
    let (hub, shape) = grow(&mut crew, random);
    if shape.len() < LEAST {
        return Ok(draft);
    }
    draft.start_from(&crew.problem, &crew.now);
    let mut crew = Rehearsal::new(draft.problem()?, setting.frame);
    let all: Vec<ModuleId> = crew.problem.module_ids().collect();
    let mut order: Vec<ModuleId> = all.iter().copied().filter(|m| *m != hub).collect();
    for _ in 0..TRIES {
        random.shuffle(&mut order);
        for &mover in order.iter().take(modules.div_ceil(2)) {
            step(&mut crew, hub, mover, random);
        }
        draft.goal_from(&crew.now, &crew.problem, &all);
        let problem = draft.problem()?;
        // Modules may have been interchanged, and nothing else.
        if !problem.goal_is_met(&problem.start) {
            draft.known = Known::Rehearsed { trips: crew.trips };
            break;
        }
    }
    Ok(draft)
}

fn scattered(
    setting: &Setting,
    modules: usize,
    random: &mut SplitMix64,
) -> Result<(Draft, Rehearsal), GenerateError> {
    let half = 0.5 * scattered_width_m(setting, modules);
    let edge = half + setting.m(0.4);
    let apron = Plot::new([-edge, -edge], [edge, edge], 0.0);
    let mut draft = Draft::new(setting, setting.ground("apron", &apron, random));
    draft.scatter("apron", modules, ([-half, -half], OFF_M), random);
    let crew = Rehearsal::new(draft.problem()?, setting.frame);
    Ok((draft, crew))
}

/// Brings the others to a hub, each onto some shell of the shape where possible; returns the hub and the shape. Where too few get there another hub
/// is tried.
fn grow(crew: &mut Rehearsal, random: &mut SplitMix64) -> (ModuleId, Vec<ModuleId>) {
    let mut best = (ModuleId(0), Vec::new());
    for _ in 0..TRIES {
        let free: Vec<ModuleId> =
            crew.problem.module_ids().filter(|m| crew.now.get(*m).host.ground().is_some()).collect();
        let hub = free[random.below(free.len())];
        let mut others: Vec<ModuleId> = crew.problem.module_ids().filter(|m| *m != hub).collect();
        random.shuffle(&mut others);
        for mover in others {
            step(crew, hub, mover, random);
        }
        let belongs = |m: &ModuleId| *m == hub || crew.now.hosts_below(*m).any(|b| b == Body::Module(hub));
        best = (hub, crew.problem.module_ids().filter(belongs).collect());
        if best.1.len() >= LEAST {
            break;
        }
    }
    best
}

/// Whether a shape carries its load when all others are far away.
fn stands_alone(crew: &Rehearsal, shape: &[ModuleId]) -> bool {
    let mut alone = crew.now.clone();
    for id in crew.problem.module_ids().filter(|id| !shape.contains(id)) {
        alone.get_mut(id).position.x += FAR_M * (1 + id.index()) as f64;
    }
    load_at_rest(&crew.problem, &alone).carries(crew.problem.limits.utilisation())
}

/// One random trip of a module onto the shape on a hub, if there is one.
fn step(crew: &mut Rehearsal, hub: ModuleId, mover: ModuleId, random: &mut SplitMix64) {
    let belongs = |m: ModuleId| m == hub || crew.now.hosts_below(m).any(|b| b == Body::Module(hub));
    let hosts: Vec<ModuleId> = crew.problem.module_ids().filter(|&m| m != mover && belongs(m)).collect();
    let offers: Vec<DVec3> = (0..OFFERS)
        .map(|_| {
            let host = hosts[random.below(hosts.len())];
            let way = direction(random.between(-FRAC_PI_6, FRAC_PI_2), random.between(-PI, PI));
            crew.beside(mover, host, way)
        })
        .collect();
    let mut ends = crew.trips_of(mover, offers);
    ends.retain(|end| end.place.host.module().is_some_and(|host| hosts.contains(&host)));
    random.shuffle(&mut ends);
    // What is sound on the way may be marginally unsound at rest; then the next end is tried.
    let _ = ends.iter().any(|end| crew.make(mover, end));
}
