//! Everything a page knows, as it stands in the page: the JSON that the viewer reads.
//!
//! Lengths in metres, times in seconds, quaternions `[x, y, z, w]`. Bodies are named by index: decks `0…`, modules after the decks,
//! and stones after the modules.

use super::{Shown, crew, ghosts, legs, phases, spans, step_table};
use crate::{cautions, survival, time_use, wording};
use clamber_core::unstable::assess::Piece;
use clamber_core::unstable::course::Course;
use clamber_core::{Problem, Rule, Status, UtilisationIs};
use serde::Serialize;

#[derive(Serialize)]
pub(super) struct Sheet {
    format: &'static str,
    pub(super) file: String,
    pub(super) scene: String,
    pub(super) is_plan: bool,
    pub(super) verdict: Verdict,
    pub(super) notes: Vec<[String; 2]>,
    pub(super) limits: Limits,
    pub(super) end_s: f64,
    pub(super) decks: Vec<crew::DeckEntry>,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub(super) stones: Vec<crew::StoneEntry>,
    pub(super) kinds: Vec<crew::KindEntry>,
    pub(super) modules: Vec<crew::ModuleEntry>,
    pub(super) steps: Vec<step_table::StepEntry>,
    /// How gravity counts over time: from which instant on, and as which number.
    gravity: Vec<(f64, u8)>,
    /// The structures over time, in the order of their beginnings.
    spans: Vec<spans::SpanEntry>,
    /// What the crew is at; empty where nothing strides, as the parts of the machine.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub(super) phases: Vec<phases::PhaseEntry>,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    roles: Vec<Option<phases::Role>>,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    legs: Vec<legs::LegEntry>,
    /// What the worst single failure does over time; empty where that is not worked out.
    survival: Vec<SurvivalEntry>,
    pub(super) slots: Vec<ghosts::SlotEntry>,
    /// Where the time goes, for the words of the page only.
    #[serde(skip)]
    pub(super) time_use: Vec<String>,
    gather: Option<GatherEntry>,
    pub(super) cautions: Vec<String>,
}

#[derive(Serialize)]
pub(super) struct Verdict {
    pub(super) sound: bool,
    pub(super) text: String,
    pub(super) findings: Vec<FindingEntry>,
}

#[derive(Serialize)]
pub(super) struct FindingEntry {
    pub(super) rule: &'static str,
    pub(super) step: Option<usize>,
    pub(super) at_s: Option<f64>,
    pub(super) message: String,
}

#[derive(Serialize)]
pub(super) struct Limits {
    pub(super) utilisation: f64,
    pub(super) hold_factor: f64,
    pub(super) sway_deg: f64,
    pub(super) motion_factor: f64,
    pub(super) motion_tilt_deg: f64,
    pub(super) gravity_mps2: f64,
}

#[derive(Serialize)]
struct SurvivalEntry {
    from: f64,
    to: f64,
    /// `stands`, `uses_margin`, `not_proven` or `falls`.
    verdict: &'static str,
    words: &'static str,
}

#[derive(Serialize)]
struct GatherEntry {
    deck: usize,
    count: usize,
}

impl Sheet {
    /// The name of a body by its number.
    pub(super) fn name_of(&self, number: usize) -> &str {
        let decks = self.decks.iter().map(|deck| &deck.name);
        let modules = self.modules.iter().map(|module| &module.name);
        let stones = self.stones.iter().map(|stone| &stone.name);
        decks.chain(modules).chain(stones).nth(number).map_or("", String::as_str)
    }

    pub(super) fn new(shown: &Shown, course: &Course<'_>) -> Self {
        let problem = &shown.problem;
        let spans = spans::entries(course);
        let steps = step_table::entries(course, &spans);
        let phases = phases::phases(course);
        let roles = phases::roles(course);
        let legs = legs::legs(course, &spans, &phases, &roles);
        let sound = shown.is_plan && shown.findings.is_empty();
        let pieces = if sound { survival::pieces(problem, &shown.plan) } else { Vec::new() };
        Self {
            format: "clamber-sheet/1",
            file: shown.file.clone(),
            scene: problem.name.clone(),
            is_plan: shown.is_plan,
            verdict: verdict(shown, &pieces),
            notes: notes(shown, &steps, &pieces),
            limits: Limits {
                utilisation: problem.limits.utilisation(),
                hold_factor: problem.limits.hold_factor,
                sway_deg: problem.limits.sway_rad.to_degrees(),
                motion_factor: problem.limits.motion_factor,
                motion_tilt_deg: problem.limits.motion_tilt_rad.to_degrees(),
                gravity_mps2: problem.site.gravity_mps2,
            },
            end_s: course.end_s(),
            decks: crew::decks(problem),
            stones: crew::stones(problem),
            kinds: crew::kinds(problem),
            modules: crew::modules(course),
            steps,
            gravity: spans::gravity(course),
            spans,
            phases,
            roles,
            legs,
            survival: pieces
                .iter()
                .map(|piece| SurvivalEntry {
                    from: piece.from_s,
                    to: piece.to_s,
                    verdict: piece.verdict.word(),
                    words: survival::words(piece.verdict),
                })
                .collect(),
            slots: ghosts::slots(problem),
            time_use: if sound { time_use::lines(problem, &shown.plan) } else { Vec::new() },
            gather: problem.goal.gather.map(|gather| GatherEntry {
                deck: gather.within.unwrap_or(problem.ground(gather.ground).decks[0]).index(),
                count: gather.count,
            }),
            cautions: cautions::items(),
        }
    }
}

