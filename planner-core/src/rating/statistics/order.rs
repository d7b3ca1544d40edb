//! Limits without an assumption about the distribution, from order statistics (Wilks, Ann. Math. Stat. 12 (1941) 91).

use statrs::function::beta::beta_reg;

/// The confidence with which the `rank`-th smallest of `n` values lies below a share of the population: `P(Bin(n, 1 − share) ≥ rank)`.
#[must_use]
pub fn order_confidence(n: usize, rank: usize, share: f64) -> f64 {
    if rank == 0 {
        return 1.0;
    }
    if rank > n || !(0.0..=1.0).contains(&share) {
        return 0.0;
    }
    beta_reg(rank as f64, (n - rank + 1) as f64, 1.0 - share)
}

/// The largest rank that reaches a confidence; `None` if the smallest value does not.
#[must_use]
pub fn order_rank(n: usize, share: f64, confidence: f64) -> Option<usize> {
    (1..=n).take_while(|rank| order_confidence(n, *rank, share) >= confidence).last()
}

/// The least number of values of which the `rank`-th smallest reaches a confidence; `None` above a million.
#[must_use]
pub fn order_size(rank: usize, share: f64, confidence: f64) -> Option<usize> {
    const MOST: usize = 1_000_000;
    let reaches = |n: usize| order_confidence(n, rank, share) >= confidence;
    let enough = std::iter::successors(Some(rank.max(1)), |n| Some(2 * n))
        .take_while(|n| *n <= 2 * MOST)
        .find(|n| reaches(*n))?;
    let sizes: Vec<usize> = (enough / 2..=enough).collect();
    let first = sizes.partition_point(|n| !reaches(*n));
    sizes.get(first).copied()
}
