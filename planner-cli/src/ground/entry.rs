//! What was fitted, as JSON.

use super::{Fitted, report};
use clamber_ground::Use;
use serde::Serialize;

#[derive(Serialize)]
pub(super) struct GroundEntry {
    format: &'static str,
    file: String,
    form: &'static str,
    tolerance_m: f64,
    accuracy_m: Option<f64>,
    foot_radius_m: f64,
    surveyed_m2: f64,
    rectangle_m2: f64,
    cells: usize,
    cell_m: f64,
    edge_known_m: f64,
    surfaces: Vec<SurfaceEntry>,
    stones: Vec<StoneEntry>,
    meetings: Vec<MeetingEntry>,
    notes: Vec<String>,
    remarks: Vec<String>,
    written_to: Vec<String>,
}

#[derive(Serialize)]
struct SurfaceEntry {
    name: String,
    sort: &'static str,
    decks: Vec<String>,
    area_m2: f64,
    height_m: f64,
    slope: [f64; 2],
    slope_deg: f64,
    points: usize,
    relief_m: f64,
    tilt_deg: f64,
    worst_m: f64,
    worst_at_edge_m: f64,
    breaches: usize,
    room_m: f64,
}

#[derive(Serialize)]
struct StoneEntry {
    name: String,
    at_m: [f64; 3],
    radius_m: f64,
    added_m: f64,
    points: usize,
    worst_m: f64,
}

#[derive(Serialize)]
struct MeetingEntry {
    between: [String; 2],
    length_m: f64,
    least_step_m: f64,
    greatest_step_m: f64,
    crease_deg: f64,
}

pub(super) fn entry(fitted: &Fitted<'_>) -> GroundEntry {
    let Fitted { args, file, form, options, ground, notes, .. } = fitted;
    let surfaces = ground.surfaces.iter().map(|surface| SurfaceEntry {
        name: surface.name.clone(),
        sort: match surface.sort {
            Use::Facet => "facet",
            Use::Ledge => "ledge",
            Use::Cover => "cover",
        },
        decks: surface.deck_names(),
        area_m2: surface.area_m2,
        height_m: surface.plane.height,
        slope: surface.plane.slope.to_array(),
        slope_deg: surface.plane.tilt_deg(),
        points: surface.points,
        relief_m: surface.relief_m,
        tilt_deg: surface.tilt_deg,
        worst_m: surface.worst_m,
        worst_at_edge_m: surface.worst_at_edge_m,
        breaches: surface.breaches,
        room_m: surface.room_m,
    });
    let stones = ground.stones.iter().map(|stone| StoneEntry {
        name: stone.name.clone(),
        at_m: stone.ball.centre.to_array(),
        radius_m: stone.ball.radius,
        added_m: stone.added_m,
        points: stone.points,
        worst_m: stone.worst_m,
    });
    let meetings = ground.meetings.iter().map(|meeting| MeetingEntry {
        between: meeting.between.map(|place| ground.surfaces[place].name.clone()),
        length_m: meeting.length_m,
        least_step_m: meeting.step_m[0],
        greatest_step_m: meeting.step_m[1],
        crease_deg: meeting.crease_deg,
    });
    let written = std::iter::once(&args.output).chain(&args.picture);
    GroundEntry {
        format: "clamber-ground/1",
        file: file.clone(),
        form,
        tolerance_m: options.tolerance_m,
        accuracy_m: options.accuracy_m,
        foot_radius_m: options.foot_radius_m,
        surveyed_m2: ground.surveyed_m2,
        rectangle_m2: ground.rectangle_m2,
        cells: ground.cells.len(),
        cell_m: ground.cell_m,
        edge_known_m: ground.edge_known_m,
        surfaces: surfaces.collect(),
        stones: stones.collect(),
        meetings: meetings.collect(),
        notes: notes.clone(),
        remarks: report::remarks(fitted),
        written_to: written.map(|path| path.display().to_string()).collect(),
    }
}
