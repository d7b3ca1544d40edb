//! The surface of a module as tables for people.

use crate::surface_report::{PartEntry, SurfaceReport, fixed_by};
use crate::tables::{self, Column};
use crate::wording::{self, fixed};
use clamber_core::unstable::travel::Freedom;
use clamber_core::{Problem, Survey};
use std::fmt::Write;

/// Rests listed unless all are asked for.
const LISTED: usize = 20;

/// The text of one scene; with `all`, every rest is listed.
pub(crate) fn text(problem: &Problem, survey: &Survey, seen: &SurfaceReport, all: bool) -> String {
    let on = problem.name_of(problem.start.get(survey.mover).host);
    let mut text =
        format!("{}: {}\nsurface of {}, which stands on {on}\n\n", seen.file, seen.scene, seen.module);
    for table in [parts(seen), hop_arcs(seen), pockets(seen), rests(seen, all)] {
        if !table.is_empty() {
            let _ = writeln!(text, "{table}");
        }
    }
    let full = full_hosts(problem, survey);
    if !full.is_empty() {
        let _ = writeln!(text, "no room on {}", full.join(", "));
    }
    if let Some(why) = fixed_by(problem, survey) {
        let what = match survey.freedom {
            Freedom::Carries(_) => {
                "so they move as one; no trips were looked for:\nthe surface is that on which all of them are clear, whatever their heading"
            }
            _ => "so it goes nowhere by itself: its surface is shown, no trips were looked for",
        };
        let _ = writeln!(text, "{why}, {what}");
    }
    if let Some(narrowest) = &seen.narrowest {
        let [mover, other] = &narrowest.between;
        let at = narrowest.towards.position_m.map(|v| fixed(v, 3)).join(" ");
        let gap = fixed(narrowest.gap_m * 1e3, 2);
        let _ = writeln!(
            text,
            "narrowest passage: {gap} mm between {mover} and {other}, on the way to {} at {at}",
            narrowest.towards.on
        );
    }
    let reached: f64 = seen.parts.iter().filter(|part| part.reached).map(|part| part.area_m2).sum();
    let _ = writeln!(
        text,
        "{} cm² in {}, of them {} cm² reached; {} reached",
        fixed(seen.area_m2 * 1e4, 1),
        wording::count(seen.parts.len(), "part"),
        fixed(reached * 1e4, 1),
        wording::count(seen.rests.len(), "rest"),
    );
    text
}

/// Hosts on which the module has no room at all.
fn full_hosts(problem: &Problem, survey: &Survey) -> Vec<String> {
    let hosts = survey.surface.regions().map(|(host, _)| host);
    let full = hosts.filter(|host| survey.parts.iter().all(|part| part.host != *host));
    full.map(|host| problem.name_of(host).to_owned()).collect()
}

fn parts(seen: &SurfaceReport) -> String {
    let columns = [
        Column::Words("host"),
        Column::Number("area cm²"),
        Column::Number("boundary cm"),
        Column::Words("reached"),
    ];
    let several =
        |part: &PartEntry| seen.parts.iter().filter(|other| other.host == part.host).nth(1).is_some();
    let rows = seen.parts.iter().map(|part| {
        let number = if several(part) { format!(", part {}", part.part + 1) } else { String::new() };
        vec![
            format!("{}{number}", part.host),
            fixed(part.area_m2 * 1e4, 1),
            fixed(part.boundary_m * 100.0, 1),
            part.why.as_ref().map_or_else(|| "yes".into(), |why| format!("no, {why}")),
        ]
    });
    tables::draw(&columns, rows)
}

fn hop_arcs(seen: &SurfaceReport) -> String {
    if seen.hop_arcs.is_empty() {
        return "no hop arcs\n".into();
    }
    let columns = [
        Column::Words("hop arc"),
        Column::Words("and"),
        Column::Number("length cm"),
        Column::Number("pivot °"),
        Column::Words(""),
    ];
    let rows = seen.hop_arcs.iter().map(|arc| {
        let [a, b] = arc.hosts.clone();
        let ring = if arc.ring { "ring" } else { "" };
        vec![a, b, fixed(arc.length_m * 100.0, 1), fixed(arc.pivot_deg, 1), ring.into()]
    });
    tables::draw(&columns, rows)
}

fn pockets(seen: &SurfaceReport) -> String {
    if seen.pockets.is_empty() {
        return String::new();
    }
    let columns =
        [Column::Words("pocket of"), Column::Number("x m"), Column::Number("y m"), Column::Number("z m")];
    let rows = seen.pockets.iter().map(|pocket| {
        let mut row = vec![pocket.bodies.join(", ")];
        row.extend(pocket.position_m.map(|v| fixed(v, 3)));
        row
    });
    tables::draw(&columns, rows)
}

fn rests(seen: &SurfaceReport, all: bool) -> String {
    if seen.rests.is_empty() {
        return String::new();
    }
    let columns = [
        Column::Words("rest on"),
        Column::Number("x m"),
        Column::Number("y m"),
        Column::Number("z m"),
        Column::Number("time s"),
        Column::Number("way cm"),
        Column::Number("moves"),
    ];
    let listed = if all { usize::MAX } else { LISTED };
    let rows = seen.rests.iter().take(listed).map(|rest| {
        let mut row = vec![rest.on.clone()];
        row.extend(rest.position_m.map(|v| fixed(v, 3)));
        row.extend([fixed(rest.time_s, 1), fixed(rest.way_m * 100.0, 1), rest.moves.to_string()]);
        row
    });
    let mut text = tables::draw(&columns, rows);
    if let Some(more) = seen.rests.len().checked_sub(listed).filter(|more| *more > 0) {
        let _ = writeln!(text, "and {more} more; --all lists them");
    }
    text
}
