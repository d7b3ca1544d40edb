//! Hitting sets and maximal sets of unordered steps against brute force over all subsets.

use super::antichains::for_each_maximal;
use super::hitting_set::{Hitting, least_hitting_set};
use crate::control::{Interrupt, Stopped};

/// Pseudo-random numbers that are the same on every platform (Marsaglia 2003, xorshift).
struct Numbers(u64);

impl Numbers {
    fn below(&mut self, most: u64) -> usize {
        self.0 ^= self.0 << 13;
        self.0 ^= self.0 >> 7;
        self.0 ^= self.0 << 17;
        ((self.0 >> 20) % most) as usize
    }
}

#[test]
fn hitting_sets_are_the_cheapest() {
    let mut numbers = Numbers(11);
    for _ in 0..300 {
        let count = 1 + numbers.below(9);
        let costs: Vec<usize> = (0..count).map(|_| numbers.below(4)).collect();
        let mut sets: Vec<Vec<usize>> = Vec::new();
        for _ in 0..numbers.below(8) {
            let mut set: Vec<usize> =
                (0..1 + numbers.below(4)).map(|_| numbers.below(count as u64)).collect();
            set.sort_unstable();
            set.dedup();
            sets.push(set);
        }
        let hits = |subset: usize| sets.iter().all(|set| set.iter().any(|&v| subset >> v & 1 == 1));
        let cost =
            |subset: usize| (0..count).filter(|&v| subset >> v & 1 == 1).map(|v| costs[v]).sum::<usize>();
        let least = (0..1_usize << count).filter(|&s| hits(s)).map(cost).min();
        let Hitting { chosen, cost: found, at_least } =
            least_hitting_set(&costs, &sets, 10_000, Interrupt::NEVER).expect("nobody stops it");
        let subset = chosen.iter().fold(0, |subset, &v| subset | 1 << v);
        assert!(hits(subset), "{sets:?} {chosen:?}");
        assert_eq!((Some(found), Some(at_least), cost(subset)), (least, least, found), "{costs:?} {sets:?}");
        // Cut short, the result still hits every set and its bound still holds.
        let hasty = least_hitting_set(&costs, &sets, 0, Interrupt::NEVER).expect("nobody stops it");
        assert!(hasty.at_least <= found && found <= hasty.cost, "{costs:?} {sets:?}");
    }
}

#[test]
fn maximal_unordered_sets_are_all_found_once() {
    let mut numbers = Numbers(7);
    for _ in 0..200 {
        let count = numbers.below(8);
        let mut beside = vec![vec![false; 8]; 8];
        for (a, b) in (0..count).flat_map(|a| (0..a).map(move |b| (a, b))) {
            let joined = numbers.below(2) == 1;
            beside[a][b] = joined;
            beside[b][a] = joined;
        }
        let is_clique =
            |s: usize| (0..count).all(|a| (0..a).all(|b| s >> a & s >> b & 1 == 0 || beside[a][b]));
        let mut expected: Vec<usize> = (0..1_usize << count)
            .filter(|&s| is_clique(s) && (0..count).all(|v| s >> v & 1 == 1 || !is_clique(s | 1 << v)))
            .collect();
        let candidates: Vec<usize> = (0..count).collect();
        let mut found = Vec::new();
        let complete = for_each_maximal(
            &candidates,
            |a, b| beside[a][b],
            1000,
            |set| {
                found.push(set.iter().fold(0, |s, &v| s | 1 << v));
                Ok(true)
            },
        );
        found.sort_unstable();
        expected.sort_unstable();
        assert_eq!(complete, Ok(true));
        assert_eq!(found, expected);
        let allowed = expected.len() - 1;
        let all = for_each_maximal(&candidates, |a, b| beside[a][b], allowed, |_| Ok(true));
        assert_eq!(all, Ok(false), "too many are refused");
        let stopped = for_each_maximal(&candidates, |a, b| beside[a][b], 1000, |_| Err(Stopped::Cancelled));
        assert_eq!(stopped, Err(Stopped::Cancelled), "a stop is passed on");
    }
}
