//! The pieces that a report is made of.

use super::plot_frame::Plot;

/// A piece of a report.
pub(crate) enum Block {
    Text(String),
    List(Vec<String>),
    Table(Table),
    /// Plots side by side, with one legend.
    Plots {
        plots: Vec<Plot>,
        names: Vec<String>,
    },
}

/// A table. Columns of numbers stand to the right.
pub(crate) struct Table {
    pub(crate) columns: Vec<(String, bool)>,
    pub(crate) rows: Vec<Vec<String>>,
}

impl Table {
    pub(crate) fn new(words: &[&str], numbers: &[&str], rows: Vec<Vec<String>>) -> Self {
        let column = |is_number| move |heading: &&str| ((*heading).to_owned(), is_number);
        Self {
            columns: words.iter().map(column(false)).chain(numbers.iter().map(column(true))).collect(),
            rows,
        }
    }
}
