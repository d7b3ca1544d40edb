//! Scenes with an arm over the edge of a steel landing.

use super::GenerateError;
use super::draft::{Draft, OFF_M, direction, scattered_width_m, slot_entry};
use super::ground::{Material, Plot};
use super::known::Known;
use super::rehearsal::Rehearsal;
use super::setting::Setting;
use crate::math::{DVec2, DVec3, SplitMix64};
use crate::model::{Body, Configuration, GroundId, Hold, ModuleId, Placement};
use crate::motion::is_sound_at_rest;
use crate::scene::{GoalEntry, SlotEntry};

/// Number of random arms tried before a shorter one is taken.
const DRAWS: usize = 64;

/// An arm: its root on the landing, and the directions of its links, in the coordinates of the task; and who forms it, root first.
struct Arm {
    root_at: [f64; 2],
    links: Vec<DVec3>,
    crew: Vec<ModuleId>,
}

/// Root and links of an arm as slots; the other modules stand nearby.
pub(super) fn reach(
    setting: &Setting,
    modules: usize,
    random: &mut SplitMix64,
) -> Result<Draft, GenerateError> {
    let width = scattered_width_m(setting, modules);
    let edge = 0.5 * width + setting.m(0.4);
    let back = -width - setting.m(0.7);
    let slab = Plot::new([back, -edge], [0.0, edge], 0.0);
    let landing = Plot { bottom_m: Some(setting.m(-0.05)), material: Material::STEEL, ..slab };
    let invert = Plot::new([back, -edge], [setting.m(1.0), edge], setting.m(-0.6));
    let mut decks = setting.ground("landing", &landing, random);
    decks.extend(setting.ground("invert", &invert, random));
    let mut draft = Draft::new(setting, decks);
    draft.scatter("landing", modules, ([-width - setting.m(0.3), -0.5 * width], OFF_M), random);
    let mut crew = Rehearsal::new(draft.problem()?, setting.frame);
    let across = setting.between(setting.m(-0.1), setting.m(0.1), random);
    // The nearest go first.
    let order = crew.nearest_to(0.0, across);
    let root_at = [-crew.kind(order[0]).foot_radius_m - setting.m(0.005), across];
    let longest = 2 + random.below(2);
    let draw = |links| draw(&crew, root_at, &order[..=links], random);
    let Some(arm) = (1..=longest).rev().find_map(draw) else { return Ok(draft) };
    draft.scenario.goal = Some(GoalEntry { slot: slots(&arm, setting, &crew), gather: None });
    if rehearse(&mut crew, &arm) {
        draft.known = Known::Rehearsed { trips: crew.trips };
    }
    Ok(draft)
}

/// An arm that carries its weight with a margin of a tenth.
fn draw(crew: &Rehearsal, root_at: [f64; 2], who: &[ModuleId], random: &mut SplitMix64) -> Option<Arm> {
    (0..DRAWS).find_map(|_| {
        let azimuth = random.between(-0.5, 0.5);
        let mut elevation = random.between(0.3, 1.2);
        let link = |_: &ModuleId| {
            let way = direction(elevation, azimuth);
            elevation -= random.between(0.2, 0.9);
            way
        };
        let arm = Arm { root_at, links: who[1..].iter().map(link).collect(), crew: who.to_vec() };
        stands(crew, &arm).then_some(arm)
    })
}

/// The slots of an arm.
fn slots(arm: &Arm, setting: &Setting, crew: &Rehearsal) -> Vec<SlotEntry> {
    let asked = |id: ModuleId| setting.kind_asked(crew.kind(id));
    let root_at = Some(setting.frame.spot(arm.root_at));
    let root = slot_entry("root".into(), "landing".into(), root_at, None);
    let mut slots = vec![SlotEntry { kind: asked(arm.crew[0]), ..root }];
    for (index, (way, &id)) in arm.links.iter().zip(&arm.crew[1..]).enumerate() {
        let on = if index == 0 { "root".into() } else { format!("link{index}") };
        let toward = Some(setting.frame.way(*way).to_array());
        let slot = slot_entry(format!("link{}", index + 1), on, None, toward);
        slots.push(SlotEntry { kind: asked(id), ..slot });
    }
    slots
}

/// Whether the arm is sound, with limits a tenth tighter and every module braced; the others are left where they are.
fn stands(crew: &Rehearsal, arm: &Arm) -> bool {
    let mut tight = crew.problem.clone();
    tight.limits.hold_factor *= 1.1 * tight.limits.motion_factor;
    let mut shape: Configuration = crew.now.clone();
    let ground = GroundId(0);
    let root_at = DVec2::from(crew.frame.spot(arm.root_at));
    let root = arm.crew[0];
    let Ok(place) = Placement::on_ground(ground, tight.ground(ground), crew.kind(root), root_at, None) else {
        return false;
    };
    *shape.get_mut(root) = Placement { hold: Hold::Braced, ..place };
    for (pair, way) in arm.crew.windows(2).zip(&arm.links) {
        let (host, id) = (pair[0], pair[1]);
        let below = shape.get(host).position;
        let place =
            Placement::on_shell(host, below, crew.kind(host), crew.kind(id), crew.frame.way(*way), None);
        let Ok(place) = place else { return false };
        *shape.get_mut(id) = Placement { hold: Hold::Braced, ..place };
    }
    is_sound_at_rest(&tight, &shape)
}

/// The root, then link after link over the modules that stand.
fn rehearse(crew: &mut Rehearsal, arm: &Arm) -> bool {
    let root = arm.crew[0];
    let root_at = crew.on_deck(root, arm.root_at[0], arm.root_at[1], 0.0);
    crew.go(root, Body::Ground(GroundId(0)), root_at)
        && arm.crew.windows(2).zip(&arm.links).all(|(pair, way)| {
            let place = crew.beside(pair[1], pair[0], *way);
            crew.go(pair[1], Body::Module(pair[0]), place)
        })
}
