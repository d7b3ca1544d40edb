//! `clamber bench report`: rows in; tables, plots and plain words about differences out.
//!
//! [`race`] sorts the rows, [`planners`], [`scenes`] and [`differences`] make figures of them, [`page`] puts these into tables and
//! plots, and [`markdown`], [`html`] and [`spreadsheet`] write them.

pub(crate) mod block;
mod contradictions;
mod differences;
pub(crate) mod html;
mod markdown;
mod method;
pub(crate) mod numbers;
pub(crate) mod page;
pub(crate) mod plane;
mod planners;
pub(crate) mod plot_axis;
pub(crate) mod plot_frame;
pub(crate) mod plot_size;
mod plot_steps;
mod plot_whiskers;
mod plots;
mod race;
mod scenes;
mod short;
mod spreadsheet;
mod tables;

use super::merge::merged;
use crate::args::ReportArgs;
use crate::failure::Failure;
use crate::sort::Sort;
use crate::{exit_code, files, output};
use differences::Difference;
use planners::PlannerFigures;
use race::Race;
use scenes::SceneFigures;
use serde::Serialize;

/// All figures of a report.
#[derive(Serialize)]
pub(crate) struct Figures {
    format: &'static str,
    time_limit_s: f64,
    memory_limit_mib: Option<u64>,
    threads: u16,
    /// Plans that count as solved; each has passed the check.
    checked_plans: usize,
    /// Plans that were offered and did not pass.
    not_sound_plans: usize,
    planners: Vec<PlannerFigures>,
    differences: Vec<Difference>,
    scenes: Vec<SceneFigures>,
    contradictions: Vec<String>,
    remarks: Vec<String>,
}

pub(crate) fn run(args: &ReportArgs) -> Result<u8, Failure> {
    let merged = merged(&args.results)?;
    let race = Race::new(merged.rows)?;
    let figures = figures(&race, args);
    let page = page::page(&race, &figures);
    if let Some(folder) = &args.output {
        files::make_folder(folder)?;
        let write = |name: &str, sort: Sort, text: String| files::write(&folder.join(name), sort, text);
        write("runs.csv", Sort::ReportTable, spreadsheet::runs(&race)?)?;
        write("planners.csv", Sort::ReportTable, spreadsheet::planners(&figures)?)?;
        write("differences.csv", Sort::ReportTable, spreadsheet::differences(&figures)?)?;
        write("report.md", Sort::ReportText, markdown::write(&page))?;
        write("report.html", Sort::Page, html::write(&page))?;
        output::complain(&format!(
            "report.html, report.md and 3 tables (CSV) written to {}",
            folder.display()
        ));
    }
    if args.json {
        output::print(&output::json_line(&figures)?)?;
    } else if args.output.is_none() {
        output::print(&markdown::write(&page))?;
    }
    Ok(exit_code::DONE)
}

fn figures(race: &Race, args: &ReportArgs) -> Figures {
    let contradictions = contradictions::find(race);
    let planners = planners::figures(race, &contradictions, args);
    let count = |sound| race.rows().filter(|row| row.checked == Some(sound)).count();
    Figures {
        format: "clamber-report/1",
        time_limit_s: race.time_limit_s,
        memory_limit_mib: race.memory_limit_mib,
        threads: race.threads,
        checked_plans: race
            .rows()
            .filter(|row| row.solved_s().is_some() && row.checked == Some(true))
            .count(),
        not_sound_plans: count(false),
        planners,
        differences: differences::all(race, args),
        scenes: scenes::figures(race, args),
        contradictions: contradictions.into_iter().map(|found| found.message).collect(),
        remarks: race.remarks.clone(),
    }
}
