//! Scenes with an arm over the edge of a steel landing.

use super::GenerateError;
use super::draft::{Draft, concrete, direction, slot_entry};
use super::rehearsal::Rehearsal;
use crate::math::{DVec3, SplitMix64};
use crate::model::{Body, Configuration, GroundId, Hold, ModuleId};
use crate::motion::is_sound_at_rest;
use crate::scene::{DeckEntry, GoalEntry};

/// Number of random arms tried before a shorter one is taken.
const DRAWS: usize = 64;

/// Root and links of an arm as slots; the other modules stand nearby.
pub(super) fn reach(title: String, modules: usize, random: &mut SplitMix64) -> Result<Draft, GenerateError> {
    let width = Draft::scattered_width_m(modules);
    let edge = 0.5 * width + 0.4;
    let landing = concrete("landing", [-width - 0.7, -edge], [0.0, edge], 0.0);
    let steel = DeckEntry { bottom_m: Some(-0.05), friction: 0.5, ferrous: true, sealable: true, ..landing };
    let invert = concrete("invert", [-width - 0.7, -edge], [1.0, edge], -0.6);
    let mut draft = Draft::new(title, vec![steel, invert]);
    draft.scatter("landing", modules, [-width - 0.3, -0.5 * width], random);
    let mut crew = Rehearsal::new(draft.problem()?);
    let root_at = [-0.045, random.thousandths(-0.1, 0.1)];
    let longest = 2 + random.below(2);
    let links = (1..=longest).rev().find_map(|links| arm(&crew, root_at, links, random)).unwrap_or_default();
    let mut slots = vec![slot_entry("root".into(), "landing".into(), Some(root_at), None)];
    for (index, way) in links.iter().enumerate() {
        let on = if index == 0 { "root".into() } else { format!("link{index}") };
        slots.push(slot_entry(format!("link{}", index + 1), on, None, Some(way.to_array())));
    }
    draft.scenario.goal = Some(GoalEntry { slot: slots, gather: None });
    if rehearse(&mut crew, root_at, &links) {
        draft.rehearsed = Some(crew.trips);
    }
    Ok(draft)
}

/// Directions of the links of an arm that carries its weight with a margin of a tenth.
fn arm(crew: &Rehearsal, root_at: [f64; 2], links: usize, random: &mut SplitMix64) -> Option<Vec<DVec3>> {
    (0..DRAWS).find_map(|_| {
        let azimuth = random.between(-0.5, 0.5);
        let mut elevation = random.between(0.3, 1.2);
        let ways: Vec<DVec3> = (0..links)
            .map(|_| {
                let way = direction(elevation, azimuth);
                elevation -= random.between(0.2, 0.9);
                way
            })
            .collect();
        stands(crew, root_at, &ways).then_some(ways)
    })
}

/// Whether the arm is sound, with limits a tenth tighter and every module braced; the others are left where they are.
fn stands(crew: &Rehearsal, root_at: [f64; 2], ways: &[DVec3]) -> bool {
    let mut tight = crew.problem.clone();
    tight.limits.hold_factor *= 1.1 * tight.limits.motion_factor;
    let mut shape: Configuration = crew.now.clone();
    let mut place = DVec3::new(root_at[0], root_at[1], 0.5 * crew.bond_m());
    let arm: Vec<ModuleId> = crew.problem.module_ids().take(ways.len() + 1).collect();
    let mut host = Body::Ground(GroundId(0));
    for (index, &id) in arm.iter().enumerate() {
        let up = if index == 0 { DVec3::Z } else { ways[index - 1] };
        if index > 0 {
            place += up * crew.bond_m();
        }
        let facing =
            crate::math::heading_frame(up, DVec3::X).or_else(|| crate::math::heading_frame(up, DVec3::Y));
        let Some(orientation) = facing else { return false };
        *shape.get_mut(id) =
            crate::model::Placement { position: place, orientation, host, hold: Hold::Braced };
        host = Body::Module(id);
    }
    is_sound_at_rest(&tight, &shape)
}

/// The nearest go first: the root, then link after link over the modules that stand.
fn rehearse(crew: &mut Rehearsal, root_at: [f64; 2], ways: &[DVec3]) -> bool {
    let mut place = DVec3::new(root_at[0], root_at[1], 0.5 * crew.bond_m());
    let mut order: Vec<ModuleId> = crew.problem.module_ids().collect();
    order.sort_by(|&a, &b| crew.at(a).distance(place).total_cmp(&crew.at(b).distance(place)));
    let mut host = Body::Ground(GroundId(0));
    let bond = crew.bond_m();
    order.into_iter().zip(0..=ways.len()).all(|(mover, index)| {
        if index > 0 {
            place += ways[index - 1] * bond;
        }
        let came = crew.go(mover, host, place);
        host = Body::Module(mover);
        came
    })
}
