//! The tables of the page.

use crate::bench::report::block::{Block, Table};
use crate::rate::text::{
    COMPARISON_COLUMNS, SERIES_COLUMNS, comparison_cells, decided_by, series_cells, value,
};
use crate::wording::fixed;
use clamber_core::unstable::rating::{Rating, Series};

pub(super) fn figures(rating: &Rating) -> Block {
    let rows = rating.figures.iter().map(|figure| {
        vec![figure.name.field().to_owned(), value(figure), decided_by(rating, figure), figure.why.clone()]
    });
    Block::Table(Table::new(&["field", "rated", "decided by", "from"], &[], rows.collect()))
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
    let needs: Vec<String> = rating.series.iter().filter_map(gains).collect();
    let mut blocks = vec![table, Block::Text(words.into())];
    if !needs.is_empty() {
        blocks.push(Block::Text(
            "What more modules would gain if mean and scatter stayed as they are, and what that comes to in the end:".into(),
        ));
        blocks.push(Block::List(needs));
    }
    blocks
}

/// What a larger series would gain.
fn gains(series: &Series) -> Option<String> {
    let needed = &series.needed;
    let most = needed.most_n?;
    let gain =
        needed.gains.iter().map(|gain| format!("{} modules {} N", gain.modules, fixed(gain.limit_n, 2)));
    let gains: Vec<String> = gain.collect();
    (!gains.is_empty()).then(|| {
        format!(
            "{}: {} modules now; {}; at most {} N",
            series.name(),
            series.modules,
            gains.join(", "),
            fixed(most, 2)
        )
    })
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
