//! A hash of integers that looks random.

/// SplitMix64 (Steele, Lea & Flood, OOPSLA 2014): the same value for the same seed on every machine.
#[must_use]
pub const fn mix(seed: u64) -> u64 {
    let mut z = seed.wrapping_add(0x9e37_79b9_7f4a_7c15);
    z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
    z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
    z ^ (z >> 31)
}
