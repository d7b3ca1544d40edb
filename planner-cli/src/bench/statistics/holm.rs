//! Many tests at once: S. Holm, A simple sequentially rejective multiple test procedure, Scandinavian Journal of Statistics 6
//! (1979) 65-70.

/// Adjusted p values, in the order given: below a level, the chance that any of them is there by chance alone is below that level.
pub(crate) fn adjusted(p: &[f64]) -> Vec<f64> {
    let mut order: Vec<usize> = (0..p.len()).collect();
    order.sort_by(|&a, &b| p[a].total_cmp(&p[b]));
    let mut adjusted = vec![1.0; p.len()];
    let mut before = 0.0_f64;
    for (rank, &index) in order.iter().enumerate() {
        before = before.max(p[index] * (p.len() - rank) as f64).min(1.0);
        adjusted[index] = before;
    }
    adjusted
}

#[cfg(test)]
mod tests {
    use super::adjusted;

    /// 0.01, 0.02, 0.03, 0.04 times 4, 3, 2, 1, none smaller than the one before: worked by hand.
    #[test]
    fn worked_by_hand() {
        let found = adjusted(&[0.03, 0.01, 0.04, 0.02]);
        for (found, expected) in found.iter().zip([0.06, 0.04, 0.06, 0.06]) {
            assert!((found - expected).abs() < 1e-15, "{found} {expected}");
        }
        assert_eq!(adjusted(&[0.5, 0.9]), [1.0, 1.0]);
        assert!(adjusted(&[]).is_empty());
    }
}
