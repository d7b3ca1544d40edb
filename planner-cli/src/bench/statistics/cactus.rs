//! Cactus plots, common in the SAT community: how many problems are solved within how much time each.

/// The corners of a cactus plot: the n-th quickest time, in seconds, and n. Both grow.
pub(crate) fn cactus(times_s: &[Option<f64>]) -> Vec<(f64, usize)> {
    let mut solved: Vec<f64> = times_s.iter().copied().flatten().collect();
    solved.sort_by(f64::total_cmp);
    solved.into_iter().zip(1..).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn solved_times_in_order_and_their_number() {
        let corners = cactus(&[Some(3.0), None, Some(0.5), Some(20.0), Some(3.0)]);
        assert_eq!(corners, [(0.5, 1), (3.0, 2), (3.0, 3), (20.0, 4)]);
        assert_eq!(cactus(&[None]), []);
    }
}
