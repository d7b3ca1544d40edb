//! The margins of a plan, in words and in JSON.

use crate::wording::fixed;
use clamber_core::{Interrupt, Margins, Plan, Problem, margins};
use serde::Serialize;
use std::fmt::Write;

/// The margins, as they stand in JSON.
#[derive(Debug, Serialize)]
pub(crate) struct MarginsEntry {
    further_tilt_deg: f64,
    #[serde(skip_serializing_if = "Option::is_none")]
    held_by_weight: Option<HeldEntry>,
    utilisation: f64,
    #[serde(skip_serializing_if = "Option::is_none")]
    utilisation_without_touches: Option<f64>,
    depends_on_touches: bool,
}

#[derive(Debug, Serialize)]
struct HeldEntry {
    module: String,
    host: String,
    reserve_n: f64,
    at_s: f64,
}

/// Works out the margins of a sound plan; without an interrupt there is nothing that could stop it.
pub(crate) fn of(problem: &Problem, plan: &Plan) -> Option<Margins> {
    let never = || None;
    margins(problem, plan, Interrupt::new(&never)).ok()
}

pub(crate) fn entry(problem: &Problem, margins: &Margins) -> MarginsEntry {
    MarginsEntry {
        further_tilt_deg: margins.further_tilt.further_rad.to_degrees(),
        held_by_weight: margins.held_by_weight.map(|held| HeldEntry {
            module: problem.module_name(held.module).to_owned(),
            host: problem.name_of(held.host).to_owned(),
            reserve_n: held.reserve_n,
            at_s: held.at_s,
        }),
        utilisation: margins.utilisation,
        utilisation_without_touches: margins.without_touches,
        depends_on_touches: margins.depends_on_touches_s.is_some(),
    }
}

/// Three lines at most: tilt, feet that weight alone holds, touches.
pub(crate) fn text(problem: &Problem, margins: &Margins) -> String {
    let mut text = String::new();
    let tilt = &margins.further_tilt;
    let at = tilt.at_s.map_or_else(String::new, |at_s| format!(" (at {} s)", fixed(at_s, 1)));
    let _ = writeln!(
        text,
        "gravity may tilt {}° further than is asked before a bond is used beyond its limit{at}",
        fixed(tilt.further_rad.to_degrees(), 1)
    );
    if let Some(held) = margins.held_by_weight {
        let _ = writeln!(
            text,
            "feet that weight alone holds keep {} N before they slip or tip ({} on {} at {} s)",
            fixed(held.reserve_n, 2),
            problem.module_name(held.module),
            problem.name_of(held.host),
            fixed(held.at_s, 1)
        );
    }
    if let Some(at_s) = margins.depends_on_touches_s {
        let without = match margins.without_touches {
            Some(used) => format!("bonds would be used up to {}", fixed(used, 2)),
            None => "nothing would balance the crew".into(),
        };
        let _ =
            writeln!(text, "it depends on touches (first at {} s): without them {without}", fixed(at_s, 1));
    } else if let Some(without) = margins.without_touches.filter(|used| *used > margins.utilisation + 0.005) {
        let _ = writeln!(text, "without touches bonds would be used up to {}", fixed(without, 2));
    }
    text
}
