//! The chance of a union of half-spaces of independent standard normal numbers, by sampling the union.
//!
//! One half-space is chosen in proportion to its own chance, numbers are drawn inside it, and the draw counts one divided by how many half-spaces hold
//! it. The mean, times the sum of the chances, is the chance of the union; its error is small even where that is one in a million (Karp & Luby, FOCS
//! 1983; Owen, Maximov & Chertkov, Electron. J. Stat. 13 (2019) 231).

use crate::control::{Interrupt, Stopped};
use crate::math::{SplitMix64, normal_below, normal_number_below, normal_numbers};
use rayon::prelude::*;

/// A half-space: where `mean + Σ weight · number < 0`.
#[derive(Clone, Debug, PartialEq)]
pub struct HalfSpace {
    /// How far from 0 the bound is, in standard deviations; infinite where it cannot be reached.
    distance: f64,
    /// The unit vector towards what is safe.
    direction: Vec<(usize, f64)>,
}

/// A chance, with the interval that holds it with a confidence of 95 %.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Estimate {
    /// The chance.
    pub value: f64,
    /// The lower end of the interval.
    pub low: f64,
    /// The upper end.
    pub high: f64,
}

impl Estimate {
    pub(super) const fn exact(value: f64) -> Self {
        Self { value, low: value, high: value }
    }
}

impl HalfSpace {
    /// The half-space of a mean and the weights of the numbers, each with its index.
    #[must_use]
    pub fn new(mean: f64, weights: Vec<(usize, f64)>) -> Self {
        let length = weights.iter().map(|(_, weight)| weight * weight).sum::<f64>().sqrt();
        if length <= 0.0 {
            let distance = if mean < 0.0 { f64::NEG_INFINITY } else { f64::INFINITY };
            return Self { distance, direction: Vec::new() };
        }
        let direction = weights.into_iter().map(|(index, weight)| (index, weight / length)).collect();
        Self { distance: mean / length, direction }
    }

    /// Its own chance.
    #[must_use]
    pub fn chance(&self) -> f64 {
        normal_below(-self.distance)
    }

    fn along(&self, numbers: &[f64]) -> f64 {
        self.direction.iter().map(|&(index, share)| share * numbers[index]).sum()
    }

    fn holds(&self, numbers: &[f64]) -> bool {
        self.along(numbers) < -self.distance
    }
}

/// So many draws share one stream.
const BATCH: usize = 1000;

/// The chance that some half-space holds independent standard normal numbers, from so many draws.
///
/// The same seed gives the same answer on any number of threads. Complexity: draws times the numbers and half-spaces.
///
/// # Errors
/// When interrupted; the interrupt is polled every thousand draws.
pub fn union_chance(
    spaces: &[HalfSpace],
    draws: usize,
    seed: u64,
    interrupt: Interrupt<'_>,
) -> Result<Estimate, Stopped> {
    if spaces.iter().any(|space| space.distance == f64::NEG_INFINITY) {
        return Ok(Estimate::exact(1.0));
    }
    let chances: Vec<f64> = spaces.iter().map(HalfSpace::chance).collect();
    let sum: f64 = chances.iter().sum();
    if sum <= 0.0 || draws == 0 {
        let most = chances.iter().copied().fold(0.0, f64::max);
        return Ok(Estimate { value: sum.min(1.0), low: most, high: sum.min(1.0) });
    }
    let count = 1 + spaces.iter().flat_map(|s| &s.direction).map(|(index, _)| *index).max().unwrap_or(0);
    let batch = |number: usize| {
        interrupt.go_on()?;
        let mut stream = SplitMix64::new(SplitMix64::new(seed ^ (number as u64).rotate_left(32)).next_u64());
        let mut numbers = vec![0.0; count];
        let (mut first, mut second) = (0.0, 0.0);
        for _ in 0..BATCH.min(draws - number * BATCH) {
            let space = &spaces[chosen(&chances, stream.between(0.0, sum))];
            normal_numbers(&mut stream, &mut numbers);
            let inside = normal_number_below(&mut stream, -space.distance) - space.along(&numbers);
            space.direction.iter().for_each(|&(index, share)| numbers[index] += share * inside);
            // The one that was chosen holds them, whatever rounding says.
            let others = spaces.iter().filter(|other| !std::ptr::eq(*other, space) && other.holds(&numbers));
            let weight = 1.0 / (1 + others.count()) as f64;
            first += weight;
            second += weight * weight;
        }
        Ok((first, second))
    };
    let sums: Result<Vec<(f64, f64)>, Stopped> =
        (0..draws.div_ceil(BATCH)).into_par_iter().map(batch).collect();
    let (first, second) = sums?.into_iter().fold((0.0, 0.0), |a, b| (a.0 + b.0, a.1 + b.1));
    let draws = draws as f64;
    let mean = first / draws;
    let deviation = ((second / draws - mean * mean).max(0.0) / draws).sqrt();
    // Where few draws lie in two half-spaces, their share is not known better than this (rule of three, Hanley & Lippman-Hand, JAMA 249 (1983) 1743).
    let off = (NORMAL_95 * deviation).max(3.0 / draws);
    let within = |value: f64| (sum * value).clamp(0.0, sum.min(1.0));
    Ok(Estimate { value: within(mean), low: within(mean - off), high: within(mean + off) })
}

/// Two-sided, 95 %.
const NORMAL_95: f64 = 1.959_963_984_540_054;

/// The half-space that a number between 0 and the sum of the chances falls on.
fn chosen(chances: &[f64], mut number: f64) -> usize {
    for (index, chance) in chances.iter().enumerate() {
        if number < *chance {
            return index;
        }
        number -= chance;
    }
    // Rounding has left a rest: the last that has a chance.
    chances.iter().rposition(|chance| *chance > 0.0).unwrap_or(0)
}
