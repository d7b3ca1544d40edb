//! Numbers as a person would write them into a file.

/// Three significant digits.
pub(super) fn digits(value: f64) -> f64 {
    format!("{value:.2e}").parse().unwrap_or(value)
}

/// Hundredths of whatever unit.
pub(super) fn hundredths(value: f64) -> f64 {
    (value * 1e2).round() / 1e2
}

/// Whole micrometres, of a length in metres.
pub(super) fn micrometres(value: f64) -> f64 {
    (value * 1e6).round() / 1e6
}

/// Whole nanometres, of a length in metres: edges that decks share still meet.
pub(super) fn nanometres(value: f64) -> f64 {
    (value * 1e9).round() / 1e9
}
