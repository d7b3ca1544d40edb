//! Permutation tests: how often chance alone would make so great a difference. Efron & Tibshirani (1993), chapter 15.

use super::means::mean;
use super::random::Random;

/// Most arrangements that are all tried; of more, this many are drawn.
const TRIED: u64 = 1 << 16;

/// Two-sided p of the mean of paired differences, under flips of their signs: exact for up to 16 pairs, else from random flips, the
/// observed one among them.
pub(crate) fn paired(differences: &[f64], random: &mut Random) -> f64 {
    let observed = differences.iter().sum::<f64>().abs();
    // Rounding must not turn an equal sum into a smaller one.
    let enough = observed - 1e-12 * differences.iter().map(|d| d.abs()).sum::<f64>();
    let n = differences.len();
    if n < 64 && 1 << n <= TRIED {
        let sum = |signs: u64| -> f64 {
            differences.iter().enumerate().map(|(i, d)| if signs >> i & 1 == 1 { -d } else { *d }).sum()
        };
        let extreme = (0..1 << n).filter(|&signs| sum(signs).abs() >= enough).count();
        return extreme as f64 / (1_u64 << n) as f64;
    }
    let mut sum = || -> f64 { differences.iter().map(|d| if random.coin() { -d } else { *d }).sum() };
    let extreme = (0..TRIED).filter(|_| sum().abs() >= enough).count();
    (extreme + 1) as f64 / (TRIED + 1) as f64
}

/// The least p that so many pairs can have.
pub(crate) fn least_p(pairs: usize) -> f64 {
    2.0_f64.powi(1 - i32::try_from(pairs).unwrap_or(i32::MAX)).max(1.0 / (TRIED + 1) as f64).min(1.0)
}

/// One-sided p that the mean of `a` exceeds that of `b` by chance, under exchanges between the two: exact for up to
/// 65536 arrangements, else from random ones, the observed one among them.
pub(crate) fn greater(a: &[f64], b: &[f64], random: &mut Random) -> f64 {
    let all: Vec<f64> = a.iter().chain(b).copied().collect();
    let enough = a.iter().sum::<f64>() - 1e-12 * all.iter().map(|v| v.abs()).sum::<f64>();
    if let Some(count) = combinations(all.len() as u64, a.len() as u64).filter(|&count| count <= TRIED) {
        return count_sums(&all, a.len(), enough) as f64 / count as f64;
    }
    let mut shuffled = all;
    let mut sum = || -> f64 {
        for i in 0..a.len() {
            let j = i + random.index(shuffled.len() - i);
            shuffled.swap(i, j);
        }
        shuffled[..a.len()].iter().sum()
    };
    let extreme = (0..TRIED).filter(|_| sum() >= enough).count();
    (extreme + 1) as f64 / (TRIED + 1) as f64
}

/// Two-sided p that the means of two independent samples differ by chance.
pub(crate) fn unpaired(a: &[f64], b: &[f64], random: &mut Random) -> f64 {
    let p = if mean(a) >= mean(b) { greater(a, b, random) } else { greater(b, a, random) };
    (2.0 * p).min(1.0)
}

/// The number of ways to take `taken` values whose sum is at least `enough`.
fn count_sums(values: &[f64], taken: usize, enough: f64) -> u64 {
    match values {
        _ if taken == 0 => u64::from(enough <= 0.0),
        [first, rest @ ..] if rest.len() + 1 >= taken => {
            count_sums(rest, taken - 1, enough - first) + count_sums(rest, taken, enough)
        }
        _ => 0,
    }
}

fn combinations(of: u64, taken: u64) -> Option<u64> {
    (0..taken).try_fold(1_u64, |count, i| Some(count.checked_mul(of - i)? / (i + 1)))
}

#[cfg(test)]
mod tests {
    use super::*;

    const TREATMENT: [f64; 7] = [94.0, 197.0, 16.0, 38.0, 99.0, 141.0, 23.0];
    const CONTROL: [f64; 9] = [52.0, 104.0, 146.0, 10.0, 51.0, 30.0, 40.0, 27.0, 46.0];

    /// Efron & Tibshirani (1993), table 2.1; all 11440 arrangements (the book draws 1000 and finds 0.132).
    #[test]
    fn the_mice_exactly() {
        let p = greater(&TREATMENT, &CONTROL, &mut Random::new(1));
        assert_eq!(p, 1613.0 / 11440.0);
        assert_eq!(unpaired(&TREATMENT, &CONTROL, &mut Random::new(1)), 2.0 * 1613.0 / 11440.0);
    }

    /// Fisher's sign flips by hand: of the 8 sums of 1, 2, 3 with any signs, 2 are as far out as 6 and 4 as far out as 4.
    #[test]
    fn three_pairs_by_hand() {
        let mut random = Random::new(1);
        assert_eq!(paired(&[1.0, 2.0, 3.0], &mut random), 0.25);
        assert_eq!(paired(&[-1.0, 2.0, 3.0], &mut random), 0.5);
        assert_eq!(paired(&[1.0, -1.0], &mut random), 1.0);
        assert_eq!(paired(&[0.1, 0.1, 0.1, 0.1, 0.1], &mut random), 2.0 / 32.0);
    }

    /// Darwin's 15 pairs of cross- and self-fertilised Zea mays, in eighths of an inch (Fisher, The Design of Experiments, 1935,
    /// section 21): 863 of 32768 sums are at least as great one way, so 1726 both ways.
    #[test]
    fn darwins_maize_exactly() {
        let d = [49.0, -67.0, 8.0, 16.0, 6.0, 23.0, 28.0, 41.0, 14.0, 29.0, 56.0, 24.0, 75.0, 60.0, -48.0];
        assert_eq!(paired(&d, &mut Random::new(1)), 1726.0 / 32768.0);
    }

    /// Forty pairs: sums of fair coins, so the normal distribution is near. All flips drawn.
    #[test]
    fn many_pairs_are_drawn() {
        let d: Vec<f64> = (0..40).map(|i| if i < 26 { 1.0 } else { -1.0 }).collect();
        // Binomial: 2 P(X >= 26), X of 40 fair coins.
        assert!((paired(&d, &mut Random::new(1)) - 0.080_69).abs() < 0.005);
        assert!(paired(&[1.0; 40], &mut Random::new(1)) <= 2.0 / 65537.0);
    }

    #[test]
    fn the_least_p_is_reached() {
        for pairs in 1..=17 {
            let p = paired(&vec![1.0; pairs], &mut Random::new(1));
            assert!(p >= least_p(pairs) - 1e-15, "{pairs}: {p}");
            if pairs <= 16 {
                assert_eq!(p, least_p(pairs), "{pairs}");
            }
        }
    }
}
