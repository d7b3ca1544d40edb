//! Scenes with a wall to climb, over a step of two or three modules at its foot.

use super::GenerateError;
use super::draft::{Draft, OFF_M, scattered_width_m};
use super::ground::Plot;
use super::known::Known;
use super::rehearsal::Rehearsal;
use super::setting::Setting;
use crate::math::{DVec3, SplitMix64};
use crate::model::{Body, GroundId, Kind};
use crate::scene::KindEntry;

/// Some modules climb the wall; two or three stay as the step.
pub(super) fn climb(
    setting: &Setting,
    modules: usize,
    random: &mut SplitMix64,
) -> Result<Draft, GenerateError> {
    let width = scattered_width_m(setting, modules);
    let high = random.below(2) == 1;
    let [over_one, over_two] = gains(setting);
    let top = if high {
        setting.between(setting.m(0.125), over_two - setting.m(0.001), random)
    } else {
        setting.between(setting.m(0.02), over_one, random)
    };
    let edge = 0.5 * width + setting.m(0.4);
    let depth = width + setting.m(0.6);
    let sill = Plot { arrival: true, ..Plot::new([0.0, -edge], [depth, edge], top) };
    let mut decks = setting.ground("apron", &Plot::new([-depth, -edge], [0.0, edge], 0.0), random);
    decks.extend(setting.ground("sill", &sill, random));
    let mut draft = Draft::new(setting, decks);
    draft.scatter("apron", modules, ([-width - setting.m(0.2), -0.5 * width], OFF_M), random);
    let stay = if high { 3 } else { 2 };
    draft.gather("sill", modules - stay);
    let mut crew = Rehearsal::new(draft.problem()?, setting.frame);
    let across = setting.between(setting.m(-0.1), setting.m(0.1), random);
    if rehearse(&mut crew, setting, top, across, stay) {
        draft.known = Known::of(crew.trips_to_goal());
    }
    Ok(draft)
}

/// Heights that every module can gain over one module at the wall and over a stack of two, whatever their kinds, in metres. A module that gets off
/// must stand with all of its foot beyond the edge.
fn gains(setting: &Setting) -> [f64; 2] {
    let kinds = || setting.kinds.values();
    let stands = |on: &KindEntry, kind: &KindEntry| on.shell_radius_m + kind.ride_height_m;
    let last = |base: &KindEntry, under: &KindEntry, kind: &KindEntry| {
        let off = base.shell_radius_m + kind.foot_radius_m;
        (stands(under, kind).powi(2) - off * off).max(0.0).sqrt() - kind.ride_height_m
    };
    let mut least = [f64::INFINITY; 2];
    for (base, kind) in kinds().flat_map(|base| kinds().map(move |kind| (base, kind))) {
        least[0] = least[0].min(base.ride_height_m + last(base, base, kind));
        for upper in kinds() {
            least[1] = least[1].min(base.ride_height_m + stands(base, upper) + last(base, upper, kind));
        }
    }
    least.map(|gain| setting.floor(gain))
}

/// A step at the wall, with a module beside it as a counterweight; the others climb over it one after the other.
fn rehearse(crew: &mut Rehearsal, setting: &Setting, top: f64, across: f64, stay: usize) -> bool {
    let (apron, sill) = (Body::Ground(GroundId(0)), Body::Ground(GroundId(1)));
    // The nearest to the wall form the step, so that none of them has to pass the others.
    let order = crew.nearest_to(0.0, across);
    let (step, climbers) = order.split_at(stay);
    let (base, weight) = (step[0], step[1]);
    let base_at = crew.on_deck(base, -off_wall(crew.kind(base), top), across, 0.0);
    if !crew.go(base, apron, base_at) {
        return false;
    }
    let beside = crew.beside(weight, base, -DVec3::Y);
    if !crew.go(weight, Body::Module(base), beside) {
        return false;
    }
    let mut highest = base;
    if let Some(&upper) = step.get(2) {
        let place = crew.beside(upper, base, DVec3::Z);
        if !crew.go(upper, Body::Module(base), place) {
            return false;
        }
        highest = upper;
    }
    climbers.iter().enumerate().all(|(index, &climber)| {
        let row = index as f64 - 0.5 * climbers.len() as f64;
        let place = crew.on_deck(climber, setting.m(0.25), across + setting.m(0.15) * row, top);
        let over = crew.beside(climber, highest, DVec3::Z);
        crew.go_past(climber, (Body::Module(highest), over), sill, place)
    })
}

/// How far from a wall this high a module stands when it touches the wall, or the wall's edge where that is lower than its centre: it cannot tip
/// towards the wall. All of its foot must be on the ground.
fn off_wall(kind: &Kind, top: f64) -> f64 {
    let above = (kind.ride_height_m - top).max(0.0);
    (kind.shell_radius_m.powi(2) - above * above).max(0.0).sqrt().max(kind.foot_radius_m)
}