fn verdict(shown: &Shown, pieces: &[Piece]) -> Verdict {
    let sound = shown.findings.is_empty();
    let text = match (shown.is_plan, sound) {
        (true, true) => {
            let sound = "Sound: every rule of the model holds at every instant, and the goal is reached";
            let falls_s = survival::falls_for_s(pieces);
            let failing = format!(
                ". During {} of {} s one part that fails may bring modules down",
                wording::fixed(falls_s, 0),
                wording::fixed(shown.summary.makespan_s, 0)
            );
            if falls_s > 0.0 { sound.to_owned() + &failing } else { sound.into() }
        }
        (false, true) => "The start is sound: it stands and carries its load in all nine directions".into(),
        (true, false) if shown.findings.iter().all(|finding| finding.rule == Rule::Goal) => {
            "Sound as far as it goes; it does not reach the goal".into()
        }
        (_, false) => format!("Not sound: {}", wording::count(shown.findings.len(), "finding")),
    };
    let findings = shown.findings.iter().map(|finding| FindingEntry {
        rule: finding.rule.name(),
        step: finding.step,
        at_s: finding.at_s.filter(|at_s| at_s.is_finite()),
        message: finding.message.clone(),
    });
    Verdict { sound, text, findings: findings.collect() }
}

/// Lines of the title block: what, and how much.
fn notes(shown: &Shown, steps: &[step_table::StepEntry], pieces: &[Piece]) -> Vec<[String; 2]> {
    let Shown { problem, plan, summary, .. } = shown;
    let mut notes = vec![
        ["File".into(), shown.file.clone()],
        ["Crew".into(), wording::count(problem.modules.len(), "module")],
    ];
    if shown.is_plan {
        let status = match plan.status {
            Status::Solved if !shown.findings.is_empty() => "it says solved; the check says otherwise",
            status => status.meaning(),
        };
        notes.push(["Status".into(), status.into()]);
        notes.push(["Planner".into(), format!("{}, seed {}", plan.planner.name, plan.planner.seed)]);
        notes.push([
            "Moves".into(),
            format!(
                "{} in {} s, {} J",
                summary.moves,
                wording::fixed(summary.makespan_s, 1),
                wording::fixed(summary.energy_j, 0)
            ),
        ]);
        notes.push([
            "Worst bond".into(),
            format!(
                "{}{}{} % of its hold, {} % allowed",
                worst_bond(problem, steps),
                if plan.utilisation_is == UtilisationIs::Bound { "at most " } else { "" },
                wording::fixed(summary.utilisation * 100.0, 0),
                wording::fixed(problem.limits.utilisation() * 100.0, 0)
            ),
        ]);
        if !pieces.is_empty() {
            let falls = survival::falls(pieces);
            let survived = if falls.is_empty() {
                "survived at all times".into()
            } else {
                format!("not survived at {}", falls.join(", "))
            };
            notes.push(["One failure".into(), survived]);
        }
        notes.push(["Smallest gap".into(), format!("{} mm", wording::gap(summary.gap_m))]);
    }
    notes.push(["Scene digest".into(), shown.scenario_sha256.chars().take(16).collect()]);
    notes.push(["clamber".into(), env!("CARGO_PKG_VERSION").into()]);
    notes
}

/// `m1 on m3 in step 18: `, the first of the worst, or nothing where weight alone holds everybody.
fn worst_bond(problem: &Problem, steps: &[step_table::StepEntry]) -> String {
    let known = steps.iter().enumerate().rev().filter_map(|(index, step)| Some((index, step.worst?)));
    let Some((index, worst)) = known.max_by(|(_, a), (_, b)| a.used.total_cmp(&b.used)) else {
        return String::new();
    };
    if worst.at_most {
        return format!("in step {index}: ");
    }
    // A host is a deck or a module.
    let host = match worst.host.checked_sub(problem.decks.len()) {
        None => &problem.decks[worst.host].name,
        Some(module) => &problem.modules[module].name,
    };
    format!("{} on {host} in step {index}: ", problem.modules[worst.module].name)
}
