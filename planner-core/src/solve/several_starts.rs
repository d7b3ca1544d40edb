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
/// The most starts of a round: each gets such a share of the memory.
const STARTS: u64 = 8;
/// A round that shortens the makespan by less than this share is the last.
const WORTH: f64 = 0.01;
/// So many rounds in a row that find no solution are no lack of gain: other seeds may find one.
const IN_VAIN: u32 = 1;

/// What several starts have in common.
pub(super) struct SeveralStarts<'a> {
    pub(super) problem: &'a Problem,
    pub(super) seed: u64,
    pub(super) patience: u64,
    pub(super) least_s: f64,
    pub(super) budget: &'a Budget<'a>,
}

impl SeveralStarts<'_> {
    /// The best that comes of some solutions and of others, found round by round until a round finds some that bring no gain, or several find none. What ends sooner than anything before is
    /// offered; the first solutions before others are looked for.
    pub(super) fn rearrange(
        &self,
        first: &[Vec<Trip>],
        others: impl Fn(u64) -> Vec<Vec<Trip>>,
        offer: &mut Offer<'_>,
    ) -> Rearranged {
        let own = Budget { bytes: self.budget.bytes / STARTS, ..*self.budget };
        let mut best: Option<Rearranged> = None;
        let mut in_vain = 0;
        for round in 0.. {
            let before_s = best.as_ref().map_or(f64::INFINITY, |best| best.makespan_s);
            let mut arms = Arms { several: self, begun: Vec::new(), offered_s: before_s };
            let mut starts: Vec<Vec<Trip>> = if round == 0 { first.to_vec() } else { Vec::new() };
            let known = starts.len();
            in_vain += u32::from(round > 0);
            let mut ended = arms.begin(&starts, &own, offer);
            for other in others(round) {
                if !starts.contains(&other) {
                    starts.push(other);
                    in_vain = 0;
                }
            }
            ended = ended.and_then(|()| arms.begin(&starts[known..], &own, offer));
            let found;
            (found, ended) = arms.narrowed_down(ended, offer);
            // Searches that were stopped find no starts, and then nothing else has asked.
            let ended = ended.and_then(|()| self.budget.go_on());
            let may_go_on = round == 0 || (1..=IN_VAIN).contains(&in_vain);
            let is_last = ended.is_err() || (!may_go_on && found.makespan_s >= before_s * (1.0 - WORTH));
            if found.makespan_s < before_s || best.is_none() {
                best = Some(found);
            }
            if is_last || best.as_ref().is_some_and(|best| best.makespan_s <= self.least_s) {
                break;
            }
        }
        best.unwrap_or_else(|| self.nothing().rearranged())
    }

    fn nothing(&self) -> Rearranging<'_> {
        Rearranging::new(self.problem, self.seed, self.budget)
    }
}

/// The starts of a round.
struct Arms<'a> {
    several: &'a SeveralStarts<'a>,
    begun: Vec<Rearranging<'a>>,
    /// The makespan of what was offered last, in seconds.
    offered_s: f64,
}

impl<'a> Arms<'a> {
    /// Adds starts, timed as they are.
    fn begin(
        &mut self,
        starts: &[Vec<Trip>],
        own: &'a Budget<'a>,
        offer: &mut Offer<'_>,
    ) -> Result<(), Stopped> {
        let (problem, seed) = (self.several.problem, self.several.seed);
        let mut arms: Vec<Rearranging<'_>> =
            starts.iter().map(|_| Rearranging::new(problem, seed, own)).collect();
        let begun =
            arms.par_iter_mut().zip(starts).map(|(arm, start)| arm.begin(std::slice::from_ref(start)));
        let ended = begun.collect();
        self.begun.extend(arms);
        self.sort(offer);
        ended
    }

    /// Puts the best first, and offers it if it ends sooner than what was offered before.
    fn sort(&mut self, offer: &mut Offer<'_>) {
        self.begun.sort_by(|a, b| a.best_s().total_cmp(&b.best_s()));
        if let Some(best) = self.begun.first().filter(|best| best.best_s() < self.offered_s) {
            self.offered_s = best.best_s();
            offer(&best.moves());
        }
    }

    /// Improves all starts for a while, then the better half of them, and so on; the last until patience is lost.
    fn narrowed_down(
        mut self,
        mut ended: Result<(), Stopped>,
        offer: &mut Offer<'_>,
    ) -> (Rearranged, Result<(), Stopped>) {
        let SeveralStarts { patience, least_s, .. } = *self.several;
        let mut batches = BATCHES;
        loop {
            self.begun.truncate(self.begun.len().div_ceil(2));
            if ended.is_err() || self.begun.is_empty() {
                break;
            }
            if let [last] = self.begun.as_mut_slice() {
                match last.change(patience.saturating_mul(MORE_PATIENT), least_s, BATCHES) {
                    Ok(true) if last.idle_batches < MOST_IDLE => {}
                    Ok(_) => break,
                    Err(stop) => ended = Err(stop),
                }
            } else {
                let changed =
                    self.begun.par_iter_mut().map(|arm| arm.change(patience, least_s, batches).map(drop));
                ended = changed.collect();
                batches *= 2;
            }
            self.sort(offer);
        }
        let mut best = self.begun.into_iter().next().unwrap_or_else(|| self.several.nothing());
        if ended.is_ok() {
            // An interruption leaves the best as it is.
            ended = best.join_parts();
        }
        (best.rearranged(), ended)
    }
}

#[cfg(test)]
mod tests {
    use super::SeveralStarts;
    use crate::control::Budget;
    use crate::read_scenario;
    use std::cell::Cell;

    /// Where no start can be timed and no other is found, there is nothing to go on with.
    #[test]
    fn it_ends_without_any_start() {
        let text = include_str!("../../examples/pair.toml");
        let (_, problem) = read_scenario("pair.toml", text).expect("examples can be read");
        let budget = Budget::unlimited();
        let several =
            SeveralStarts { problem: &problem, seed: 1, patience: 400, least_s: 0.0, budget: &budget };
        let rounds = Cell::new(0);
        let others = |_| {
            rounds.set(rounds.get() + 1);
            assert!(rounds.get() < 10, "it goes on for ever");
            Vec::new()
        };
        let found = several.rearrange(&[], others, &mut |_| panic!("nothing to offer"));
        assert_eq!((found.moves, rounds.get()), (None, 3));
    }
}
