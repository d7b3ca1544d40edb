//! Scenes in which a machine of legs walks over a lane of level stones whose tops differ in height.
//!
//! The number of modules decides the legs: from seven on, as many legs of two as there can be, and one of three if a module is left over; below that,
//! ends on the hub itself. They are spread around the hub so that it sits balanced, and each is let down until its end touches a stone.

use super::GenerateError;
use super::draft::{Draft, direction, slot_entry};
use super::frame::Frame;
use super::known::Known;
use super::rounding::{hundredths, nanometres};
use super::setting::Setting;
use crate::geometry::{Prism, Slope};
use crate::math::{DVec2, DVec3, SplitMix64};
use crate::model::Hold;
use crate::motion::is_sound_at_rest;
use crate::scene::{DeckEntry, GoalEntry, HoldWord, KindEntry};
use std::f64::consts::PI;

/// How far the machine walks at least, in metres for the demo kind, like all lengths here.
const FAR_M: f64 = 0.5;
/// The lane reaches so far beyond the hub's places.
const AROUND_M: f64 = 0.42;
/// Least and greatest length of a stone and width of a row of stones.
const LENGTH_M: [f64; 2] = [0.12, 0.22];
const WIDTH_M: [f64; 2] = [0.12, 0.18];
/// Gap between stones.
const GAP_M: f64 = 0.02;
/// Tops lie above or below their mean by at most so much.
const UNEVEN_M: f64 = 0.005;
/// Least angle between two legs, in radians: hosts keep clear of each other.
const APART_RAD: f64 = 62.0 * PI / 180.0;
/// The centre of mass lies over the foot, within this share of its radius.
const BALANCED: f64 = 0.35;
/// Sine of the elevation of the first module of a leg of three.
const RAISED: f64 = 0.64;
/// Greatest and least sine of the elevation of an end's host.
const LET_DOWN: [f64; 2] = [0.6, -0.6];
/// Fewest modules of a machine with three legs of two.
const LEGS_OF_TWO: usize = 7;
/// Legs are drawn so often at most.
const DRAWS: usize = 100_000;

/// A leg: the azimuth of its modules but the end, their number, and the side of its end.
struct Leg {
    azimuth: f64,
    modules: usize,
    side: f64,
}

/// A module of a machine: which it stands on, and where its centre is.
type Stand = (Option<usize>, DVec3);

pub(super) fn walk(
    setting: &Setting,
    modules: usize,
    random: &mut SplitMix64,
) -> Result<Draft, GenerateError> {
    let mut setting = setting.clone();
    if !setting.is_turned() {
        let turn_deg = random.between(0.0, 360.0).round();
        setting.frame = Frame::new(turn_deg.to_radians(), DVec3::ZERO);
        setting.facts.push(format!("Turned by {turn_deg}°."));
    }
    let kind = setting.first_kind().clone();
    let (stones, ends) = paving(&setting, random);
    let friction = hundredths(random.between(0.6, 0.8));
    let mut draft = Draft::new(&setting, entries(&setting, &stones, friction));
    let fitting = (0..DRAWS).find_map(|_| {
        let legs = legs(modules, &kind, random)?;
        let [start, goal] = ends.map(|stone| machine(&legs, &kind, &stones, stone));
        Some([start?, goal?])
    });
    let Some([start, goal]) = fitting else { return Ok(draft) };
    for (index, (host, at)) in start.iter().enumerate() {
        draft.stand(&name(ends[0]), [0.0; 2], random);
        let Some(entry) = draft.scenario.module.last_mut() else { continue };
        let Some(host) = *host else {
            entry.at_m = Some(setting.frame.spot([at.x, at.y]).map(nanometres));
            continue;
        };
        entry.on = format!("m{}", host + 1);
        let toward = setting.frame.way(*at - start[host].1).normalize();
        (entry.at_m, entry.toward) = (None, Some(toward.to_array()));
        let is_stood_on = start.iter().any(|(below, _)| *below == Some(index));
        entry.hold = if is_stood_on { HoldWord::Braced } else { HoldWord::Rolling };
    }
    let slot = goal.iter().enumerate().map(|(index, (host, at))| match host {
        None => {
            let spot = setting.frame.spot([at.x, at.y]).map(nanometres);
            slot_entry(format!("s{}", index + 1), name(ends[1]), Some(spot), None)
        }
        Some(host) => {
            let toward = setting.frame.way(*at - goal[*host].1).normalize().to_array();
            slot_entry(format!("s{}", index + 1), format!("s{}", host + 1), None, Some(toward))
        }
    });
    draft.scenario.goal = Some(GoalEntry { slot: slot.collect(), gather: None });
    let problem = draft.problem()?;
    let rests = is_sound_at_rest(&problem, &problem.start.with_holds(|_| Hold::Braced));
    draft.known = if rests { Known::Untried } else { Known::Failed };
    if !rests {
        draft.scenario.goal = None;
    }
    Ok(draft)
}

fn name(stone: usize) -> String {
    format!("stone-{}", stone + 1)
}

