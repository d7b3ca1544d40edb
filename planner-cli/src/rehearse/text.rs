//! What came of all runs.

use super::RehearseArgs;
use super::run::{End, Run};
use crate::wording;
use serde::Serialize;
use std::fmt::Write;

#[derive(Serialize)]
pub(crate) struct Summary {
    format: &'static str,
    file: String,
    runs: usize,
    finished: usize,
    part_of_goal: usize,
    stopped_safely: usize,
    overloaded_by_the_fault: usize,
    refitted: usize,
    replanned: usize,
    replanned_for_fewer_slots: usize,
    planned_s: f64,
    /// Of the runs that finished: how much longer than planned they took.
    time_lost_median_s: Option<f64>,
    time_lost_most_s: Option<f64>,
    broken: Vec<BrokenEntry>,
}

#[derive(Serialize)]
struct BrokenEntry {
    run: usize,
    words: String,
}

impl Summary {
    pub(crate) fn new(file: &str, planned_s: f64, runs: &[Run]) -> Self {
        let sound = || runs.iter().filter(|run| run.breaches.is_empty());
        let ended = |end: End| sound().filter(|run| run.end == end).count();
        let mut lost_s: Vec<f64> =
            sound().filter(|run| run.end == End::Goal).map(|run| run.took_s - planned_s).collect();
        lost_s.sort_by(f64::total_cmp);
        let broken = runs.iter().enumerate().flat_map(|(run, own)| {
            own.breaches.iter().map(move |words| BrokenEntry { run, words: words.clone() })
        });
        Self {
            format: "clamber-rehearse/1",
            file: file.to_owned(),
            runs: runs.len(),
            finished: ended(End::Goal),
            part_of_goal: ended(End::PartOfGoal),
            stopped_safely: ended(End::SafeStop),
            overloaded_by_the_fault: ended(End::Overloaded),
            refitted: runs.iter().map(|run| run.refits).sum(),
            replanned: runs.iter().map(|run| run.replans).sum(),
            replanned_for_fewer_slots: runs.iter().map(|run| run.fewer).sum(),
            planned_s,
            time_lost_median_s: lost_s.get(lost_s.len() / 2).copied(),
            time_lost_most_s: lost_s.last().copied(),
            broken: broken.collect(),
        }
    }

    pub(crate) fn is_as_it_should_be(&self) -> bool {
        self.broken.is_empty()
    }

    pub(crate) fn text(&self, args: &RehearseArgs) -> String {
        let mut text = format!("{}: {}, seed {}\n", self.file, wording::count(self.runs, "run"), args.seed);
        let mut line = |count: usize, words: &str| {
            let _ = writeln!(text, "{count:>7}  {words}");
        };
        line(self.finished, "reached the goal");
        line(self.part_of_goal, "filled as many slots as could still be filled");
        line(self.stopped_safely, "stopped safely, as the check has proven");
        line(self.overloaded_by_the_fault, "stopped where the fault itself took more than the margin");
        line(self.broken.len(), "broke a rule");
        let _ = writeln!(
            text,
            "on the way: {} refitted, {} replanned, {} replanned for fewer slots",
            self.refitted, self.replanned, self.replanned_for_fewer_slots
        );
        if let (Some(median_s), Some(most_s)) = (self.time_lost_median_s, self.time_lost_most_s) {
            let _ = writeln!(
                text,
                "time lost on the way to the goal: {median_s:.1} s in half of the runs, at most {most_s:.1} s; planned {:.1} s",
                self.planned_s
            );
        }
        for BrokenEntry { run, words } in &self.broken {
            let _ = writeln!(text, "run {run}: {words}");
        }
        if let Some(log) = &args.log {
            let _ =
                writeln!(text, "run {} logged to {}; `clamber show` plays it", args.log_run, log.display());
        }
        text
    }
}
