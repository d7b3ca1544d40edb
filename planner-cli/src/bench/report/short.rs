//! The head of a report: what was raced, that the plans were checked, and what can be said.

use super::Figures;
use super::block::Block;
use super::differences::{self, Difference, Measure, Verdict};
use super::numbers::difference_text;
use super::race::Race;
use crate::wording;

pub(crate) fn blocks(race: &Race, figures: &Figures) -> Vec<Block> {
    let memory = race.memory_limit_mib.map_or("no memory limit".into(), |mib| format!("{mib} MiB"));
    let threads = wording::count(race.threads.into(), "thread");
    let runs = wording::count(race.rows().count(), "run");
    let head = format!("{runs}, each with {} s, {memory} and {threads}.", race.time_limit_s);
    let mut list = Vec::new();
    let real = sentences(&figures.differences);
    let tests = differences::tests(&figures.differences);
    if real.is_empty() && race.planners.len() > 1 {
        let needed = differences::scenes_needed(tests.max(1));
        let scenes = wording::count(race.scenes.len(), "scene");
        list.push(format!(
            "No difference between these planners can be told from chance with {scenes}; \
             {tests} comparisons need at least {needed} scenes that differ."
        ));
    }
    list.extend(figures.contradictions.iter().map(|wrong| format!("Wrong answer: {wrong}.")));
    list.extend(figures.remarks.iter().cloned());
    let mut blocks = vec![Block::Text(head), Block::Text(checked(figures))];
    if !real.is_empty() {
        blocks.push(Block::Text("Differences that are not by chance: ratios of first to second (shares solved: differences), with 95 % intervals.".into()));
        blocks.push(Block::List(real));
    }
    blocks.push(Block::List(list));
    blocks
}

fn checked(figures: &Figures) -> String {
    let how = "replayed from the plan file against every rule, at every instant";
    let passed = match figures.checked_plans {
        0 => "No plan counts as solved.".into(),
        1 => format!("The 1 plan that counts as solved has passed the check ({how})."),
        n => format!("All {n} plans that count as solved have passed the check ({how})."),
    };
    match figures.not_sound_plans {
        0 => format!("{passed} No plan failed it."),
        n => format!("{passed} {} failed it and counts for nothing.", wording::count(n, "plan")),
    }
}

/// `astar against taking-apart: quicker (time 0.40, 0.22 to 0.71), longer plans (...)`.
fn sentences(all: &[Difference]) -> Vec<String> {
    let pairs = all.chunk_by(|a, b| (&a.first, &a.second) == (&b.first, &b.second));
    let sentence = |pair: &[Difference]| {
        let real: Vec<String> =
            pair.iter().filter(|d| d.verdict == Verdict::Real).filter_map(real_difference).collect();
        let Difference { first, second, .. } = pair.first()?;
        (!real.is_empty()).then(|| format!("{first} against {second}: {}.", real.join("; ")))
    };
    pairs.filter_map(sentence).collect()
}

fn real_difference(difference: &Difference) -> Option<String> {
    let measure = difference.measure;
    let estimate = difference.estimate?;
    let less = if measure.is_ratio() { estimate.value < 1.0 } else { estimate.value < 0.0 };
    let how = match (measure, less) {
        (Measure::Solved, true) => "solves fewer",
        (Measure::Solved, false) => "solves more",
        (Measure::Time, true) => "quicker",
        (Measure::Time, false) => "slower",
        (Measure::Makespan, true) => "shorter plans",
        (Measure::Makespan, false) => "longer plans",
        (Measure::Moves, true) => "fewer moves",
        (Measure::Moves, false) => "more moves",
        (Measure::Energy, true) => "less energy",
        (Measure::Energy, false) => "more energy",
    };
    Some(format!("{how}, {}", difference_text(measure, &estimate)))
}
