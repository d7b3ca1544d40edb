//! The one source of random numbers of the tests. Seeds are fixed: every run sees the same cases.

use clamber_core::DVec3;
use clamber_core::unstable::math::SplitMix64;
use proptest::test_runner::{Config, RngSeed};

/// The same cases in every run, and no file of old failures: a failing seed belongs in a test with a name.
pub(crate) fn fixed(cases: u32) -> Config {
    Config { cases, failure_persistence: None, rng_seed: RngSeed::Fixed(20_260_101), ..Config::default() }
}

/// The generator of the library, which a test of its own holds against published numbers.
pub(crate) struct Dice(SplitMix64);

impl Dice {
    pub(crate) const fn new(seed: u64) -> Self {
        Self(SplitMix64::new(seed))
    }

    /// Evenly between two numbers.
    pub(crate) fn between(&mut self, low: f64, high: f64) -> f64 {
        self.0.between(low, high)
    }

    /// A number below `count`.
    pub(crate) const fn below(&mut self, count: usize) -> usize {
        self.0.below(count)
    }

    /// True in a share of the cases.
    pub(crate) fn chance(&mut self, share: f64) -> bool {
        self.between(0.0, 1.0) < share
    }

    /// Any direction, evenly over the sphere.
    pub(crate) fn direction(&mut self) -> DVec3 {
        let z = self.between(-1.0, 1.0);
        let (sin, cos) = self.between(0.0, std::f64::consts::TAU).sin_cos();
        let across = (1.0 - z * z).sqrt();
        DVec3::new(across * cos, across * sin, z)
    }

    /// A number that is seldom meant: no number, none, huge or tiny, or any bits.
    pub(crate) fn odd(&mut self) -> f64 {
        const ODD: [f64; 14] = [
            f64::NAN,
            f64::INFINITY,
            f64::NEG_INFINITY,
            0.0,
            -0.0,
            -1.0,
            1.0,
            1e300,
            -1e300,
            1e-300,
            f64::MIN_POSITIVE,
            1e9,
            -1e-9,
            1e-12,
        ];
        match self.below(3) {
            0 => ODD[self.below(ODD.len())],
            1 => self.between(-2.0, 2.0),
            _ => f64::from_bits((self.below(1 << 32) as u64) << 32 | self.below(1 << 32) as u64),
        }
    }
}
