//! A line about the running search on stderr; nothing unless that is a terminal.

use clamber_core::{Phase, Progress};
use indicatif::{ProgressBar, ProgressStyle};
use std::io::IsTerminal;
use std::time::Duration;

/// The line.
pub(crate) struct ProgressLine {
    bar: ProgressBar,
}

impl ProgressLine {
    pub(crate) fn new(limit_s: f64) -> Self {
        let bar =
            if std::io::stderr().is_terminal() { ProgressBar::new_spinner() } else { ProgressBar::hidden() };
        let template = format!("{{spinner}} {{msg}}, {{elapsed}} of {}s", crate::wording::short(limit_s));
        if let Ok(style) = ProgressStyle::with_template(&template) {
            bar.set_style(style.tick_chars("|/-\\ "));
        }
        bar.set_message("searching");
        bar.enable_steady_tick(Duration::from_millis(150));
        Self { bar }
    }

    /// Shows how far it has come.
    pub(crate) fn show(&self, progress: &Progress) {
        let statistics = &progress.statistics;
        let message = match (progress.phase, progress.makespan_s) {
            (Phase::Improving, Some(makespan_s)) => format!("solved in {makespan_s:.1} s; making it shorter"),
            (Phase::Improving, None) => "solved; timing and checking the moves".to_owned(),
            _ => {
                let nearest = if progress.nearest_s.is_finite() {
                    format!(", nearest {:.1} s from the goal", progress.nearest_s)
                } else {
                    String::new()
                };
                format!("searching: {} expanded, {} kept{nearest}", statistics.expanded, statistics.kept)
            }
        };
        self.bar.set_message(message);
    }
}

impl Drop for ProgressLine {
    fn drop(&mut self) {
        self.bar.finish_and_clear();
    }
}
