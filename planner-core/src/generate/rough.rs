//! Scenes on rough ground: a lane of slopes and kerbs with stones in it, which the crew drives over.

use super::GenerateError;
use super::draft::{Draft, OFF_M, scattered_width_m};
use super::ground::{Material, Plot};
use super::known::Known;
use super::rehearsal::Rehearsal;
use super::rounding::{hundredths, nanometres};
use super::setting::Setting;
use crate::math::{DVec3, SplitMix64, tan};
use crate::model::{Body, GroundId};
use crate::scene::{DeckEntry, StoneEntry};

/// The lane has so many strips between the first and the last, or up to so many.
const STRIPS: [usize; 2] = [1, 4];
/// No strip is steeper, in degrees: with bare ground and the sway it carries a module and one that stands on it.
const STEEPEST_DEG: f64 = 8.0;
/// No kerb is higher, in radii of the smallest shell.
const KERB_RADII: f64 = 0.2;
/// A stone sticks out of the ground by at most so many radii of the smallest shell.
const OUT_RADII: f64 = 0.4;

/// All but one cross to the last strip.
pub(super) fn rough(
    setting: &Setting,
    modules: usize,
    random: &mut SplitMix64,
) -> Result<Draft, GenerateError> {
    let width = scattered_width_m(setting, modules);
    let half = 0.5 * width + setting.m(0.3);
    let smallest = setting.kinds.values().map(|kind| kind.shell_radius_m).fold(f64::INFINITY, f64::min);
    let kerb_m = setting.floor(KERB_RADII * smallest);
    let (mut decks, mut stones) = (Vec::new(), Vec::new());
    let mut begins = [-width - setting.m(0.4), 0.0];
    let strips = STRIPS[0] + random.below(STRIPS[1] - STRIPS[0] + 1);
    for strip in 0..strips + 2 {
        let is_end = strip == 0 || strip == strips + 1;
        let length = if is_end { width + setting.m(0.4) } else { setting.between(0.4, 0.9, random) };
        let degrees = if is_end { 0.0 } else { hundredths(random.between(-STEEPEST_DEG, STEEPEST_DEG)) };
        let [x, height] = begins;
        let rise = tan(degrees.to_radians());
        let ends = [nanometres(x + length), nanometres(height + rise * length)];
        decks.push(deck(setting, strip, ([x, ends[0]], half), [height, ends[1]], random));
        for _ in 0..if is_end { 0 } else { random.below(3) } {
            let at = [x + length * random.between(0.3, 0.7), random.between(-half, half)];
            let ground_m = height + rise * (at[0] - x);
            stones.push(stone(setting, stones.len(), at, (ground_m, OUT_RADII * smallest), random));
        }
        let kerb = if random.below(2) == 0 { setting.between(-kerb_m, kerb_m, random) } else { 0.0 };
        begins = [ends[0], nanometres(ends[1] + kerb)];
    }
    let mut draft = Draft::new(setting, decks);
    draft.scenario.stone = stones;
    for kind in draft.scenario.kind.values_mut() {
        kind.step_limit_m = Some(kerb_m);
        kind.crease_limit_deg = Some(2.0 * STEEPEST_DEG);
    }
    draft.scatter(&name(0), modules, ([-width - setting.m(0.2), -0.5 * width], OFF_M), random);
    let last = strips + 1;
    draft.gather(&name(last), modules - 1);
    let mut crew = Rehearsal::new(draft.problem()?, setting.frame);
    if rehearse(&mut crew, setting, modules - 1, half) {
        draft.known = Known::of(crew.trips_to_goal());
    }
    Ok(draft)
}

fn name(strip: usize) -> String {
    format!("strip-{}", strip + 1)
}

/// A strip between two x, with the heights there.
fn deck(
    setting: &Setting,
    strip: usize,
    ([from, to], half): ([f64; 2], f64),
    [low, high]: [f64; 2],
    random: &mut SplitMix64,
) -> DeckEntry {
    let mut decks = setting.ground(&name(strip), &Plot::new([from, -half], [to, half], low), random);
    let mut deck = decks.swap_remove(0);
    let corners = [[from, -half, low], [to, -half, high], [to, half, high], [from, half, low]];
    let placed = |[x, y, z]: [f64; 3]| {
        let [x, y] = setting.frame.spot([x, y]).map(nanometres);
        if low == high { vec![x, y] } else { vec![x, y, z] }
    };
    deck.outline_m = corners.map(placed).to_vec();
    deck.top_m = (low == high).then_some(low);
    // Magnets hold on steel, and so do feet that stand on steep ground.
    deck.friction = deck.friction.max(Material::CONCRETE.friction);
    deck
}

/// A ball that is sunk in the ground.
fn stone(
    setting: &Setting,
    number: usize,
    at: [f64; 2],
    (ground_m, out_m): (f64, f64),
    random: &mut SplitMix64,
) -> StoneEntry {
    let [x, y] = setting.frame.spot(at).map(nanometres);
    let radius_m = setting.between(0.05, 0.15, random);
    let out_m = random.between(0.2, 1.0) * out_m;
    StoneEntry {
        name: format!("stone-{}", number + 1),
        at_m: [x, y, nanometres(ground_m + out_m - radius_m)],
        radius_m,
        friction: 0.6,
    }
}

/// One after the other drives over to a place of its own, the nearest first.
fn rehearse(crew: &mut Rehearsal, setting: &Setting, count: usize, half: f64) -> bool {
    let last = GroundId::at(crew.problem.grounds.len() - 1);
    let top = crew.problem.ground(last).height_m();
    let corners = crew.problem.ground(last).outline.corners();
    let ends: Vec<f64> = corners.map(|corner| crew.frame.back(corner.extend(0.0)).x).collect();
    let [from, to] = [
        ends.iter().copied().fold(f64::INFINITY, f64::min),
        ends.iter().copied().fold(f64::NEG_INFINITY, f64::max),
    ];
    let pitch = setting.m(0.16);
    let rows = (((2.0 * half) / pitch).floor() as usize).max(1);
    let order = crew.nearest_to(0.0, 0.0);
    order.into_iter().take(count).enumerate().all(|(index, mover)| {
        let (column, row) = (index / rows, index % rows);
        let x = to - setting.m(0.1) - pitch * column as f64;
        let y = pitch * (row as f64 - 0.5 * (rows - 1) as f64);
        let place = DVec3::new(x.max(from + setting.m(0.06)), y, top + crew.kind(mover).ride_height_m);
        crew.go(mover, Body::Ground(last), place)
    })
}
