//! What a report says, apart from how it is written: headings, sentences, tables, plots.

use super::Figures;
use super::differences::{self, Difference, Measure, Verdict, excludes_none};
use super::planners::{Estimate, PlannerFigures, SHIFT_S};
use super::plots;
use super::race::Race;
use super::scenes::{Behind, SceneFigures, Spread};
use super::svg_plot::Plot;
use crate::bench::row::Ending;
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
    fn new(words: &[&str], numbers: &[&str], rows: Vec<Vec<String>>) -> Self {
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
        Section { heading: "In short", blocks: short(race, figures) },
        Section { heading: "Solved and time", blocks: solved(race, figures) },
        Section {
            heading: "Plots",
            blocks: vec![plots::all(race), plots::differences(&figures.differences)],
        },
        Section { heading: "Plans", blocks: plans(race, figures) },
        Section { heading: "Differences", blocks: differences_table(figures) },
        Section { heading: "Scenes", blocks: scenes(figures) },
        Section { heading: "What the words mean", blocks: vec![Block::List(method(race))] },
    ];
    Page { title, sections, foot: cautions::SHORT.into() }
}

fn short(race: &Race, figures: &Figures) -> Vec<Block> {
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
        blocks.push(Block::Text("Differences that are not by chance, with their 95 % intervals:".into()));
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

fn solved(race: &Race, figures: &Figures) -> Vec<Block> {
    let scenes = race.scenes.len();
    let row = |planner: &PlannerFigures| {
        let solved = planner.endings.get(&Ending::Solved).copied().unwrap_or(0);
        vec![
            planner.name.clone(),
            format!("{solved} of {}", planner.runs),
            percent(&planner.solved),
            with_interval(&planner.par2_s),
            with_interval(&planner.time_s),
            format!("{:.2}", planner.agile),
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

fn plans(race: &Race, figures: &Figures) -> Vec<Block> {
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
        Block::Text(format!("Quality scores, best over own, sums over {scenes} scenes:")),
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
            format!("{:.0} %", 100.0 * plans.margin),
            format!("{:.0} %", 100.0 * plans.least_margin),
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

fn differences_table(figures: &Figures) -> Vec<Block> {
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

fn scenes(figures: &Figures) -> Vec<Block> {
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
            of.margin.map_or("-".into(), |margin| format!("{:.0} %", 100.0 * margin)),
            of.over_bound.map_or("-".into(), figure),
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
        Some(p) if p < differences::ALPHA => format!("{} x", figure(behind.ratio)),
        Some(_) => format!("{} x ?", figure(behind.ratio)),
    }
}

fn method(race: &Race) -> Vec<String> {
    let limit = race.time_limit_s;
    let shift = short_figure(SHIFT_S);
    [
        "Solved: a plan within the time limit that passed the check. The time counts search and timing of the moves, not the check.".into(),
        format!("PAR2: mean time, {} s where not solved (twice the limit; SAT competitions).", short_figure(2.0 * limit)),
        format!("Mean time: geometric mean of time + {shift} s, less {shift} s, with {} s where not solved (shifted geometric mean, as in Mittelmann's benchmarks).", short_figure(limit)),
        "Agile score: 1 up to one second, then 1 - log t / log limit, 0 where not solved (International Planning Competition, IPC, 2018); the mean of each scene, summed: scenes weigh the same.".into(),
        "Quality score: best known over own, 0 where not solved (IPC 2008). A wrong answer voids its scene, two void all scores of the planner.".into(),
        "Margin: 1 - utilisation x hold factor, what is left of the allowed load of the worst bond at its worst instant.".into(),
        "Bound: the greatest lower bound on the makespan that any run gave. It knows little, so a large ratio does not mean that there is a better plan.".into(),
        "Intervals: 95 %, bias-corrected and accelerated bootstrap over scenes (Efron & Tibshirani 1993); single runs are never resampled. With few scenes they are too narrow.".into(),
        "Real or noise: two-sided paired permutation test over scenes, adjusted for all comparisons of this report (Holm 1979), at 0.05.".into(),
        "Cactus plot: the times of the solved runs in order; here time runs across, so that higher is better in all plots.".into(),
        "Performance profile: share of runs within a factor of the best planner (Dolan & Moré 2002). Which planner is best at a factor depends on who takes part.".into(),
        "What is said holds for scenes like these, if they are a fair sample of yours.".into(),
    ]
    .to_vec()
}

/// A number with three digits that count, but no more than four after the point.
pub(crate) fn figure(value: f64) -> String {
    let digits = match value.abs() {
        v if v >= 99.95 => 0,
        v if v >= 9.995 => 1,
        v if v >= 0.9995 || v == 0.0 => 2,
        v if v >= 0.09995 => 3,
        _ => 4,
    };
    wording::fixed(value, digits)
}

/// The same without needless zeros.
pub(crate) fn short_figure(value: f64) -> String {
    let text = figure(value);
    if text.contains('.') { text.trim_end_matches('0').trim_end_matches('.').to_owned() } else { text }
}

fn with_interval(estimate: &Estimate) -> String {
    let value = figure(estimate.value);
    estimate.interval.map_or(value.clone(), |i| format!("{value} ({} to {})", figure(i.low), figure(i.high)))
}

fn percent(estimate: &Estimate) -> String {
    let percent = |value: f64| format!("{:.0}", 100.0 * value);
    let value = percent(estimate.value);
    estimate
        .interval
        .map_or(format!("{value} %"), |i| format!("{value} % ({} to {})", percent(i.low), percent(i.high)))
}

/// A difference of shares in points, or a ratio.
pub(crate) fn difference_text(measure: Measure, estimate: &Estimate) -> String {
    if measure.is_ratio() {
        return with_interval(estimate);
    }
    let points = |value: f64| match (100.0 * value).round() {
        none if none.abs() < 0.5 => "0".into(),
        some => format!("{some:+.0}"),
    };
    let value = points(estimate.value);
    estimate.interval.map_or(format!("{value} points"), |i| {
        format!("{value} points ({} to {})", points(i.low), points(i.high))
    })
}

fn p_text(p: f64) -> String {
    if p < 0.0001 { "< 0.0001".into() } else { format!("{p:.4}") }
}

fn range(spread: Spread) -> String {
    let (least, most) = (figure(spread.least), figure(spread.most));
    let median = figure(spread.median);
    if least == most { median } else { format!("{median} ({least} to {most})") }
}

/// The same for counts.
fn counts(spread: Spread) -> String {
    let (least, most) = (short_figure(spread.least), short_figure(spread.most));
    let median = short_figure(spread.median);
    if least == most { median } else { format!("{median} ({least} to {most})") }
}
