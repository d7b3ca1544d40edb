//! The answer of `whatif` for people.

use super::rocking::Rocking;
use crate::args::{FailureWord, WhatifArgs};
use crate::examine::Examined;
use crate::tables::{self, Column};
use crate::wording::{count, fixed};
use crate::{cautions, survival};
use clamber_core::unstable::assess::{Failure, FailureRow, StallRow, TouchRow, Trial, Verdict, WhatIf};
use clamber_core::{Body, ModuleId, Problem};
use std::fmt::Write;

pub(super) fn text(
    examined: &Examined,
    found: &WhatIf,
    rocking: Option<&Rocking>,
    args: &WhatifArgs,
) -> String {
    let problem = &examined.problem;
    let mut text = failures(problem, found, args);
    text += &touches(problem, found);
    let remarks = remarks(problem, found);
    if !remarks.is_empty() {
        let _ = writeln!(text, "\n{remarks}");
    } else {
        text.push('\n');
    }
    text += &timeline(found);
    let [margin, falls] = &found.further_tilt;
    let tilt = |angle: f64| fixed(angle.to_degrees(), 1);
    let _ = writeln!(
        text,
        "gravity may tilt {}° further than is asked before a bond is used beyond its limit, and {}° before one gives",
        tilt(margin.further_rad),
        tilt(falls.further_rad)
    );
    text += &rocking.map_or_else(String::new, |rocking| rocking.text(problem));
    let _ = writeln!(text, "{}: {}", examined.file, verdict(found.verdict()));
    let _ = writeln!(text, "{}", cautions::SHORT);
    text
}

/// The table of modules and failures.
fn failures(problem: &Problem, found: &WhatIf, args: &WhatifArgs) -> String {
    let asked = [
        (FailureWord::Cup, "cup fails"),
        (FailureWord::Bond, "bond lets go"),
        (FailureWord::Mass, "10 % heavier"),
        (FailureWord::Drive, "drive stops"),
    ];
    let asked: Vec<_> = asked.into_iter().filter(|(word, _)| args.asks(*word)).collect();
    if asked.is_empty() {
        return String::new();
    }
    let mut columns = vec![Column::Words("module")];
    columns.extend(asked.iter().map(|(_, heading)| Column::Words(heading)));
    let of = |module: ModuleId, failure: Failure| {
        let row = found.failures.iter().find(|row| (row.module, row.failure) == (module, failure));
        row.map_or_else(|| "-".into(), cell)
    };
    let stall = |module: ModuleId| {
        found.stalls.iter().find(|row| row.module == module).map_or_else(|| "-".into(), stall_cell)
    };
    let rows = problem.module_ids().map(|module| {
        let mut row = vec![problem.module_name(module).to_owned()];
        row.extend(asked.iter().map(|(word, _)| match word {
            FailureWord::Cup => of(module, Failure::Cup),
            FailureWord::Bond => of(module, Failure::Bond),
            FailureWord::Mass => of(module, Failure::Mass),
            FailureWord::Drive | FailureWord::Touch => stall(module),
        }));
        row
    });
    tables::draw(&columns, rows)
}

fn cell(row: &FailureRow) -> String {
    let gone = if row.gone > 1 { format!(", {} gone", row.gone) } else { String::new() };
    match &row.trial {
        Some(trial) => format!("{}{gone}", figure(trial)),
        None if row.gone > 0 => format!("all {} gone", row.gone),
        None => "-".into(),
    }
}

fn stall_cell(row: &StallRow) -> String {
    let hops =
        if row.hops.is_empty() { String::new() } else { format!(", {}", count(row.hops.len(), "hop")) };
    match (row.verdict, row.utilisation) {
        (None, _) if row.hops.is_empty() => "-".into(),
        (None, _) => count(row.hops.len(), "hop"),
        (Some(verdict), Some(used)) => format!("{} ≤ {}{hops}", short(verdict), fixed(used, 2)),
        (Some(verdict), None) => format!("{}{hops}", short(verdict)),
    }
}

/// `stands 0.44`.
fn figure(trial: &Trial) -> String {
    let bound = if trial.is_bound { "≤ " } else { "" };
    let used = trial.utilisation.map_or_else(String::new, |used| format!(" {bound}{}", fixed(used, 2)));
    format!("{}{used}", short(trial.verdict))
}

const fn short(verdict: Verdict) -> &'static str {
    match verdict {
        Verdict::Stands => "stands",
        Verdict::UsesMargin => "margin",
        Verdict::NotProven => "not proven",
        Verdict::Falls => "falls",
    }
}

