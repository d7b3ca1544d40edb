//! Shapes that grow by random trips.

use super::GenerateError;
use super::draft::{Draft, concrete, direction};
use super::random::SplitMix64;
use super::rehearsal::Rehearsal;
use crate::math::DVec3;
use crate::model::{Body, ModuleId};
use std::f64::consts::{FRAC_PI_2, FRAC_PI_6, PI};

/// Random places offered for each trip, besides those that geometry offers.
const OFFERS: usize = 4;

/// Modules scattered on the ground; the shape grew from one of them.
pub(super) fn scattered_to_shape(
    title: String,
    modules: usize,
    random: &mut SplitMix64,
) -> Result<Draft, GenerateError> {
    let (mut draft, mut crew) = scattered(title, modules, random)?;
    let hub = ModuleId::at(random.below(modules));
    let shape = grow(&mut crew, hub, random);
    draft.goal_from(&crew.now, &crew.problem, &shape);
    draft.rehearsed = Some(crew.trips);
    Ok(draft)
}

/// A shape that grew from scattered modules, and what became of it by half as many trips again.
pub(super) fn shape_to_shape(
    title: String,
    modules: usize,
    random: &mut SplitMix64,
) -> Result<Draft, GenerateError> {
    let (mut draft, mut crew) = scattered(title, modules, random)?;
    let hub = ModuleId::at(random.below(modules));
    grow(&mut crew, hub, random);
    draft.start_from(&crew.problem, &crew.now);
    let mut crew = Rehearsal::new(draft.problem()?);
    let mut order: Vec<ModuleId> = crew.problem.module_ids().filter(|m| *m != hub).collect();
    random.shuffle(&mut order);
    for mover in order.into_iter().take(modules.div_ceil(2)) {
        step(&mut crew, hub, mover, random);
    }
    let all: Vec<ModuleId> = crew.problem.module_ids().collect();
    draft.goal_from(&crew.now, &crew.problem, &all);
    draft.rehearsed = Some(crew.trips);
    Ok(draft)
}

fn scattered(
    title: String,
    modules: usize,
    random: &mut SplitMix64,
) -> Result<(Draft, Rehearsal), GenerateError> {
    let half = 0.5 * Draft::scattered_width_m(modules);
    let edge = half + 0.4;
    let mut draft = Draft::new(title, vec![concrete("apron", [-edge, -edge], [edge, edge], 0.0)]);
    draft.scatter("apron", modules, [-half, -half], random);
    let crew = Rehearsal::new(draft.problem()?);
    Ok((draft, crew))
}

/// Brings the others to a hub, each onto some shell of the shape where that can be; gives the shape.
fn grow(crew: &mut Rehearsal, hub: ModuleId, random: &mut SplitMix64) -> Vec<ModuleId> {
    let mut others: Vec<ModuleId> = crew.problem.module_ids().filter(|m| *m != hub).collect();
    random.shuffle(&mut others);
    for mover in others {
        step(crew, hub, mover, random);
    }
    let shape = |m: &ModuleId| *m == hub || crew.now.hosts_below(*m).any(|b| b == Body::Module(hub));
    crew.problem.module_ids().filter(shape).collect()
}

/// One random trip of a module onto the shape on a hub, if there is one.
fn step(crew: &mut Rehearsal, hub: ModuleId, mover: ModuleId, random: &mut SplitMix64) {
    let belongs = |m: ModuleId| m == hub || crew.now.hosts_below(m).any(|b| b == Body::Module(hub));
    let hosts: Vec<ModuleId> = crew.problem.module_ids().filter(|&m| m != mover && belongs(m)).collect();
    let offers: Vec<DVec3> = (0..OFFERS)
        .map(|_| {
            let host = hosts[random.below(hosts.len())];
            let way = direction(random.between(-FRAC_PI_6, FRAC_PI_2), random.between(-PI, PI));
            crew.at(host) + way * crew.bond_m()
        })
        .collect();
    let mut ends = crew.trips_of(mover, offers);
    ends.retain(|end| end.place.host.module().is_some_and(|host| hosts.contains(&host)));
    random.shuffle(&mut ends);
    // What is sound on the way may be unsound at rest only by a hair; the next end will do.
    let _ = ends.iter().any(|end| crew.make(mover, end));
}
