//! Matchings in bipartite graphs.

use std::collections::VecDeque;

/// Whether every row can be matched with a column of its own, by Hopcroft and Karp (1973). `columns_of` lists the columns of each row.
///
/// Complexity: pairs times the square root of the rows.
pub(crate) fn can_match_all(columns_of: &[Vec<usize>], columns: usize) -> bool {
    let mut matching =
        Matching { columns_of, row_of: vec![None; columns], column_of: vec![None; columns_of.len()] };
    loop {
        let Some(layer) = matching.layers() else { return matching.column_of.iter().all(Option::is_some) };
        let mut next = vec![0; columns_of.len()];
        for row in 0..columns_of.len() {
            if matching.column_of[row].is_none() {
                matching.augment(row, &layer, &mut next);
            }
        }
    }
}

struct Matching<'a> {
    columns_of: &'a [Vec<usize>],
    row_of: Vec<Option<usize>>,
    column_of: Vec<Option<usize>>,
}

impl Matching<'_> {
    /// The number of matched pairs on a shortest alternating path from a free row to each row; `None` where no such path ends at a free column.
    fn layers(&self) -> Option<Vec<usize>> {
        let mut layer = vec![usize::MAX; self.columns_of.len()];
        let mut open: VecDeque<usize> =
            (0..self.columns_of.len()).filter(|&row| self.column_of[row].is_none()).collect();
        open.iter().for_each(|&row| layer[row] = 0);
        let mut ends = false;
        while let Some(row) = open.pop_front() {
            for &column in &self.columns_of[row] {
                match self.row_of[column] {
                    None => ends = true,
                    Some(next) if layer[next] == usize::MAX => {
                        layer[next] = layer[row] + 1;
                        open.push_back(next);
                    }
                    Some(_) => {}
                }
            }
        }
        ends.then_some(layer)
    }

    /// Matches a free row along a shortest alternating path, if one is left. `next` is the position in the list of each row up to which it was tried.
    fn augment(&mut self, free: usize, layer: &[usize], next: &mut [usize]) {
        let mut path = vec![free];
        while let Some(&row) = path.last() {
            let Some(&column) = self.columns_of[row].get(next[row]) else {
                path.pop();
                continue;
            };
            next[row] += 1;
            match self.row_of[column] {
                None => {
                    // Every row of the path takes the column it was tried with.
                    for &row in &path {
                        let column = self.columns_of[row][next[row] - 1];
                        self.row_of[column] = Some(row);
                        self.column_of[row] = Some(column);
                    }
                    return;
                }
                Some(other) if layer[other] == layer[row] + 1 => path.push(other),
                Some(_) => {}
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::math::SplitMix64;

    /// Hall's theorem (1935): all rows can be matched exactly when every set of rows has at least as many columns among them.
    #[test]
    fn agrees_with_halls_condition() {
        let mut random = SplitMix64::new(11);
        let mut counts = [0; 2];
        for _ in 0..2000 {
            let (rows, columns) = (1 + random.below(7), 1 + random.below(8));
            let pairs = |_| (0..columns).filter(|_| random.below(3) == 0).collect();
            let columns_of: Vec<Vec<usize>> = (0..rows).map(pairs).collect();
            let halls = (1_u32..1 << rows).all(|set| {
                let of_set =
                    |column: &usize| (0..rows).any(|r| set >> r & 1 == 1 && columns_of[r].contains(column));
                (0..columns).filter(of_set).count() >= set.count_ones() as usize
            });
            assert_eq!(can_match_all(&columns_of, columns), halls);
            counts[usize::from(halls)] += 1;
        }
        assert!(counts.into_iter().all(|count| count > 100), "{counts:?}");
    }
}