fn touches(problem: &Problem, found: &WhatIf) -> String {
    if found.touches.is_empty() {
        return String::new();
    }
    let columns = [
        Column::Words("touch"),
        Column::Words("and"),
        Column::Words("not there"),
        Column::Number("worst at s"),
        Column::Words("needed at s"),
    ];
    let times = |row: &TouchRow| {
        let times =
            row.depends_s.iter().map(|&(from_s, to_s)| format!("{}-{}", fixed(from_s, 1), fixed(to_s, 1)));
        let times: Vec<String> = times.collect();
        if times.is_empty() { "-".into() } else { times.join(", ") }
    };
    let rows = found.touches.iter().map(|row| {
        vec![
            problem.module_name(row.module).to_owned(),
            problem.name_of(row.other).to_owned(),
            figure(&row.trial),
            fixed(row.trial.at_s, 1),
            times(row),
        ]
    });
    format!("\n{}", tables::draw(&columns, rows))
}

/// A line for everything that does not simply stand.
fn remarks(problem: &Problem, found: &WhatIf) -> String {
    let name = |module: ModuleId| problem.module_name(module);
    let mut text = String::new();
    for row in &found.failures {
        let what = match row.failure {
            Failure::Cup => format!("the cup of {} fails", name(row.module)),
            Failure::Bond => format!("the bond of {} lets go", name(row.module)),
            Failure::Mass => format!("{} is 10 % heavier", name(row.module)),
        };
        if let Some(trial) = row.trial.as_ref().filter(|trial| trial.verdict != Verdict::Stands) {
            let _ = writeln!(text, "{}", sentence(problem, &what, trial));
        }
    }
    for row in found.touches.iter().filter(|row| row.trial.verdict != Verdict::Stands) {
        let what = format!("{} and {} do not touch", name(row.module), problem.name_of(row.other));
        let _ = writeln!(text, "{}", sentence(problem, &what, &row.trial));
    }
    if let Some(trial) = found.without_touches.as_ref().filter(|trial| trial.verdict != Verdict::Stands) {
        let _ = writeln!(text, "{}", sentence(problem, "nothing touches", trial));
    }
    let hops: usize = found.stalls.iter().map(|row| row.hops.len()).sum();
    if hops > 0 {
        let _ = writeln!(
            text,
            "a hop that stops half-way is on neither host, and nothing is proven: it has to be finished or taken back ({} in this plan)",
            count(hops, "hop")
        );
    }
    text
}

/// `if the cup of m3 fails at 12.3 s, m3 falls off m1: it needs 1.42 of all it holds; bracing m2 as well would make it 0.40`.
fn sentence(problem: &Problem, what: &str, trial: &Trial) -> String {
    let name = |module: ModuleId| problem.module_name(module);
    let bond = trial.bond.map(|(module, host)| (name(module), problem.name_of(host)));
    let at = fixed(trial.at_s, 1);
    let then = match (trial.verdict, bond, trial.utilisation) {
        (Verdict::Falls, Some((module, host)), Some(used)) => {
            format!("{module} comes off {host}: it needs {} times all that holds it", fixed(used, 2))
        }
        (Verdict::Falls, Some((module, host)), None) => {
            format!("nothing balances the crew, and {module} on {host} gives first")
        }
        (Verdict::Falls, None, _) => "the crew falls".into(),
        (_, Some((module, host)), Some(used)) => {
            format!("{module} on {host} uses up to {} of all that holds it", fixed(used, 2))
        }
        _ => "the margin is used up".into(),
    };
    // What holds uses at most all that it has.
    let yet = |used: f64| if used > 1.0 { ", and still give way" } else { "" };
    let mut helps = Vec::new();
    if let Some((module, used)) = trial.help.brace {
        helps.push(format!(
            "with {} braced as well it would be {}{}",
            name(module),
            fixed(used, 2),
            yet(used)
        ));
    }
    if let Some(weight) = trial.help.counterweight {
        let toward: Vec<String> = weight.toward.to_array().iter().map(|v| fixed(*v, 2)).collect();
        helps.push(format!(
            "with one module more ({} kg) on {} toward [{}] it would be {}{}",
            fixed(weight.mass_kg, 2),
            problem.name_of(Body::Module(weight.host)),
            toward.join(", "),
            fixed(weight.utilisation, 2),
            yet(weight.utilisation)
        ));
    }
    let helps: String = helps.iter().map(|help| format!("; {help}")).collect();
    format!("if {what} (worst at {at} s), {then}{helps}")
}

/// When the crew survives any one failure.
fn timeline(found: &WhatIf) -> String {
    let falls = survival::falls(&found.timeline);
    if falls.is_empty() {
        return "any one cup, bond or heavier module: survived at all times\n".into();
    }
    format!("any one cup, bond or heavier module: survived at all times but {}\n", falls.join(", "))
}

const fn verdict(verdict: Verdict) -> &'static str {
    match verdict {
        Verdict::Stands => "it stands with any one of these failures, within its limits",
        Verdict::UsesMargin => "it stands with any one of these failures, but some use up its margin",
        Verdict::NotProven => "not for all of these failures is it proven to stand",
        Verdict::Falls => "it falls with some of these failures",
    }
}
