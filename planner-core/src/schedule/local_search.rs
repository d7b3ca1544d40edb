//! Local search for a sequence with a shorter makespan, along critical paths.
//!
//! A tabu search in the manner of Nowicki and Smutnicki (1996): only moving a step on a critical path ahead of one that it waits for can help. Every
//! new sequence is scheduled again, so the result is as sound as the input, and never later.

use super::arrangement::critical_path;
use super::order::{NotArranged, Order, Rules, arrange_within};
use fixedbitset::FixedBitSet;
use indexmap::IndexSet;

/// Tabu tenure: number of rounds in which a changed pair may not change back.
const TENURE: usize = 9;
/// How far along a critical path a step may move ahead at once.
const FARTHEST: usize = 6;
/// Starts are equal within this, in seconds.
const SAME_S: f64 = 1e-9;

/// A sequence and its schedule.
#[derive(Clone, Debug)]
pub(super) struct Arranged {
    pub(super) sequence: Vec<usize>,
    pub(super) order: Order,
}

impl Arranged {
    /// The makespan, then the sum of all ends: of two schedules with the same makespan the one with the smaller sum has more slack.
    fn score(&self) -> (f64, f64) {
        (self.order.makespan_s(), self.order.placed.iter().map(|&s| self.order.end_s[s]).sum())
    }

    fn is_better_than(&self, other: &Self) -> bool {
        let (mine, theirs) = (self.score(), other.score());
        mine.0 < theirs.0 - SAME_S || (mine.0 < theirs.0 + SAME_S && mine.1 < theirs.1 - SAME_S)
    }
}

/// The best sequence found. Ends when `go_on`, which is called before each schedule, returns `false`, when the rules interrupt, or when the makespan
/// is at most `least_s`.
pub(super) fn improve(
    rules: &mut impl Rules,
    first: Arranged,
    pause_s: f64,
    least_s: f64,
    mut go_on: impl FnMut() -> bool,
) -> Arranged {
    let fixed = fixed_order(rules, &first.sequence);
    let mut seen: IndexSet<Vec<usize>> = IndexSet::new();
    seen.insert(first.sequence.clone());
    let mut best = first.clone();
    let mut now = first;
    let mut tabu: Vec<(usize, usize, usize)> = Vec::new();
    for round in 0_usize.. {
        let mut chosen: Option<(Arranged, (usize, usize))> = None;
        for (late, early) in critical_pairs(&now.order, &fixed, pause_s) {
            if best.order.makespan_s() <= least_s + SAME_S {
                return best;
            }
            let sequence = ahead(&now.sequence, late, early, &fixed);
            if !seen.insert(sequence.clone()) {
                continue;
            }
            if !go_on() {
                return best;
            }
            let within_s = chosen.as_ref().map_or(f64::INFINITY, |(c, _)| c.order.makespan_s());
            let order = match arrange_within(rules, &sequence, pause_s, within_s) {
                Ok(order) => order,
                Err(NotArranged::Unsound(_) | NotArranged::Late) => continue,
                Err(NotArranged::Stopped(_)) => return best,
            };
            let found = Arranged { sequence, order };
            let is_tabu = tabu.iter().any(|&(a, b, until)| (a, b) == (late, early) && round < until);
            if is_tabu && !found.is_better_than(&best) {
                continue;
            }
            if chosen.as_ref().is_none_or(|(c, _)| found.is_better_than(c)) {
                chosen = Some((found, (late, early)));
            }
        }
        let Some((next, (late, early))) = chosen else { return best };
        tabu.push((early, late, round + TENURE));
        if next.is_better_than(&best) {
            best = next.clone();
        }
        now = next;
    }
    best
}

/// For each step the set of those that come before it in every sequence.
fn fixed_order(rules: &impl Rules, sequence: &[usize]) -> Vec<FixedBitSet> {
    let mut before = vec![FixedBitSet::with_capacity(rules.len()); rules.len()];
    for (at, &step) in sequence.iter().enumerate() {
        let mut all = FixedBitSet::with_capacity(rules.len());
        for &other in sequence[..at].iter().filter(|&&other| rules.keep_order(other, step)) {
            all.insert(other);
            all.union_with(&before[other]);
        }
        before[step] = all;
    }
    before
}

/// Pairs (later, earlier) on one critical path that may change their order, neighbours first.
fn critical_pairs(order: &Order, fixed: &[FixedBitSet], pause_s: f64) -> Vec<(usize, usize)> {
    let path = critical_path(order, pause_s);
    let mut pairs = Vec::new();
    for apart in 1..=FARTHEST {
        let ahead = path.iter().zip(path.iter().skip(apart));
        pairs.extend(ahead.map(|(&late, &early)| (late, early)).filter(|&(l, e)| !fixed[l].contains(e)));
    }
    pairs
}

/// The sequence with a step, and its fixed predecessors, moved right before an earlier step.
fn ahead(sequence: &[usize], late: usize, early: usize, fixed: &[FixedBitSet]) -> Vec<usize> {
    let place = |step: usize| sequence.iter().position(|&s| s == step).unwrap_or_default();
    let (from, to) = (place(early), place(late));
    let moves = |step: usize| step == late || fixed[late].contains(step);
    let between = &sequence[from..=to];
    let mut changed = sequence[..from].to_vec();
    changed.extend(between.iter().copied().filter(|&s| moves(s)));
    changed.extend(between.iter().copied().filter(|&s| !moves(s)));
    changed.extend_from_slice(&sequence[to + 1..]);
    changed
}
