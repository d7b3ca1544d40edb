//! What bonds that are not rigid do to a plan, in words and in JSON.

use crate::args::WhatifArgs;
use crate::examine::Examined;
use crate::failure::Failure;
use crate::wording::fixed;
use clamber_core::unstable::assess::{Compliance, compliance};
use clamber_core::{Interrupt, Problem};
use schemars::JsonSchema;
use serde::Serialize;
use std::fmt::Write;

/// What bonds that are not rigid do.
#[derive(Serialize, JsonSchema)]
pub(super) struct RockingEntry {
    /// The rocking stiffness of every bond, in N·m/rad.
    stiffness: f64,
    /// The farthest that any module's centre droops from its place; absent where touches close every stance.
    #[serde(skip_serializing_if = "Option::is_none")]
    droop: Option<DroopEntry>,
    /// The longest period of sway, in seconds, from above.
    #[serde(skip_serializing_if = "Option::is_none")]
    period_s: Option<f64>,
    /// What an error of place adds to the utilisation of the bond that bears it worst, where touches close a stance.
    #[serde(skip_serializing_if = "Option::is_none")]
    misplaced: Option<MisplacedEntry>,
}

#[derive(Serialize, JsonSchema)]
struct DroopEntry {
    module: String,
    off_m: f64,
    at_s: f64,
}

#[derive(Serialize, JsonSchema)]
struct MisplacedEntry {
    module: String,
    on: String,
    /// The error of place, in degrees.
    off_deg: f64,
    adds: f64,
    at_s: f64,
}

/// The stiffness asked about, and what it does.
pub(super) struct Rocking {
    stiffness: f64,
    off_deg: f64,
    found: Compliance,
}

/// Works it out, if it is asked for.
pub(super) fn of(examined: &Examined, args: &WhatifArgs) -> Result<Option<Rocking>, Failure> {
    let Some(stiffness) = args.rocking else { return Ok(None) };
    let (problem, plan, off_rad) = (&examined.problem, &examined.plan, args.off_deg.to_radians());
    let found = compliance(problem, plan, stiffness, off_rad, Interrupt::NEVER);
    let found = found.map_err(|stopped| {
        Failure::not_sound(format!("internal error: stopped ({stopped:?}); please report this with the plan"))
    })?;
    Ok(Some(Rocking { stiffness, off_deg: args.off_deg, found }))
}

impl Rocking {
    pub(super) fn entry(&self, problem: &Problem) -> RockingEntry {
        let name = |module| problem.module_name(module).to_owned();
        RockingEntry {
            stiffness: self.stiffness,
            droop: self.found.droop.map(|droop| DroopEntry {
                module: name(droop.module),
                off_m: droop.off_m,
                at_s: droop.at_s,
            }),
            period_s: self.found.period_s.map(|(period_s, _)| period_s),
            misplaced: self.found.misplaced.map(|misplaced| MisplacedEntry {
                module: name(misplaced.module),
                on: problem.name_of(misplaced.host).to_owned(),
                off_deg: self.off_deg,
                adds: misplaced.adds,
                at_s: misplaced.at_s,
            }),
        }
    }

    /// Up to three lines.
    pub(super) fn text(&self, problem: &Problem) -> String {
        let mut text = format!("with bonds that give way by {} N·m/rad\n", self.stiffness);
        if let Some(droop) = self.found.droop {
            let _ = writeln!(
                text,
                "  the crew droops up to {} mm ({} at {} s): drives that pass it want a `clearance_m` of no less{}",
                fixed(droop.off_m * 1e3, 1),
                problem.module_name(droop.module),
                fixed(droop.at_s, 1),
                // Beyond that, turns are no longer small.
                if droop.off_m > problem.kind(droop.module).shell_radius_m {
                    "; bonds so soft are beyond what this first order is good for"
                } else {
                    ""
                }
            );
        }
        if let Some((period_s, at_s)) = self.found.period_s {
            let _ = writeln!(
                text,
                "  it sways with a period of at most {} s (at {} s): ramps of drives no shorter than that leave little sway behind",
                fixed(period_s, 2),
                fixed(at_s, 1)
            );
        }
        if let Some(misplaced) = self.found.misplaced {
            let _ = writeln!(
                text,
                "  where touches close a stance, places that are {}° off add up to {} to the share that bonds use ({} on {} at {} s): no less should be left there",
                self.off_deg,
                fixed(misplaced.adds, 2),
                problem.module_name(misplaced.module),
                problem.name_of(misplaced.host),
                fixed(misplaced.at_s, 1)
            );
        }
        text
    }
}
