//! Random numbers that are the same on every machine: PCG64 (M. E. O'Neill 2014).

use rand_core::{Rng, SeedableRng};
use rand_pcg::Pcg64;

/// A stream of its own for each seed.
pub(crate) struct Random(Pcg64);

impl Random {
    pub(crate) fn new(seed: u64) -> Self {
        Self(Pcg64::seed_from_u64(seed))
    }

    /// A number from 0 to `below - 1`. The bias is below `below / 2^64`.
    pub(crate) fn index(&mut self, below: usize) -> usize {
        ((u128::from(self.0.next_u64()) * below as u128) >> 64) as usize
    }

    /// Heads or tails.
    pub(crate) fn coin(&mut self) -> bool {
        self.0.next_u64() >> 63 == 1
    }
}