/// Stones in rows, in the coordinates of the task; and on which the hub stands at the start and in the end.
fn paving(setting: &Setting, random: &mut SplitMix64) -> (Vec<Prism>, [usize; 2]) {
    let around = setting.m(AROUND_M);
    let (mut stones, mut hub_row) = (Vec::new(), 0..0);
    let mut low = -around;
    while low < around {
        let width = setting.between(WIDTH_M[0], WIDTH_M[1], random);
        let first = stones.len();
        let mut x = -around - setting.between(0.0, LENGTH_M[0], random);
        while x < setting.m(FAR_M) + around {
            let length = setting.between(LENGTH_M[0], LENGTH_M[1], random);
            let top = setting.m(random.between(-UNEVEN_M, UNEVEN_M));
            let outline = [[x, low], [x + length, low], [x + length, low + width], [x, low + width]];
            let outline = outline.map(|corner| DVec2::from(corner.map(nanometres))).to_vec();
            stones.push(Prism { outline, bottom: f64::NEG_INFINITY, top: Slope::rising(top, DVec2::ZERO) });
            x += length + setting.m(GAP_M);
        }
        if low <= 0.0 {
            hub_row = first..stones.len();
        }
        low += width + setting.m(GAP_M);
    }
    let from = hub_row.clone().find(|&stone| middle(&stones[stone]).x >= 0.0).unwrap_or(hub_row.start);
    let far = middle(&stones[from]).x + setting.m(FAR_M);
    let to = hub_row.clone().find(|&stone| middle(&stones[stone]).x >= far).unwrap_or(hub_row.end - 1);
    (stones, [from, to])
}

fn middle(stone: &Prism) -> DVec2 {
    0.5 * (stone.outline[0] + stone.outline[2])
}

fn entries(setting: &Setting, stones: &[Prism], friction: f64) -> Vec<DeckEntry> {
    let entry = |(index, stone): (usize, &Prism)| DeckEntry {
        name: name(index),
        outline_m: stone
            .outline
            .iter()
            .map(|corner| setting.frame.spot(corner.to_array()).map(nanometres).to_vec())
            .collect(),
        top_m: Some(stone.top.origin.z),
        bottom_m: None,
        friction,
        ferrous: false,
        sealable: false,
        relief_m: None,
        tilt_deg: None,
    };
    stones.iter().enumerate().map(entry).collect()
}

/// Legs for so many modules; `None` unless they are spread so that the hub sits balanced.
fn legs(modules: usize, kind: &KindEntry, random: &mut SplitMix64) -> Option<Vec<Leg>> {
    let ends_on_hub = modules < LEGS_OF_TWO;
    let count = if ends_on_hub { modules - 1 } else { (modules - 1) / 2 };
    let standing_m = kind.shell_radius_m + kind.ride_height_m;
    let legs: Vec<Leg> = (0..count)
        .map(|leg| Leg {
            azimuth: random.between(0.0, 2.0 * PI),
            modules: match modules {
                _ if ends_on_hub => 1,
                _ if leg == 0 && modules % 2 == 0 => 3,
                _ => 2,
            },
            side: if random.below(2) == 0 { 1.0 } else { -1.0 },
        })
        .collect();
    let apart = |a: &Leg, b: &Leg| {
        let off = (a.azimuth - b.azimuth).abs();
        off.min(2.0 * PI - off) > APART_RAD
    };
    let is_apart = (0..count).all(|i| legs[..i].iter().all(|other| apart(other, &legs[i])));
    let moment = legs.iter().fold(DVec2::ZERO, |sum, leg| {
        let flat = spine(leg, standing_m, 0.2);
        sum + flat.iter().map(|at| at.truncate()).sum::<DVec2>()
    });
    let is_balanced = moment.length() / (modules as f64) < BALANCED * kind.foot_radius_m;
    (is_apart && is_balanced).then_some(legs)
}

/// The modules of a leg, from the hub's centre, when the end or its host is so far above it, as a share of a bond's length.
fn spine(leg: &Leg, standing_m: f64, last: f64) -> Vec<DVec3> {
    let on = |sine: f64| direction(crate::math::asin(sine), leg.azimuth) * standing_m;
    let mut spine =
        if leg.modules == 3 { vec![on(RAISED), on(RAISED) + on(last - RAISED)] } else { vec![on(last)] };
    if leg.modules > 1 {
        spine.push(spine[spine.len() - 1] + beside(leg, standing_m));
    }
    spine
}

/// From the last of them to the end, which stands square beside it and below.
fn beside(leg: &Leg, standing_m: f64) -> DVec3 {
    let level = direction(0.0, leg.azimuth + leg.side * 0.4 * PI);
    (level - DVec3::Z * 0.4).normalize() * standing_m
}

/// A machine with its hub on the middle of a stone, each leg let down until its end touches a stone; `None` if it overlaps itself or the stones.
fn machine(legs: &[Leg], kind: &KindEntry, stones: &[Prism], stone: usize) -> Option<Vec<Stand>> {
    let (radius_m, standing_m) = (kind.shell_radius_m, kind.shell_radius_m + kind.ride_height_m);
    let hub = middle(&stones[stone]).extend(stones[stone].top.origin.z + kind.ride_height_m);
    let clear_m = |at: DVec3| stones.iter().map(|deck| deck.distance(at)).fold(f64::INFINITY, f64::min);
    let mut stands: Vec<Stand> = vec![(None, hub)];
    for leg in legs {
        let at =
            |last: f64| spine(leg, standing_m, last).into_iter().map(|place| hub + place).collect::<Vec<_>>();
        let keeps_off = |last: f64| at(last).into_iter().all(|place| clear_m(place) > radius_m + 1e-7);
        let (mut high, mut low) = (LET_DOWN[0], LET_DOWN[1]);
        for _ in 0..50 {
            let between = 0.5 * (high + low);
            if keeps_off(between) { high = between } else { low = between }
        }
        let mut host = 0;
        for place in at(high) {
            stands.push((Some(host), place));
            host = stands.len() - 1;
        }
    }
    let apart = |a: usize, b: usize| {
        stands[a].1.distance(stands[b].1) > 2.0 * radius_m + if stands[a].0 == Some(b) { -1e-9 } else { 1e-6 }
    };
    let is_clear = (0..stands.len()).all(|a| (0..a).all(|b| apart(a, b)));
    let is_off = stands.iter().all(|(_, at)| clear_m(*at) > radius_m - 1e-9);
    (is_clear && is_off).then_some(stands)
}
