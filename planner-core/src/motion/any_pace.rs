//! The load over a stretch in which every move goes at its own pace: one may lag behind, stop half-way or run ahead of the others.
//!
//! No host of a mover moves, so the wrench of every bond is a constant plus, for each group, waves of that group's own share. With each
//! share within an interval it stays within the sum of the groups' sagittas of the hull of the corners, and utilisation is convex in the
//! wrenches. So a box of shares carries its load if all its corners do with the sagittas added to every demand; boxes that do not are halved.

use super::Stretch;
use crate::statics::{LoadCase, WarmStart};

/// More groups at once count as not carried.
const MOST_GROUPS: usize = 6;
/// Halvings, for each group, after which a box counts as not carried.
const DEEPEST: usize = 10;

impl Stretch<'_> {
    /// Whether the load is carried with utilisations up to `limit` for every combination of the shares of all moves under way.
    ///
    /// `true` is proven. Complexity: exponential in the moves under way, of which there are few in one load-bearing structure.
    #[must_use]
    pub fn carries_at_any_pace(&self, limit: f64) -> bool {
        self.carries_at_any_pace_with(limit, &mut WarmStart::default())
    }

    /// The same, with touch forces of similar cases tried first.
    #[must_use]
    pub fn carries_at_any_pace_with(&self, limit: f64, hint: &mut WarmStart) -> bool {
        self.carries_at_any_pace_unless(limit, hint, &|| false)
    }

    /// The same, given up as soon as `enough` says so, which is asked before every load case; then nothing counts as carried.
    #[must_use]
    pub fn carries_at_any_pace_unless(
        &self,
        limit: f64,
        hint: &mut WarmStart,
        enough: &dyn Fn() -> bool,
    ) -> bool {
        if self.groups.len() <= 1 {
            return self.carries_unless(limit, hint, enough);
        }
        self.groups.len() <= MOST_GROUPS
            && self.variants().all(|hops| {
                let first = self.load_with_hops(self.start.clone(), hops);
                let curvature_bounds: Vec<_> =
                    self.groups.iter().map(|group| self.bends_by(group, &first)).collect();
                let whole = vec![(0.0, 1.0); self.groups.len()];
                Boxes { stretch: self, limit, hops, curvature_bounds, enough }.carries(&whole, 0, hint)
            })
    }
}

/// What is asked, and the second derivatives of the demands for each group and bond.
struct Boxes<'a, 'b> {
    stretch: &'a Stretch<'b>,
    limit: f64,
    hops: usize,
    curvature_bounds: Vec<Vec<[f64; 2]>>,
    enough: &'a dyn Fn() -> bool,
}

impl Boxes<'_, '_> {
    fn carries(&self, shares: &[(f64, f64)], depth: usize, hint: &mut WarmStart) -> bool {
        let corners: Vec<LoadCase> = (0..1_usize << shares.len()).map(|at| self.corner(shares, at)).collect();
        if !corners.iter().all(|case| self.corner_carries(case, hint)) {
            return false;
        }
        let sagittas: Vec<Vec<[f64; 2]>> = self
            .curvature_bounds
            .iter()
            .zip(shares)
            .map(|(curvature_bounds, &(from, to))| chord_error(curvature_bounds, to - from))
            .collect();
        let margin = sum(&sagittas);
        let with_margin = |mut case: LoadCase| {
            case.set_margin(&margin, 1.0);
            case
        };
        if corners.into_iter().map(with_margin).all(|case| self.corner_carries(&case, hint)) {
            return true;
        }
        if depth >= DEEPEST * shares.len() {
            return false;
        }
        let bent = |k: &usize| sagittas[*k].iter().flatten().copied().fold(0.0, f64::max);
        let Some(widest) = (0..shares.len()).max_by(|a, b| bent(a).total_cmp(&bent(b)).then(b.cmp(a))) else {
            return false;
        };
        let (from, to) = shares[widest];
        let middle = 0.5 * (from + to);
        [(from, middle), (middle, to)].into_iter().all(|half| {
            let mut halved = shares.to_vec();
            halved[widest] = half;
            self.carries(&halved, depth + 1, hint)
        })
    }

    fn corner_carries(&self, case: &LoadCase, hint: &mut WarmStart) -> bool {
        !(self.enough)() && case.carries_with(self.limit, hint)
    }

    fn corner(&self, shares: &[(f64, f64)], at: usize) -> LoadCase {
        let corner: Vec<f64> =
            shares.iter().enumerate().map(|(k, s)| if at >> k & 1 == 1 { s.1 } else { s.0 }).collect();
        self.stretch.load_with_hops(self.stretch.at_each(&corner), self.hops)
    }
}

/// Second derivative times width² over eight.
fn chord_error(curvature_bounds: &[[f64; 2]], width: f64) -> Vec<[f64; 2]> {
    curvature_bounds.iter().map(|b| b.map(|v| v * width * width / 8.0)).collect()
}

fn sum(parts: &[Vec<[f64; 2]>]) -> Vec<[f64; 2]> {
    let mut total = vec![[0.0; 2]; parts.first().map_or(0, Vec::len)];
    for (bond, part) in parts.iter().flat_map(|part| part.iter().enumerate()) {
        total[bond] = [total[bond][0] + part[0], total[bond][1] + part[1]];
    }
    total
}
