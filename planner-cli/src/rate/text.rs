//! A rating as text for people.

use super::Rated;
use crate::tables::{self, Column};
use crate::wording::{count, fixed, trimmed};
use clamber_core::unstable::rating::{Comparison, Figure, FigureName, Rating, Rocking, Series, rounded_down};
use std::fmt::Write;

/// `written` are the files that were written, and `has_kind_file` is whether the kind is one of them.
pub(super) fn text(rated: &Rated, written: &[String], has_kind_file: bool) -> String {
    let Rated { file, rating, base, .. } = rated;
    let pulls: usize = rating.series.iter().map(|series| series.pulls).sum();
    let mut text = format!(
        "{file}: kind {}, {} in {}, {} dropped\n",
        rating.kind,
        count(pulls, "pull"),
        if rating.series.len() == 1 { "1 series".into() } else { format!("{} series", rating.series.len()) },
        rating.dropped.len()
    );
    let _ = writeln!(
        text,
        "limits: {} % of pulls are stronger, with {} % confidence{}; method {}\n",
        percent(rating.share),
        percent(rating.confidence_each),
        if rating.confidence_each > rating.confidence { " each" } else { "" },
        rating.method.word()
    );
    let _ = writeln!(text, "{}", series_table(&rating.series));
    if !rating.comparisons.is_empty() {
        let _ = writeln!(text, "{}", comparison_table(&rating.comparisons));
    }
    for pull in &rating.dropped {
        let _ = writeln!(
            text,
            "dropped: pull {} of {}, {} N: {}",
            pull.pull, pull.module, pull.force_n, pull.cause
        );
    }
    if let Some(rocking) = &rating.rocking {
        let _ = writeln!(text, "{}", rocking_words(rocking));
    }
    for surface in &rating.left_out {
        let _ = writeln!(text, "left out: all pulls on {surface}");
    }
    for remark in &rating.remarks {
        let _ = writeln!(text, "look again: {remark}");
    }
    for assumption in &rating.assumptions {
        let _ = writeln!(text, "assumed: {assumption}");
    }
    let _ = writeln!(text, "\n{}", figure_table(rating));
    for figure in &rating.figures {
        let _ = writeln!(text, "{}: {}", figure.name.field(), figure.why);
    }
    let lacking: Vec<&str> =
        rating.figures.iter().filter(|figure| figure.lacks_tests).map(|figure| figure.name.field()).collect();
    text += "\n";
    let left_open = rating.figures.iter().find(|figure| figure.value.is_none() && !figure.lacks_tests);
    text += &if let (true, Some(figure)) = (lacking.is_empty(), left_open) {
        format!("{} is rated but for {}: {}\n", rating.kind, figure.name.field(), holds(rating))
    } else if lacking.is_empty() {
        format!("{} is rated: {}\n", rating.kind, holds(rating))
    } else {
        format!("{} is not rated in full; not rated: {}\n", rating.kind, lacking.join(", "))
    };
    if base.is_none() && has_kind_file {
        text += "the file leaves the other numbers of the kind to be filled in; --from takes them from a scene or a file of kinds\n";
    }
    if !written.is_empty() {
        let _ = writeln!(text, "written to {}", written.join(" and "));
    }
    text
}

/// What it holds, in a few words.
fn holds(rating: &Rating) -> String {
    let force = |n: f64| format!("{} N", trimmed(n, 2));
    let hold = |name: &str, n: Option<f64>| n.map(|n| format!("{name} {}", force(n)));
    let both = [hold("rolling", rating.rolling_n), hold("braced", rating.braced_n)];
    both.into_iter().flatten().collect::<Vec<_>>().join(", ")
}

pub(super) const SERIES_COLUMNS: [&str; 8] =
    ["modules", "mean N", "s N", "least N", "k", "normal N", "order", "limit N"];

/// The cells of a series after its name.
pub(super) fn series_cells(series: &Series) -> Vec<String> {
    let force = |n: Option<f64>| n.map_or_else(|| "-".into(), |n| fixed(n, 2));
    let normal = series.log_normal.or(series.normal);
    vec![
        modules(series),
        // With pulls that held, the mean of the forces means little: that of the fit does.
        force(Some(series.normal.filter(|_| series.held > 0).map_or(series.mean_n, |normal| normal.mean))),
        force(series.normal.map(|normal| normal.sd).or(series.sd_n)),
        force(Some(series.order.least_n)),
        normal.map_or_else(|| "-".into(), |normal| fixed(normal.factor, 4)),
        force(normal.map(|normal| normal.limit_n)),
        order_words(series),
        force(series.limit_n),
    ]
}

