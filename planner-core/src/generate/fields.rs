//! Tasks of many small shapes on one field.

use super::GenerateError;
use super::draft::Draft;
use super::field::field;
use super::known::Known;
use super::lattice::{arch, pile, pyramid, wall};
use super::setting::Setting;
use crate::math::SplitMix64;
use std::f64::consts::TAU;

/// Greatest number of balls of an arm of an arch.
const LONGEST_ARM: usize = 6;

/// Piles of four in rows and columns.
pub(super) fn fields(
    setting: &Setting,
    modules: usize,
    random: &mut SplitMix64,
) -> Result<Draft, GenerateError> {
    let form = pile(setting.first_kind());
    let forms = (0..modules / form.len()).map(|_| (form.clone(), 0.0)).collect();
    field(setting, modules, forms, random, true)
}

/// Shapes of three to six balls, each turned by an angle of its own.
pub(super) fn fields_various(
    setting: &Setting,
    modules: usize,
    random: &mut SplitMix64,
) -> Result<Draft, GenerateError> {
    let kind = setting.first_kind();
    let all = [wall(kind, 2, 2), pile(kind), pyramid(kind, 2), wall(kind, 3, 3)];
    let mut forms = Vec::new();
    let mut left = modules;
    while left >= all[0].len() {
        let fitting = all.iter().filter(|form| form.len() <= left).count();
        let form = all[random.below(fitting)].clone();
        left -= form.len();
        forms.push((form, random.between(0.0, TAU)));
    }
    field(setting, modules, forms, random, true)
}

/// Arches as high as they can be, and as can be rehearsed. Where feet do not hold on the ground, arms would tip over before they meet: there, nothing is
/// rehearsed.
pub(super) fn arches(
    setting: &Setting,
    modules: usize,
    random: &mut SplitMix64,
) -> Result<Draft, GenerateError> {
    let mut highest = None;
    for arm in (2..=LONGEST_ARM.min(modules / 2)).rev() {
        let form = arch(setting.first_kind(), arm);
        let forms = (0..modules / form.len()).map(|_| (form.clone(), 0.0)).collect();
        let draft = field(setting, modules, forms, random, setting.steel)?;
        if draft.known != Known::Failed {
            return Ok(draft);
        }
        if draft.scenario.goal.is_some() {
            highest.get_or_insert(draft);
        }
    }
    Ok(highest.unwrap_or_else(|| Draft::new(setting, Vec::new())))
}
