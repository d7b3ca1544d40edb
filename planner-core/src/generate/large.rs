//! One large shape of touching balls, and modules scattered beside its place.

use super::GenerateError;
use super::assembly::assemble;
use super::draft::{Draft, scattered_width_m};
use super::ground::Plot;
use super::known::Known;
use super::lattice::{Ball, pyramid as balls_of_pyramid, pyramid_size};
use super::placed::Placed;
use super::rehearsal::Rehearsal;
use super::setting::Setting;
use crate::math::SplitMix64;
use crate::model::ModuleId;
use crate::motion::structure::part_of;

/// Shapes of up to so many balls are rehearsed: where feet hold on the ground, and where every way up has to be held down by counterweights.
const REHEARSED: [usize; 2] = [30, 14];

/// The largest square pyramid that the crew can form.
pub(super) fn pyramid(
    setting: &Setting,
    modules: usize,
    random: &mut SplitMix64,
) -> Result<Draft, GenerateError> {
    let layers = (1..).take_while(|&layers| pyramid_size(layers) <= modules).last().unwrap_or(1);
    beside_scattered(setting, modules, balls_of_pyramid(setting.first_kind(), layers), random)
}

fn beside_scattered(
    setting: &Setting,
    modules: usize,
    balls: Vec<Ball>,
    random: &mut SplitMix64,
) -> Result<Draft, GenerateError> {
    let width = scattered_width_m(setting, modules);
    let shape = Placed::new(balls, [0.0; 2], 0.0);
    let [low, high] = shape.extent();
    let radius = setting.first_kind().shell_radius_m;
    let west = low[0] - 2.0 * radius - setting.m(0.3) - width;
    let half = (0.5 * width).max(high[1]);
    let site = Plot::around([west, -half], [high[0], half], setting.m(0.4));
    let mut draft = Draft::new(setting, setting.ground("apron", &site, random));
    draft.scatter("apron", modules, [west, -0.5 * width], random);
    let problem = draft.problem()?;
    let members: Vec<ModuleId> = problem.module_ids().take(shape.balls.len()).collect();
    let (alone, _) = part_of(&problem, &problem.start, &members);
    if !shape.carries(&alone, setting.frame) {
        return Ok(draft);
    }
    draft.ask_for(&shape, "apron");
    let most = REHEARSED[usize::from(!setting.steel)];
    draft.known = if shape.balls.len() <= most { rehearse(&draft, &shape)? } else { Known::Untried };
    Ok(draft)
}

/// Forms the shape with the whole crew on the ground.
fn rehearse(draft: &Draft, shape: &Placed) -> Result<Known, GenerateError> {
    let mut crew = Rehearsal::new(draft.problem()?, draft.setting.frame);
    let mut free: Vec<ModuleId> = crew.problem.module_ids().collect();
    let formed = assemble(&mut crew, shape, &mut free);
    Ok(Known::of(if formed { crew.trips_to_goal() } else { None }))
}
