//! Several starts: crossings over other structures, of which the most promising are improved for longest.
//!
//! How soon a crew gets to another deck depends most on the structures that it builds, and changes of single trips hardly replace those. So all solutions
//! that were found are improved for a while, then the better half of them, and so on, until one is left (successive halving, Karnin, Koren & Somekh
//! 2013).

use super::rearranging::{Offer, Rearranged, Rearranging};
use crate::control::{Budget, Stopped};
use crate::model::Problem;
use crate::travel::Trip;
use rayon::prelude::*;

/// Batches of changes of every start in the first round; twice as many in every further one.
const BATCHES: u64 = 12;

/// The result of [`rearrange`](super::rearranging::rearrange) from the best of several starts.
pub(super) fn rearrange_several(
    problem: &Problem,
    starts: &[Vec<Trip>],
    seed: u64,
    patience: u64,
    least_s: f64,
    budget: &Budget<'_>,
    offer: &mut Offer<'_>,
) -> Rearranged {
    let own = Budget { bytes: budget.bytes / starts.len().max(1) as u64, ..*budget };
    let mut arms: Vec<Rearranging<'_>> = starts.iter().map(|_| Rearranging::new(problem, seed, &own)).collect();
    let begun = arms.par_iter_mut().zip(starts).map(|(arm, start)| arm.begin(std::slice::from_ref(start)));
    let mut ended: Result<(), Stopped> = begun.collect();
    let (mut batches, mut offered_s) = (BATCHES, f64::INFINITY);
    loop {
        arms.sort_by(|a, b| a.best_s().total_cmp(&b.best_s()));
        eprintln!("{} {:?}", batches, arms.iter().map(Rearranging::best_s).collect::<Vec<_>>());
        if let Some(best) = arms.first().filter(|best| best.best_s() < offered_s) {
            offered_s = best.best_s();
            offer(&best.moves());
        }
        arms.truncate(arms.len().div_ceil(2).max(1));
        if ended.is_err() || arms.is_empty() {
            break;
        }
        if let [last] = arms.as_mut_slice() {
            match last.change(patience, least_s, BATCHES) {
                Ok(true) => {}
                Ok(false) => break,
                Err(stop) => ended = Err(stop),
            }
            continue;
        }
        let changed = arms.par_iter_mut().map(|arm| arm.change(u64::MAX, least_s, batches).map(drop));
        ended = changed.collect();
        batches *= 2;
    }
    let Some(mut best) = arms.into_iter().next() else { return Rearranging::new(problem, seed, budget).rearranged() };
    if ended.is_ok() {
        // An interruption leaves the best as it is.
        let _ = best.join_parts();
    }
    best.rearranged()
}