/// `10`, or `10 (30 pulls, 2 held)`.
fn modules(series: &Series) -> String {
    let pulls = (series.pulls > series.modules).then(|| count(series.pulls, "pull"));
    let held = (series.held > 0).then(|| format!("{} held", series.held));
    let more = [pulls, held].into_iter().flatten().collect::<Vec<_>>().join(", ");
    if more.is_empty() { series.modules.to_string() } else { format!("{} ({more})", series.modules) }
}

/// What order statistics say: a limit, or how sure the lowest pull is.
pub(super) fn order_words(series: &Series) -> String {
    let order = &series.order;
    match (order.limit_n, order.rank) {
        (Some(limit), Some(rank)) => format!("{} ({})", fixed(limit, 2), ordinal(rank)),
        _ => format!("{} %", fixed(100.0 * order.least_confidence, 0)),
    }
}

fn ordinal(rank: usize) -> String {
    if rank == 1 { "lowest".into() } else { format!("{rank} lowest") }
}

fn series_table(series: &[Series]) -> String {
    let columns: Vec<Column> =
        std::iter::once(Column::Words("series")).chain(SERIES_COLUMNS.map(Column::Number)).collect();
    let rows = series.iter().map(|series| {
        let mut row = vec![series.name()];
        row.extend(series_cells(series));
        row
    });
    tables::draw(&columns, rows)
}

pub(super) const COMPARISON_COLUMNS: [&str; 4] = ["mean N", "and N", "difference N, 95 % interval", "p"];

/// What is compared, and the cells after that.
pub(super) fn comparison_cells(comparison: &Comparison) -> (String, Vec<String>) {
    let Comparison { of, among, first, second, .. } = comparison;
    let interval = comparison
        .welch
        .map_or_else(|| "-".into(), |w| format!("{:+.2} ({:+.2} to {:+.2})", w.difference, w.low, w.high));
    let p = comparison
        .welch
        .map_or_else(|| "-".into(), |w| if w.p < 1e-4 { "< 0.0001".into() } else { fixed(w.p, 4) });
    let means = [comparison.first_mean_n, comparison.second_mean_n].map(|n| fixed(n, 2));
    (format!("{of}: {first} and {second} ({among})"), means.into_iter().chain([interval, p]).collect())
}

fn comparison_table(comparisons: &[Comparison]) -> String {
    let columns: Vec<Column> =
        std::iter::once(Column::Words("compared")).chain(COMPARISON_COLUMNS.map(Column::Number)).collect();
    let rows = comparisons.iter().map(|comparison| {
        let (what, cells) = comparison_cells(comparison);
        std::iter::once(what).chain(cells).collect()
    });
    tables::draw(&columns, rows)
}

fn figure_table(rating: &Rating) -> String {
    let columns = [Column::Words("field"), Column::Number("rated"), Column::Words("decided by")];
    let rows = rating
        .figures
        .iter()
        .map(|figure| vec![figure.name.field().to_owned(), value(figure), decided_by(rating, figure)]);
    tables::draw(&columns, rows)
}

pub(super) fn decided_by(rating: &Rating, figure: &Figure) -> String {
    figure.governed_by.map_or_else(|| "-".into(), |index| rating.series[index].name())
}

/// A rated number with its unit.
pub(super) fn value(figure: &Figure) -> String {
    let unit = figure.name.unit();
    match (figure.value, figure.name) {
        (Some(value), _) => format!("{value}{unit}"),
        (None, FigureName::CupVacuumPa) if !figure.lacks_tests => "-".into(),
        (None, _) => "not rated".into(),
    }
}

pub(super) fn percent(share: f64) -> String {
    trimmed(100.0 * share, 3)
}

/// `rocking stiffness: 92 N·m/rad (lower limit from 12 pulls of 6 modules, mean 101), for clamber whatif --rocking 92`.
pub(super) fn rocking_words(rocking: &Rocking) -> String {
    let (pulls, modules) = (count(rocking.pulls, "pull"), count(rocking.modules, "module"));
    let mean = trimmed(rocking.mean, 1);
    match rocking.limit.map(|limit| trimmed(rounded_down(limit, 3), 3)) {
        Some(limit) => format!(
            "rocking stiffness: {limit} N·m/rad (lower limit from {pulls} of {modules}, mean {mean}), for clamber whatif --rocking {limit}"
        ),
        None if rocking.modules > 1 => format!(
            "rocking stiffness: on average {mean} N·m/rad in {pulls} of {modules}, which scatter too much for a limit above 0: is a tilt misread?"
        ),
        None => format!(
            "rocking stiffness: on average {mean} N·m/rad in {pulls} of {modules}, too few for a limit"
        ),
    }
}
