//! What a report says, apart from how it is written: headings, sentences, tables, plots.

use super::Figures;
use super::plot_frame::Plot;
use super::race::Race;
use super::{method, plots, short, tables};
use crate::{cautions, wording};

/// A whole report.
pub(crate) struct Page {
    pub(crate) title: String,
    pub(crate) sections: Vec<Section>,
    pub(crate) foot: String,
}

/// A heading and what follows.
pub(crate) struct Section {
    pub(crate) heading: &'static str,
    pub(crate) blocks: Vec<Block>,
}

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

pub(crate) fn page(race: &Race, figures: &Figures) -> Page {
    let planners = wording::count(race.planners.len(), "planner");
    let title = format!("{planners} on {}", wording::count(race.scenes.len(), "scene"));
    let sections = vec![
        Section { heading: "In short", blocks: short::blocks(race, figures) },
        Section { heading: "Solved and time", blocks: tables::solved(race, figures) },
        Section {
            heading: "Plots",
            blocks: vec![plots::all(race), plots::differences(&figures.differences)],
        },
        Section { heading: "Plans", blocks: tables::plans(race, figures) },
        Section { heading: "Differences", blocks: tables::differences(figures) },
        Section { heading: "Scenes", blocks: tables::scenes(figures) },
        Section { heading: "What the words mean", blocks: vec![Block::List(method::lines(race))] },
    ];
    Page { title, sections, foot: cautions::SHORT.into() }
}
