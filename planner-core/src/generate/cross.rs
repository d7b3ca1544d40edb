//! Scenes with a gap between two decks that is narrow enough to cross over one module.

use super::GenerateError;
use super::draft::{Draft, OFF_M, scattered_width_m};
use super::ground::Plot;
use super::known::Known;
use super::rehearsal::Rehearsal;
use super::setting::Setting;
use crate::math::{DVec3, SplitMix64};
use crate::model::{Body, GroundId, ModuleId};

/// All modules cross. In a crew of four or five, three stay: the bridge and its counterweights.
pub(super) fn cross(
    setting: &Setting,
    modules: usize,
    random: &mut SplitMix64,
) -> Result<Draft, GenerateError> {
    let width = scattered_width_m(setting, modules);
    let gap = setting.between(setting.m(0.005), widest(setting), random);
    let edge = 0.5 * width + setting.m(0.8);
    let far = Plot { arrival: true, ..Plot::new([gap, -edge], [width + setting.m(0.8), edge], 0.0) };
    let mut decks =
        setting.ground("near", &Plot::new([-width - setting.m(0.6), -edge], [0.0, edge], 0.0), random);
    decks.extend(setting.ground("far", &far, random));
    let mut draft = Draft::new(setting, decks);
    draft.scatter("near", modules, ([-width - setting.m(0.25), -0.5 * width], OFF_M), random);
    draft.gather("far", if modules >= 2 * HELPERS { modules } else { modules - HELPERS });
    let mut crew = Rehearsal::new(draft.problem()?, setting.frame);
    let across = setting.between(setting.m(-0.1), setting.m(0.1), random);
    if rehearse(&mut crew, setting, gap, across) {
        draft.known = Known::of(crew.trips_to_goal());
    }
    Ok(draft)
}

/// The bridge at the near edge and a counterweight on either side of it.
const HELPERS: usize = 3;

/// Widest gap in metres: with room to spare, a module of any kind still reaches the far side over one of any kind at the edge.
fn widest(setting: &Setting) -> f64 {
    let kinds = || setting.kinds.values();
    let pairs = kinds().flat_map(|root| kinds().map(move |kind| (root, kind)));
    let reach = pairs.map(|(root, kind)| {
        let (apart, lower) =
            (root.shell_radius_m + kind.ride_height_m, root.ride_height_m - kind.ride_height_m);
        (apart * apart - lower * lower).max(0.0).sqrt() - root.foot_radius_m - kind.foot_radius_m
    });
    reach.fold(setting.m(0.040), f64::min) - setting.m(0.015)
}

/// One module at the edge with a counterweight on either side; the others cross it from behind. Then three of them form the same bridge on the far
/// side for those that are left.
fn rehearse(crew: &mut Rehearsal, setting: &Setting, gap: f64, across: f64) -> bool {
    let (near, far) = (Body::Ground(GroundId(0)), Body::Ground(GroundId(1)));
    let order = crew.nearest_to(0.0, across);
    let (helpers, movers) = order.split_at(HELPERS);
    let [root, left, right] = [helpers[0], helpers[1], helpers[2]];
    let root_at = crew.on_deck(root, -crew.kind(root).foot_radius_m, across, 0.0);
    let built = crew.go(root, near, root_at) && weigh_down(crew, root, left, right);
    let waiting = |crew: &Rehearsal, mover: ModuleId, index: usize| {
        let row = index as f64 - 0.5 * movers.len() as f64;
        crew.on_deck(mover, gap + setting.m(0.3), across + setting.m(0.16) * row, 0.0)
    };
    let crossed = built
        && movers.iter().enumerate().all(|(index, &mover)| {
            let (over, place) = (crew.beside(mover, root, DVec3::Z), waiting(crew, mover, index));
            crew.go_past(mover, (Body::Module(root), over), far, place)
        });
    let &[beyond, one_side, other_side, ..] = movers else { return crossed };
    // Far enough to the side to be clear of the near bridge.
    let beyond_at =
        crew.on_deck(beyond, gap + crew.kind(beyond).foot_radius_m, across + setting.m(0.45), 0.0);
    crossed
        && crew.go(beyond, far, beyond_at)
        && weigh_down(crew, beyond, one_side, other_side)
        && [left, right, root].into_iter().enumerate().all(|(index, mover)| {
            let over = crew.beside(mover, beyond, DVec3::Z);
            let y = across + setting.m(0.16) * (index as f64 - 1.0);
            let place = crew.on_deck(mover, gap + setting.m(0.5), y, 0.0);
            crew.go_past(mover, (Body::Module(beyond), over), far, place)
        })
        && [one_side, other_side].into_iter().all(|mover| {
            let beside = crew.at(mover);
            let place = crew.on_deck(mover, beside.x, beside.y, 0.0);
            crew.go(mover, far, place)
        })
}

/// Two counterweights, one on either side of a module.
fn weigh_down(crew: &mut Rehearsal, root: ModuleId, left: ModuleId, right: ModuleId) -> bool {
    [(left, DVec3::Y), (right, -DVec3::Y)].into_iter().all(|(mover, way)| {
        let place = crew.beside(mover, root, way);
        crew.go(mover, Body::Module(root), place)
    })
}
