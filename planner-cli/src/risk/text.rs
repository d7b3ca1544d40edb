//! The answer of `risk` for people.

use crate::args::RiskArgs;
use crate::cautions;
use crate::examine::Examined;
use crate::tables::{self, Column};
use crate::wording::{fixed, short};
use clamber_core::unstable::assess::{Risk, Scatter, Verdict};
use std::fmt::Write;

/// So many bonds are listed.
const LISTED: usize = 10;

pub(super) fn text(examined: &Examined, scatter: &Scatter, args: &RiskArgs, found: &Risk) -> String {
    let mut text = format!("{}\n\n", scattered(scatter));
    text += &bonds(examined, found);
    text.push('\n');
    text += &scenarios(found);
    let at_most = if found.is_bound { "at most " } else { "" };
    let how = if found.is_exact {
        "exact for independent holds".into()
    } else {
        let (low, high) = (chance(found.chance.low), chance(found.chance.high));
        format!("{low} to {high} with 95 % confidence, {} draws, seed {}", args.draws, args.seed)
    };
    let _ = writeln!(
        text,
        "\n{}: it fails with a chance of {at_most}{} ({how})",
        examined.file,
        chance(found.chance.value)
    );
    let worst = found.timeline.iter().max_by(|a, b| a.2.total_cmp(&b.2));
    if let (Some(bond), Some(&(from_s, to_s, most))) =
        (found.bonds.first(), worst.filter(|piece| piece.2 > 0.0))
    {
        let _ = writeln!(
            text,
            "most of it: the bond of {} at {} s; the worst time is {}-{} s, at most {}",
            examined.problem.module_name(bond.module),
            fixed(bond.at_s, 1),
            fixed(from_s, 1),
            fixed(to_s, 1),
            chance(most)
        );
    }
    if found.is_bound {
        text += "where bodies touch the chance is a bound, and masses and places count as given there\n";
    }
    text += "a chance from independent scatter flatters: look at the common causes first\n";
    let _ = writeln!(text, "{}", cautions::SHORT);
    text
}

fn scattered(scatter: &Scatter) -> String {
    let hold = |mean: f64, cv: f64| format!("mean {} of the rating, cv {}", short(mean), short(cv));
    format!(
        "magnets: {}; cups: {}\nmasses: cv {}; places: {} mm and {}° standard deviation",
        hold(scatter.magnet.mean, scatter.magnet.cv),
        hold(scatter.cup.mean, scatter.cup.cv),
        short(scatter.mass_cv),
        short(scatter.place_m * 1e3),
        short(scatter.place_rad.to_degrees())
    )
}

fn bonds(examined: &Examined, found: &Risk) -> String {
    let columns = [
        Column::Words("bond of"),
        Column::Words("hold"),
        Column::Number("needs N"),
        Column::Number("holds N"),
        Column::Number("at s"),
        Column::Number("chance"),
    ];
    let rows = found.bonds.iter().take(LISTED).map(|bond| {
        let at_most = if bond.is_bound { "≤ " } else { "" };
        vec![
            examined.problem.module_name(bond.module).to_owned(),
            if bond.braced { "braced" } else { "rolling" }.to_owned(),
            format!("{at_most}{}", fixed(bond.needs_n, 1)),
            fixed(bond.holds_n, 1),
            fixed(bond.at_s, 1),
            format!("{at_most}{}", chance(bond.chance)),
        ]
    });
    let mut text = tables::draw(&columns, rows);
    if found.bonds.len() > LISTED {
        let _ = writeln!(text, "and {} more that matter less", found.bonds.len() - LISTED);
    }
    text
}

fn scenarios(found: &Risk) -> String {
    let columns = [
        Column::Words("common cause"),
        Column::Words("then"),
        Column::Number("used"),
        Column::Number("at s"),
        Column::Number("probability"),
    ];
    let rows = found.scenarios.iter().map(|row| {
        let then = match row.trial.verdict {
            Verdict::Stands => "stands",
            Verdict::UsesMargin => "stands, margin used up",
            Verdict::NotProven => "not proven",
            Verdict::Falls => "falls",
        };
        vec![
            row.scenario.name.clone(),
            then.to_owned(),
            row.trial.utilisation.map_or_else(|| "-".into(), |used| fixed(used, 2)),
            fixed(row.trial.at_s, 1),
            row.scenario.probability.map_or_else(|| "-".into(), chance),
        ]
    });
    tables::draw(&columns, rows)
}

/// A chance with three digits that count.
fn chance(value: f64) -> String {
    if value == 0.0 {
        "0".into()
    } else if value < 1e-3 {
        format!("{value:.2e}")
    } else {
        short(value)
    }
}
