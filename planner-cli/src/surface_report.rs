//! What there is to say about the surface of a module, as it stands in JSON.

use clamber_core::unstable::travel::{Freedom, PartSurvey, Passage, Unreached};
use clamber_core::{Body, Problem, Survey};
use serde::Serialize;

/// The whole answer for one scene and module.
#[derive(Debug, Serialize)]
pub(crate) struct SurfaceReport {
    format: &'static str,
    pub(crate) file: String,
    pub(crate) scene: String,
    pub(crate) module: String,
    mover: &'static str,
    pub(crate) area_m2: f64,
    pub(crate) parts: Vec<PartEntry>,
    pub(crate) hop_arcs: Vec<HopArcEntry>,
    pub(crate) pockets: Vec<PocketEntry>,
    pub(crate) rests: Vec<RestEntry>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub(crate) narrowest: Option<NarrowestEntry>,
}

/// A connected part of the surface.
#[derive(Debug, Serialize)]
pub(crate) struct PartEntry {
    pub(crate) host: String,
    pub(crate) part: usize,
    pub(crate) area_m2: f64,
    pub(crate) boundary_m: f64,
    connected: bool,
    pub(crate) reached: bool,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub(crate) why: Option<String>,
}

/// An arc on which the module can hop between two hosts.
#[derive(Debug, Serialize)]
pub(crate) struct HopArcEntry {
    pub(crate) hosts: [String; 2],
    pub(crate) length_m: f64,
    pub(crate) pivot_deg: f64,
    from_m: [f64; 3],
    middle_m: [f64; 3],
    to_m: [f64; 3],
    pub(crate) ring: bool,
}

/// A place where three bodies are met.
#[derive(Debug, Serialize)]
pub(crate) struct PocketEntry {
    pub(crate) position_m: [f64; 3],
    pub(crate) bodies: Vec<String>,
}

/// A rest that is reached.
#[derive(Debug, Serialize)]
pub(crate) struct RestEntry {
    pub(crate) on: String,
    pub(crate) position_m: [f64; 3],
    pub(crate) time_s: f64,
    pub(crate) way_m: f64,
    pub(crate) moves: usize,
}

/// The narrowest passage.
#[derive(Debug, Serialize)]
pub(crate) struct NarrowestEntry {
    pub(crate) gap_m: f64,
    pub(crate) between: [String; 2],
    pub(crate) towards: TowardsEntry,
}

/// The end of a trip.
#[derive(Debug, Serialize)]
pub(crate) struct TowardsEntry {
    pub(crate) on: String,
    pub(crate) position_m: [f64; 3],
}

/// A survey in names and units of the files.
pub(crate) fn report(file: String, problem: &Problem, survey: &Survey) -> SurfaceReport {
    let name = |body: Body| problem.name_of(body).to_owned();
    let hop_arcs = survey.surface.hop_arcs().map(|hop_arc| HopArcEntry {
        hosts: hop_arc.hosts.map(name),
        length_m: hop_arc.arc.length(),
        pivot_deg: hop_arc.pivot_rad.to_degrees(),
        from_m: hop_arc.arc.at(0.0).to_array(),
        middle_m: hop_arc.arc.at(0.5).to_array(),
        to_m: hop_arc.arc.at(1.0).to_array(),
        ring: hop_arc.arc.is_ring(),
    });
    let pockets = survey.pockets.iter().map(|pocket| PocketEntry {
        position_m: pocket.position.to_array(),
        bodies: pocket.bodies.iter().map(|body| name(*body)).collect(),
    });
    let rests = survey.rests.iter().map(|rest| RestEntry {
        on: name(rest.reach.place.host),
        position_m: rest.reach.place.position.to_array(),
        time_s: rest.reach.time_s,
        way_m: rest.way_m,
        moves: rest.moves,
    });
    let narrowest = |passage: Passage| NarrowestEntry {
        gap_m: passage.gap_m,
        between: passage.between.map(name),
        towards: TowardsEntry { on: name(passage.towards.0), position_m: passage.towards.1.to_array() },
    };
    SurfaceReport {
        format: "clamber-surface/1",
        file,
        scene: problem.name.clone(),
        module: problem.module_name(survey.mover).to_owned(),
        mover: survey.freedom.word(),
        area_m2: survey.area_m2(),
        parts: survey.parts.iter().map(|part| part_entry(problem, survey, part)).collect(),
        hop_arcs: hop_arcs.collect(),
        pockets: pockets.collect(),
        rests: rests.collect(),
        narrowest: survey.narrowest.map(narrowest),
    }
}

fn part_entry(problem: &Problem, survey: &Survey, part: &PartSurvey) -> PartEntry {
    PartEntry {
        host: problem.name_of(part.host).to_owned(),
        part: part.part,
        area_m2: part.area_m2,
        boundary_m: part.boundary_m,
        connected: part.connected,
        reached: part.unreached.is_none(),
        why: part.unreached.as_ref().map(|why| words(problem, survey, why)),
    }
}

fn words(problem: &Problem, survey: &Survey, why: &Unreached) -> String {
    match why {
        Unreached::CutOff => "cut off: no hop arc leads there".into(),
        Unreached::NoDrive => "no drive found".into(),
        Unreached::NotTried => format!("not tried: {}", fixed_by(problem, survey).unwrap_or_default()),
        Unreached::Load(refusal) => {
            let hop = format!("{} to {}", problem.name_of(refusal.from), problem.name_of(refusal.to));
            let sway = problem.limits.sway_rad;
            let reason = refusal.reason.map(|reason| reason.describe(problem, sway));
            let reason = reason.unwrap_or_else(|| "a bond would be used up to its limit".into());
            format!("load on the way from {hop}: {reason}")
        }
    }
}

/// What keeps the module from going alone, if anything does: `m3 cannot drive`.
pub(crate) fn fixed_by(problem: &Problem, survey: &Survey) -> Option<String> {
    let module = problem.module_name(survey.mover);
    match survey.freedom {
        Freedom::Free => None,
        Freedom::Stuck => Some(format!("{module} cannot drive")),
        Freedom::Carries(guest) => Some(format!("{module} carries {}", problem.module_name(guest))),
    }
}
