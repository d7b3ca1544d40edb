//! The tables of the page.

use crate::bench::report::block::{Block, Table};
use crate::rate::text::{
    COMPARISON_COLUMNS, SERIES_COLUMNS, comparison_cells, decided_by, series_cells, value,
};
use crate::wording::fixed;
use clamber_core::unstable::rating::{Rating, Series};
use std::collections::BTreeSet;

pub(super) fn figures(rating: &Rating) -> [Block; 2] {
    let rows = rating
        .figures
        .iter()
        .map(|figure| vec![figure.name.field().to_owned(), decided_by(rating, figure), value(figure)]);
    let from = rating.figures.iter().map(|figure| format!("{}: {}", figure.name.field(), figure.why));
    [
        Block::Table(Table::new(&["field", "decided by"], &["rated"], rows.collect())),
        Block::List(from.collect()),
    ]
}

pub(super) fn series(rating: &Rating) -> Vec<Block> {
    let rows = rating.series.iter().map(|series| {
        let mut row = vec![series.name()];
        row.extend(series_cells(series));
        row
    });
    let table = Block::Table(Table::new(&["series"], &SERIES_COLUMNS, rows.collect()));
    let words = "k is the factor of the normal limit, mean − k s. Order: the lowest pull that is a limit whatever the distribution, or with how much confidence \
                 the very lowest is one. Limit: what rates.";
    let mut blocks = vec![table, Block::Text(words.into())];
    blocks.extend(gains(rating));
    blocks
}

/// What larger series would gain.
fn gains(rating: &Rating) -> Vec<Block> {
    let all = || rating.series.iter().flat_map(|series| &series.needed.gains);
    let sizes: BTreeSet<usize> = all().map(|gain| gain.modules).collect();
    if sizes.is_empty() {
        return Vec::new();
    }
    let force = |n: Option<f64>| n.map_or_else(|| "-".into(), |n| fixed(n, 2));
    let row = |series: &Series| {
        let at =
            |size: &usize| series.needed.gains.iter().find(|gain| gain.modules == *size).map(|g| g.limit_n);
        let mut row = vec![series.name(), force(series.limit_n)];
        row.extend(sizes.iter().map(|size| force(at(size))));
        row.push(force(series.needed.most_n));
        row
    };
    let headings: Vec<String> = std::iter::once("limit N now".to_owned())
        .chain(sizes.iter().map(|size| format!("{size} modules")))
        .chain(["any number".to_owned()])
        .collect();
    let headings: Vec<&str> = headings.iter().map(String::as_str).collect();
    let rows = rating.series.iter().map(row).collect();
    vec![
        Block::Text(
            "The limit that more modules would give if mean and scatter stayed as they are, in N:".into(),
        ),
        Block::Table(Table::new(&["series"], &headings, rows)),
    ]
}

pub(super) fn comparisons(rating: &Rating) -> Option<Block> {
    if rating.comparisons.is_empty() {
        return None;
    }
    let rows = rating.comparisons.iter().map(|comparison| {
        let (what, cells) = comparison_cells(comparison);
        std::iter::once(what).chain(cells).collect()
    });
    Some(Block::Table(Table::new(&["compared (Welch)"], &COMPARISON_COLUMNS, rows.collect())))
}
