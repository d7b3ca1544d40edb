//! The tables of a report.

use super::Figures;
use super::block::{Block, Table};
use super::differences::{ALPHA, Difference, Verdict, excludes_none};
use super::numbers::{counts, difference_text, figure, p_text, percent, range, with_interval};
use super::planners::{Estimate, PlannerFigures};
use super::race::Race;
use super::scenes::{Behind, SceneFigures, Spread};
use crate::bench::row::Ending;
use crate::wording;

pub(crate) fn solved(race: &Race, figures: &Figures) -> Vec<Block> {
    let scenes = race.scenes.len();
    let row = |planner: &PlannerFigures| {
        let solved = planner.endings.get(&Ending::Solved).copied().unwrap_or(0);
        vec![
            planner.name.clone(),
            format!("{solved} of {}", planner.runs),
            percent(&planner.solved),
            with_interval(&planner.par2_s),
            with_interval(&planner.time_s),
            wording::fixed(planner.agile, 2),
        ]
    };
    let numbers =
        ["solved", "share (95 %)", "PAR2 s (95 %)", "mean time s (95 %)", &format!("agile, of {scenes}")];
    let speed = Table::new(&["planner"], &numbers, figures.planners.iter().map(row).collect());
    let ways: Vec<(Ending, &str)> = Ending::WORDS
        .into_iter()
        .filter(|(ending, _)| figures.planners.iter().any(|planner| planner.endings.contains_key(ending)))
        .collect();
    let words: Vec<&str> = ways.iter().map(|(_, word)| *word).collect();
    let row = |planner: &PlannerFigures| {
        let count = |(ending, _): &(Ending, &str)| planner.endings.get(ending).unwrap_or(&0).to_string();
        std::iter::once(planner.name.clone()).chain(ways.iter().map(count)).collect()
    };
    let endings = Table::new(&["planner"], &words, figures.planners.iter().map(row).collect());
    vec![Block::Table(speed), Block::Text("How the runs ended:".into()), Block::Table(endings)]
}

pub(crate) fn plans(race: &Race, figures: &Figures) -> Vec<Block> {
    let scenes = race.scenes.len();
    let row = |planner: &PlannerFigures| {
        let void = if planner.void_scenes == 0 { "none".into() } else { planner.void_scenes.to_string() };
        let score = |value: f64| format!("{value:.2}");
        let quality = &planner.quality;
        vec![planner.name.clone(), score(quality.makespan), score(quality.moves), score(quality.energy), void]
    };
    let numbers = ["makespan", "moves", "energy", "void scenes"];
    let quality = Table::new(&["planner"], &numbers, figures.planners.iter().map(row).collect());
    let mut blocks = vec![
        Block::Text(format!("Quality scores, best over own, sums over {}:", wording::count(scenes, "scene"))),
        Block::Table(quality),
    ];
    let Some(runs) = figures.planners.iter().find_map(|planner| Some(planner.plans.as_ref()?.runs)) else {
        blocks.push(Block::Text(
            "No run was solved by all planners, so their plans cannot be compared.".into(),
        ));
        return blocks;
    };
    let row = |planner: &PlannerFigures| {
        let plans = planner.plans.as_ref()?;
        Some(vec![
            planner.name.clone(),
            figure(plans.moves),
            figure(plans.makespan_s),
            figure(plans.energy_j),
            wording::fixed(100.0 * plans.margin, 0) + " %",
            wording::fixed(100.0 * plans.least_margin, 0) + " %",
            plans.over_bound.map_or("-".into(), figure),
        ])
    };
    let numbers = ["moves", "makespan s", "energy J", "margin", "least margin", "makespan / bound"];
    let table = Table::new(&["planner"], &numbers, figures.planners.iter().filter_map(row).collect());
    blocks.push(Block::Text(format!(
        "Means over the {} that all planners solved, geometric but for the margin:",
        wording::count(runs, "run")
    )));
    blocks.push(Block::Table(table));
    blocks
}

pub(crate) fn differences(figures: &Figures) -> Vec<Block> {
    if figures.differences.is_empty() {
        return vec![Block::Text("There is one planner, and nothing to compare it with.".into())];
    }
    let row = |difference: &Difference| {
        let estimate = difference.estimate.as_ref();
        vec![
            format!("{} against {}", difference.first, difference.second),
            difference.measure.word().into(),
            verdict(difference).into(),
            estimate.map_or("-".into(), |estimate| difference_text(difference.measure, estimate)),
            difference.scenes.to_string(),
            p_text(difference.p),
            p_text(difference.adjusted_p),
        ]
    };
    let words = ["first against second", "of what", "difference is"];
    let numbers = ["by (95 %)", "scenes", "p", "adjusted p"];
    let text = "Share solved: first minus second. All else: first over second, below 1 is less. Plans are compared on the scenes \
                that both have solved.";
    let table = Table::new(&words, &numbers, figures.differences.iter().map(row).collect());
    vec![Block::Text(text.into()), Block::Table(table)]
}

/// What can be said of a difference, in words.
pub(crate) fn verdict(difference: &Difference) -> &'static str {
    let open = |estimate: &Estimate| {
        estimate.interval.is_some_and(|interval| excludes_none(interval, difference.measure))
    };
    match difference.verdict {
        Verdict::Real => "real",
        Verdict::None => "none",
        Verdict::TooFewScenes => "not told: too few scenes",
        Verdict::Noise if difference.estimate.as_ref().is_some_and(open) => "noise, among so many tests",
        Verdict::Noise => "noise",
    }
}

pub(crate) fn scenes(figures: &Figures) -> Vec<Block> {
    let row = |of: &SceneFigures| {
        let spread = |spread: Option<Spread>| spread.map_or("-".into(), range);
        vec![
            of.scene.clone(),
            of.planner.clone(),
            format!("{} of {}", of.solved, of.runs),
            spread(of.time_s),
            of.behind.map_or("-".into(), behind),
            of.moves.map_or("-".into(), counts),
            spread(of.makespan_s),
            spread(of.energy_j),
            of.margin.map_or("-".into(), |margin| wording::fixed(100.0 * margin, 0) + " %"),
            of.over_bound.map_or("-".into(), figure),
            of.over_uncarried_bound.map_or("-".into(), figure),
        ]
    };
    let numbers = [
        "solved",
        "time s",
        "behind quickest",
        "moves",
        "makespan s",
        "energy J",
        "least margin",
        "makespan / bound",
        "makespan / uncarried bound",
    ];
    let table = Table::new(&["scene", "planner"], &numbers, figures.scenes.iter().map(row).collect());
    let text = "Median (least to most) over the solved runs. \"Behind quickest\" is the ratio of median times among those that solved \
                every run; with a question mark it may be scatter from run to run (permutation test over the runs of the scene, \
                p of at least 0.05; it takes four runs or more to tell).";
    vec![Block::Text(text.into()), Block::Table(table)]
}

fn behind(behind: Behind) -> String {
    match behind.p {
        None => "quickest".into(),
        Some(p) if p < ALPHA => format!("{} x", figure(behind.ratio)),
        Some(_) => format!("{} x ?", figure(behind.ratio)),
    }
}
