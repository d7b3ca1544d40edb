//! One large shape of touching balls.

use super::GenerateError;
use super::assembly::rehearse;
use super::draft::{Draft, OFF_M, scattered_width_m};
use super::ground::Plot;
use super::known::Known;
use super::lattice::{self, Ball, pyramid_size, wall_size};
use super::placed::Placed;
use super::setting::Setting;
use crate::math::SplitMix64;
use crate::model::ModuleId;
use crate::motion::structure::part_of;
use crate::scene::KindEntry;
use std::f64::consts::FRAC_PI_2;

/// Shapes are turned by this angle in radians: walls run along y, and the scattered modules are beside them along x.
const ALONG_Y: f64 = FRAC_PI_2;
/// A wall has at most so many layers.
const HIGHEST_WALL: usize = 8;
/// Free ground between the modules and the shape, and the least and greatest way of a shape that moves, in metres for the demo kind.
const BESIDE_M: f64 = 0.3;
const WAY_M: [f64; 2] = [2.0, 4.0];

/// Scattered modules, and the largest square pyramid that they can form.
pub(super) fn pyramid(
    setting: &Setting,
    modules: usize,
    random: &mut SplitMix64,
) -> Result<Draft, GenerateError> {
    scattered_to(setting, modules, pyramids(setting.first_kind(), modules), random)
}

/// Scattered modules, and a wall.
pub(super) fn wall(
    setting: &Setting,
    modules: usize,
    random: &mut SplitMix64,
) -> Result<Draft, GenerateError> {
    scattered_to(setting, modules, walls(setting.first_kind(), modules), random)
}

/// Scattered modules, and a raft of all of them.
pub(super) fn raft(
    setting: &Setting,
    modules: usize,
    random: &mut SplitMix64,
) -> Result<Draft, GenerateError> {
    let raft = lattice::raft(setting.first_kind(), modules);
    scattered_to(setting, modules, std::iter::once(raft), random)
}

/// A pyramid or a wall, and the same some metres away.
pub(super) fn transport(
    setting: &Setting,
    modules: usize,
    random: &mut SplitMix64,
) -> Result<Draft, GenerateError> {
    let kind = setting.first_kind();
    let way = setting.between(setting.m(WAY_M[0]), setting.m(WAY_M[1]), random);
    if modules >= pyramid_size(2) && random.below(2) == 0 {
        moved(setting, modules, pyramids(kind, modules), way, random)
    } else {
        moved(setting, modules, walls(kind, modules), way, random)
    }
}

/// Pyramids that so many modules can form, the largest first.
fn pyramids(kind: &KindEntry, modules: usize) -> impl Iterator<Item = Vec<Ball>> + '_ {
    let layers = (1..).take_while(move |&layers| pyramid_size(layers) <= modules).last().unwrap_or(0);
    (2..=layers).rev().map(|layers| lattice::pyramid(kind, layers))
}

/// Walls that so many modules can form, the highest first, as long as they can be.
fn walls(kind: &KindEntry, modules: usize) -> impl Iterator<Item = Vec<Ball>> + '_ {
    let layers = (0.5 * (modules as f64).sqrt()).round() as usize;
    (2..=layers.clamp(2, HIGHEST_WALL)).rev().map(move |layers| {
        let foot = (layers..).take_while(|&foot| wall_size(foot, layers) <= modules).last().unwrap_or(layers);
        lattice::wall(kind, foot, layers)
    })
}

/// Modules scattered beside the place of the first of these shapes that stands.
fn scattered_to(
    setting: &Setting,
    modules: usize,
    shapes: impl Iterator<Item = Vec<Ball>>,
    random: &mut SplitMix64,
) -> Result<Draft, GenerateError> {
    let Some(shape) = first_that_stands(setting, modules, shapes, random)? else {
        return Ok(Draft::new(setting, Vec::new()));
    };
    let [_, high] = shape.extent();
    let mut draft = beside(setting, modules, &shape, high[0], random);
    draft.ask_for(&shape, "apron");
    draft.known = known(&draft, shape, setting.rehearsed_up_to())?;
    Ok(draft)
}

/// The first of these shapes that stands, and its place so many metres along x; who is left is scattered beside it.
fn moved(
    setting: &Setting,
    modules: usize,
    shapes: impl Iterator<Item = Vec<Ball>>,
    way: f64,
    random: &mut SplitMix64,
) -> Result<Draft, GenerateError> {
    let Some(shape) = first_that_stands(setting, modules, shapes, random)? else {
        return Ok(Draft::new(setting, Vec::new()));
    };
    let [low, high] = shape.extent();
    let there = high[0] - low[0] + 2.0 * setting.first_kind().shell_radius_m + way;
    let left = modules - shape.balls.len();
    let mut draft = beside(setting, left, &shape, there + high[0], random);
    draft.begin_with(&shape, "apron", random);
    let shape = Placed::new(shape.balls, [there, 0.0], ALONG_Y);
    draft.ask_for(&shape, "apron");
    // It is taken apart too.
    draft.known = known(&draft, shape, setting.rehearsed_up_to() / 2)?;
    Ok(draft)
}

/// A ground from scattered modules, past a shape at the origin, to a greatest x.
fn beside(setting: &Setting, scattered: usize, shape: &Placed, east: f64, random: &mut SplitMix64) -> Draft {
    let [low, high] = shape.extent();
    let width = scattered_width_m(setting, scattered);
    let west = low[0] - setting.m(BESIDE_M) - width;
    let half = (0.5 * width).max(high[1]);
    let plot = Plot::around([west, -half], [east, half], setting.m(0.4));
    let mut draft = Draft::new(setting, setting.ground("apron", &plot, random));
    draft.scatter("apron", scattered, ([west, -0.5 * width], setting.m(OFF_M)), random);
    draft
}

/// The first of some shapes that stands, at the origin.
fn first_that_stands(
    setting: &Setting,
    modules: usize,
    shapes: impl Iterator<Item = Vec<Ball>>,
    random: &mut SplitMix64,
) -> Result<Option<Placed>, GenerateError> {
    for balls in shapes {
        let shape = Placed::new(balls, [0.0; 2], ALONG_Y);
        let [_, high] = shape.extent();
        let problem = beside(setting, modules, &shape, high[0], random).problem()?;
        let members: Vec<ModuleId> = problem.module_ids().take(shape.balls.len()).collect();
        let (alone, _) = part_of(&problem, &problem.start, &members);
        if shape.stands_alone(&alone, setting.frame) {
            return Ok(Some(shape));
        }
    }
    Ok(None)
}

/// What is known of a scene; a shape of more balls than this is not rehearsed.
fn known(draft: &Draft, shape: Placed, most: usize) -> Result<Known, GenerateError> {
    if shape.balls.len() > most { Ok(Known::Untried) } else { rehearse(draft, &[shape]) }
}
