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

/// Batches of changes of every start in the first part of a round; twice as many in every further one.
const BATCHES: u64 = 12;
/// Where modules gather, the search is this many times as patient as where they fill slots: there is more to find.
const MORE_PATIENT: u64 = 10;
/// No search goes on for so many batches without gain: with few trips little is left to try.
const MOST_IDLE: u64 = 200;
/// A round that shortens the makespan by less than this share is the last.
const WORTH: f64 = 0.01;

/// What several starts have in common.
pub(super) struct SeveralStarts<'a> {
    pub(super) problem: &'a Problem,
    pub(super) seed: u64,
    pub(super) patience: u64,
    pub(super) least_s: f64,
    pub(super) budget: &'a Budget<'a>,
}

impl SeveralStarts<'_> {
    /// The best that comes of some solutions and of others, found round by round until a round brings no gain.
    pub(super) fn rearrange(
        &self,
        first: &[Vec<Trip>],
        others: impl Fn(u64) -> Vec<Vec<Trip>>,
        offer: &mut Offer<'_>,
    ) -> Rearranged {
        let mut best: Option<Rearranged> = None;
        for round in 0.. {
            let mut starts: Vec<Vec<Trip>> = if round == 0 { first.to_vec() } else { Vec::new() };
            for other in others(round) {
                if !starts.contains(&other) {
                    starts.push(other);
                }
            }
            let before_s = best.as_ref().map_or(f64::INFINITY, |best| best.makespan_s);
            let (found, ended) = self.round(&starts, before_s, offer);
            let is_last = ended.is_err() || (round > 0 && found.makespan_s > before_s * (1.0 - WORTH));
            if found.makespan_s < before_s || best.is_none() {
                best = Some(found);
            }
            if is_last || best.as_ref().is_some_and(|best| best.makespan_s <= self.least_s) {
                break;
            }
        }
        best.unwrap_or_else(|| Rearranging::new(self.problem, self.seed, self.budget).rearranged())
    }

    /// Improves all starts for a while, then the better half of them, and so on; the last until patience is lost. What ends sooner than anything before
    /// is offered.
    fn round(
        &self,
        starts: &[Vec<Trip>],
        mut offered_s: f64,
        offer: &mut Offer<'_>,
    ) -> (Rearranged, Result<(), Stopped>) {
        let own = Budget { bytes: self.budget.bytes / starts.len().max(1) as u64, ..*self.budget };
        let new = |_| Rearranging::new(self.problem, self.seed, &own);
        let mut arms: Vec<Rearranging<'_>> = starts.iter().map(new).collect();
        let begun =
            arms.par_iter_mut().zip(starts).map(|(arm, start)| arm.begin(std::slice::from_ref(start)));
        let mut ended: Result<(), Stopped> = begun.collect();
        let mut batches = BATCHES;
        loop {
            arms.sort_by(|a, b| a.best_s().total_cmp(&b.best_s()));
            if let Some(best) = arms.first().filter(|best| best.best_s() < offered_s) {
                offered_s = best.best_s();
                offer(&best.moves());
            }
            arms.truncate(arms.len().div_ceil(2));
            if ended.is_err() || arms.is_empty() {
                break;
            }
            if let [last] = arms.as_mut_slice() {
                let patience = self.patience.saturating_mul(MORE_PATIENT);
                match last.change(patience, self.least_s, BATCHES) {
                    Ok(true) if last.idle_batches < MOST_IDLE => {}
                    Ok(_) => break,
                    Err(stop) => ended = Err(stop),
                }
                continue;
            }
            let patience = self.patience;
            let changed =
                arms.par_iter_mut().map(|arm| arm.change(patience, self.least_s, batches).map(drop));
            ended = changed.collect();
            batches *= 2;
        }
        let mut arms = arms.into_iter();
        let mut best = arms.next().unwrap_or_else(|| Rearranging::new(self.problem, self.seed, self.budget));
        if ended.is_ok() {
            // An interruption leaves the best as it is.
            ended = best.join_parts();
        }
        (best.rearranged(), ended)
    }
}
