//! Numbers of a report as text.

use super::differences::Measure;
use super::planners::Estimate;
use super::scenes::Spread;
use crate::wording;

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

pub(crate) fn with_interval(estimate: &Estimate) -> String {
    let value = figure(estimate.value);
    estimate.interval.map_or(value.clone(), |i| format!("{value} ({} to {})", figure(i.low), figure(i.high)))
}

pub(crate) fn percent(estimate: &Estimate) -> String {
    let percent = |value: f64| wording::fixed(100.0 * value, 0);
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

pub(crate) fn p_text(p: f64) -> String {
    if p < 0.0001 { "< 0.0001".into() } else { format!("{p:.4}") }
}

pub(crate) fn range(spread: Spread) -> String {
    let (least, most) = (figure(spread.least), figure(spread.most));
    let median = figure(spread.median);
    if least == most { median } else { format!("{median} ({least} to {most})") }
}

/// The same for counts.
pub(crate) fn counts(spread: Spread) -> String {
    let (least, most) = (short_figure(spread.least), short_figure(spread.most));
    let median = short_figure(spread.median);
    if least == most { median } else { format!("{median} ({least} to {most})") }
}
