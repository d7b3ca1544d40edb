//! A line about the running search on stderr; nothing unless that is a terminal.

use clamber_core::search::{Observer, Outcome, Progress};
use indicatif::{ProgressBar, ProgressStyle};
use std::io::IsTerminal;
use std::sync::Mutex;
use std::time::{Duration, Instant};

/// The line, and the last it heard.
pub(crate) struct ProgressLine {
    bar: ProgressBar,
    last: Mutex<Option<Progress>>,
    found: Mutex<Option<Instant>>,
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
        Self { bar, last: Mutex::new(None), found: Mutex::new(None) }
    }

    /// The search is over, the rest is not.
    pub(crate) fn settling(&self) {
        self.bar.set_message("timing and checking the moves, searched");
    }

    /// What was heard last.
    pub(crate) fn last(&self) -> Option<Progress> {
        self.last.lock().ok().and_then(|last| *last)
    }

    /// When the first solution was found, if the planner has gone on since.
    pub(crate) fn found(&self) -> Option<Instant> {
        self.found.lock().ok().and_then(|found| *found)
    }
}

impl Drop for ProgressLine {
    fn drop(&mut self) {
        self.bar.finish_and_clear();
    }
}

impl Observer for ProgressLine {
    fn progress(&self, progress: &Progress) {
        if let Ok(mut last) = self.last.lock() {
            *last = Some(*progress);
        }
        let statistics = &progress.statistics;
        let nearest = if progress.nearest_s.is_finite() {
            format!(", nearest {:.1} s from the goal", progress.nearest_s)
        } else {
            String::new()
        };
        self.bar.set_message(format!(
            "searching: {} expanded, {} kept{nearest}",
            statistics.expanded, statistics.kept
        ));
    }

    fn better(&self, _: &Outcome) {
        if let Ok(mut found) = self.found.lock() {
            found.get_or_insert_with(Instant::now);
        }
        self.bar.set_message("solved; making it shorter, searched");
    }
}
