//! The load over a stretch in which every move proceeds at its own pace: one may lag behind, stop half-way or run ahead of the others.
//!
//! No host of a mover moves. So the wrench of every bond is a constant plus, for each group, a wave in that group's own progress. With each progress
//! within an interval, the wrench stays within the sum of the groups' chord errors of the convex hull of the corners, and utilisation is convex in
//! the wrenches. So a box of progress intervals carries its load if all its corners do with the chord errors added to every demand. Boxes that do not
//! are halved.

use super::Stretch;
use crate::control::{Interrupt, Stopped};
use crate::statics::{LoadCase, WarmStart};

/// Most groups at once; more count as not carried.
const MOST_GROUPS: usize = 6;
/// Number of halvings, for each group, after which a box counts as not carried.
const DEEPEST: usize = 10;

impl Stretch<'_> {
    /// Whether the load is carried with utilisations up to `limit` for every combination of the progress of all moves under way.
    ///
    /// `true` is proven. Warm starts of similar cases are tried first. Complexity: exponential in the moves under way, of which there are few in one
    /// load-bearing structure.
    ///
    /// # Errors
    /// When interrupted; the interrupt is polled before every load case.
    pub fn carries_at_any_pace(
        &self,
        limit: f64,
        hint: &mut WarmStart,
        interrupt: Interrupt<'_>,
    ) -> Result<bool, Stopped> {
        if self.groups.len() <= 1 || self.strides() {
            return self.carries(limit, hint, interrupt);
        }
        if self.groups.len() > MOST_GROUPS {
            return Ok(false);
        }
        for hops in self.variants() {
            let first = self.load_with_hops(self.start.clone(), hops);
            let curvature_bounds: Vec<_> =
                self.groups.iter().map(|group| self.curvature_bounds_by(group, &first)).collect();
            let whole = vec![(0.0, 1.0); self.groups.len()];
            let boxes = Boxes { stretch: self, limit, hops, curvature_bounds, interrupt };
            if !boxes.carries(&whole, 0, hint)? {
                return Ok(false);
            }
        }
        Ok(true)
    }
}

/// The question, and the curvature bounds of the demands for each group and bond.
struct Boxes<'a, 'b> {
    stretch: &'a Stretch<'b>,
    limit: f64,
    hops: usize,
    curvature_bounds: Vec<Vec<[f64; 2]>>,
    interrupt: Interrupt<'a>,
}

impl Boxes<'_, '_> {
    fn carries(&self, shares: &[(f64, f64)], depth: usize, hint: &mut WarmStart) -> Result<bool, Stopped> {
        let mut corners: Vec<LoadCase> =
            (0..1_usize << shares.len()).map(|at| self.corner(shares, at)).collect();
        if !self.all_carry(&corners, hint)? {
            return Ok(false);
        }
        let chord_errors: Vec<Vec<[f64; 2]>> = self
            .curvature_bounds
            .iter()
            .zip(shares)
            .map(|(curvature_bounds, &(from, to))| chord_error(curvature_bounds, to - from))
            .collect();
        let margin = sum(&chord_errors);
        corners.iter_mut().for_each(|case| case.set_margin(&margin, 1.0));
        if self.all_carry(&corners, hint)? {
            return Ok(true);
        }
        if depth >= DEEPEST * shares.len() {
            return Ok(false);
        }
        let error = |k: &usize| chord_errors[*k].iter().flatten().copied().fold(0.0, f64::max);
        let Some(widest) = (0..shares.len()).max_by(|a, b| error(a).total_cmp(&error(b)).then(b.cmp(a)))
        else {
            return Ok(false);
        };
        let (from, to) = shares[widest];
        let middle = 0.5 * (from + to);
        for half in [(from, middle), (middle, to)] {
            let mut halved = shares.to_vec();
            halved[widest] = half;
            if !self.carries(&halved, depth + 1, hint)? {
                return Ok(false);
            }
        }
        Ok(true)
    }

    fn all_carry(&self, corners: &[LoadCase], hint: &mut WarmStart) -> Result<bool, Stopped> {
        for case in corners {
            self.interrupt.go_on()?;
            if !case.carries_warm(self.limit, hint) {
                return Ok(false);
            }
        }
        Ok(true)
    }

    fn corner(&self, shares: &[(f64, f64)], at: usize) -> LoadCase {
        let corner: Vec<f64> =
            shares.iter().enumerate().map(|(k, s)| if at >> k & 1 == 1 { s.1 } else { s.0 }).collect();
        self.stretch.load_with_hops(self.stretch.at_each(&corner), self.hops)
    }
}

/// Chord error: curvature bound times width² over eight.
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
