//! A rating as one page: every series with its limit, the rated numbers, plots.

mod capacity;
mod drift;
mod probability;
mod tables;

use super::Rated;
use super::text::{percent, rocking_words};
use crate::bench::report::block::Block;
use crate::bench::report::html;
use crate::bench::report::page::{Page, Section};
use crate::cautions;
use crate::wording::count;

pub(super) fn html(rated: &Rated) -> String {
    html::write(&page(rated))
}

fn page(rated: &Rated) -> Page {
    let rating = &rated.rating;
    let pulls: usize = rating.series.iter().map(|series| series.pulls).sum();
    let summary = format!(
        "{} of {}. A limit is the force below which at most {} % of all pulls lie, with {} % confidence; {}.",
        count(pulls, "pull"),
        rated.file,
        percent(1.0 - rating.share),
        percent(rating.confidence_each),
        match &rated.base {
            Some(base) => format!("the other numbers of the kind are those of {}", base.file),
            None => "the other numbers of the kind do not come from pull tests".into(),
        }
    );
    let none = |words: &str| vec![Block::Text(words.into())];
    let list = |items: &[String], words: &str| {
        if items.is_empty() { none(words) } else { vec![Block::List(items.to_vec())] }
    };
    let dropped: Vec<String> = rating
        .dropped
        .iter()
        .map(|pull| format!("Pull {} of {}, {} N: {}", pull.pull, pull.module, pull.force_n, pull.cause))
        .chain(
            rating
                .left_out
                .iter()
                .map(|surface| format!("All pulls on {surface}: not a surface to rate for")),
        )
        .collect();
    let drift = drift::blocks(rated);
    let rocking = rating.rocking.as_ref().map(|rocking| Block::Text(rocking_words(rocking)));
    let sections = vec![
        Section {
            heading: "Rated numbers",
            blocks: std::iter::once(Block::Text(summary))
                .chain(tables::figures(rating))
                .chain(rocking)
                .collect(),
        },
        Section { heading: "Look again", blocks: list(&rating.remarks, "Nothing stands out.") },
        Section { heading: "Capacity", blocks: capacity::blocks(rated) },
        Section { heading: "Series", blocks: tables::series(rating) },
        Section { heading: "Probability plots", blocks: vec![probability::block(rated)] },
        Section { heading: "Time and temperature", blocks: drift },
        Section {
            heading: "Comparisons",
            blocks: tables::comparisons(rating).map_or_else(
                || none("There are no two groups that differ in one thing only."),
                |table| vec![table],
            ),
        },
        Section { heading: "Pulls that do not count", blocks: list(&dropped, "All pulls count.") },
        Section { heading: "What is assumed", blocks: vec![Block::List(rating.assumptions.clone())] },
    ];
    Page { title: format!("Rated holds of {}", rating.kind), sections, foot: cautions::SHORT.into() }
}
