//! Performance profiles: E. D. Dolan & J. J. Moré, Benchmarking optimization software with performance profiles,
//! Mathematical Programming 91 (2002) 201-213.

/// Ratios of costs to the best cost of their problem, for each solver: `costs[solver][problem]`, none where it failed.
///
/// Problems that nobody solved stay, as failures of all. A best cost of 0 has ratio 1 with itself and none with anything else.
pub(crate) fn ratios(costs: &[Vec<Option<f64>>]) -> Vec<Vec<Option<f64>>> {
    let problems = costs.iter().map(Vec::len).max().unwrap_or(0);
    let best: Vec<Option<f64>> =
        (0..problems).map(|p| costs.iter().filter_map(|solver| *solver.get(p)?).reduce(f64::min)).collect();
    let ratio = |cost: Option<f64>, best: Option<f64>| match (cost?, best?) {
        (cost, best) if cost <= best => Some(1.0),
        (_, best) if best <= 0.0 => None,
        (cost, best) => Some(cost / best),
    };
    costs
        .iter()
        .map(|solver| solver.iter().zip(&best).map(|(&cost, &best)| ratio(cost, best)).collect())
        .collect()
}

/// The profile of one solver: the share of its problems solved within `tau` times the best.
pub(crate) fn share_within(ratios: &[Option<f64>], tau: f64) -> f64 {
    let within = ratios.iter().flatten().filter(|&&ratio| ratio <= tau).count();
    within as f64 / ratios.len() as f64
}

/// The corners of a profile: where it jumps, and to which share.
pub(crate) fn steps(ratios: &[Option<f64>]) -> Vec<(f64, f64)> {
    let mut at: Vec<f64> = ratios.iter().copied().flatten().collect();
    at.sort_by(f64::total_cmp);
    at.dedup();
    at.into_iter().map(|tau| (tau, share_within(ratios, tau))).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Four problems, two solvers: (1, 2), (4, 2), (10, failed), (3, 3).
    #[test]
    fn a_profile_worked_by_hand() {
        let costs =
            [vec![Some(1.0), Some(4.0), Some(10.0), Some(3.0)], vec![Some(2.0), Some(2.0), None, Some(3.0)]];
        let ratios = ratios(&costs);
        for (tau, expected) in
            [(1.0, [0.75, 0.5]), (2.0, [1.0, 0.75]), (4.0, [1.0, 0.75]), (1e9, [1.0, 0.75])]
        {
            assert_eq!([share_within(&ratios[0], tau), share_within(&ratios[1], tau)], expected, "{tau}");
        }
        assert_eq!(steps(&ratios[1]), [(1.0, 0.5), (2.0, 0.75)]);
    }

    #[test]
    fn what_nobody_solved_counts_against_all() {
        let ratios = ratios(&[vec![None, Some(0.0)], vec![None, Some(1.0)]]);
        assert_eq!(ratios, [vec![None, Some(1.0)], vec![None, None]]);
        assert_eq!(share_within(&ratios[0], 1.0), 0.5);
    }
}
