//! Pseudo-random numbers from a seed: SplitMix64 (Steele, Lea & Flood, OOPSLA 2014), the same on every machine.

use super::elementary::{cos, ln};

/// A stream of pseudo-random numbers.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct SplitMix64 {
    state: u64,
}

impl SplitMix64 {
    /// The stream for a seed.
    #[must_use]
    pub const fn new(seed: u64) -> Self {
        Self { state: seed }
    }

    /// The next 64 bits.
    pub const fn next_u64(&mut self) -> u64 {
        self.state = self.state.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = self.state;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        z ^ (z >> 31)
    }

    /// A uniform number in `[low, high)`, with 53 bits.
    pub fn between(&mut self, low: f64, high: f64) -> f64 {
        let unit = (self.next_u64() >> 11) as f64 / (1_u64 << 53) as f64;
        low + (high - low) * unit
    }

    /// A number of the standard normal distribution (Box & Muller, Ann. Math. Stat. 29, 1958).
    pub fn normal(&mut self) -> f64 {
        // In (0, 1], so that the logarithm is finite.
        let radius = (-2.0 * ln(1.0 - self.between(0.0, 1.0))).sqrt();
        radius * cos(self.between(0.0, std::f64::consts::TAU))
    }

    /// A uniform number in `[low, high)`, rounded to thousandths.
    pub fn thousandths(&mut self, low: f64, high: f64) -> f64 {
        (self.between(low, high) * 1e3).round() / 1e3
    }

    /// A uniform integer below `count`, which is at least 1. The bias of the remainder is below 1e-17.
    pub const fn below(&mut self, count: usize) -> usize {
        (self.next_u64() % count as u64) as usize
    }

    /// Puts items in a random order (Fisher–Yates).
    pub fn shuffle<T>(&mut self, items: &mut [T]) {
        for last in (1..items.len()).rev() {
            items.swap(last, self.below(last + 1));
        }
    }
}
