//! What a report says, apart from how it is written: headings, sentences, tables, plots.

use super::block::Block;
use super::race::Race;
use super::{Figures, method, plots, short, tables};
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
