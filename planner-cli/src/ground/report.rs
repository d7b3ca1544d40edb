//! What was fitted, as text.

use super::Fitted;
use crate::tables::{self, Column};
use crate::wording::{count, fixed, short, trimmed};
use clamber_ground::{Meeting, Use};
use std::fmt::Write;

/// So many small decks say that the tolerance may be too fine for the survey.
const MANY: usize = 40;
/// What a scene may hold.
const MOST_DECKS: usize = 4096;
const MOST_CORNERS: usize = 1024;
/// Rows of a table; the JSON has all.
const ROWS: usize = 30;

/// The comment at the head of the scene.
pub(super) fn head(fitted: &Fitted<'_>) -> Vec<String> {
    let Fitted { args, file, form, options, .. } = fitted;
    let name = std::path::Path::new(file)
        .file_name()
        .map_or_else(|| file.clone(), |n| n.to_string_lossy().into_owned());
    let mut lines = vec![
        format!("Made by `clamber ground` from {name}, a {form}: {}.", asked(fitted)),
        "relief_m: 95 % of the surveyed surface of a deck lies within it, with the survey's accuracy added; tilt_deg: the same for the tilt under a foot.".into(),
    ];
    if options.accuracy_m.is_none() {
        lines
            .push("The survey's accuracy is not known: it is not contained in relief_m and tilt_deg.".into());
    }
    if args.friction.is_none() {
        lines.push("Fill in: friction of every deck and stone. A survey of shapes does not tell it.".into());
    }
    if !args.ferrous && !args.sealable {
        lines.push(
            "Magnets and cups do not hold unless a deck says ferrous = true or sealable = true.".into(),
        );
    }
    lines.push("To be added: [kind.NAME], [[module]] and a goal; `clamber scene new` shows all fields. Rename the scene when you change it.".into());
    lines
}

/// `tolerance 4 mm, accuracy 1 mm, foot radius 40 mm`.
pub(super) fn asked(fitted: &Fitted<'_>) -> String {
    let options = &fitted.options;
    let accuracy = options.accuracy_m.map_or_else(|| "unknown".into(), millimetres);
    format!(
        "tolerance {}, accuracy {accuracy}, foot radius {}",
        millimetres(options.tolerance_m),
        millimetres(options.foot_radius_m)
    )
}

pub(super) fn text(fitted: &Fitted<'_>) -> String {
    let Fitted { args, file, form, ground, notes, .. } = fitted;
    let cells = match ground.cell_m {
        width if width > 0.0 => format!("{} {} wide", count(ground.cells.len(), "cell"), millimetres(width)),
        _ => count(ground.cells.len(), "triangle"),
    };
    let mut text = format!(
        "{file}: {form}, {cells}, {} m² seen from above\n{}\n\n",
        short(ground.surveyed_m2),
        asked(fitted)
    );
    for table in [surfaces(fitted), stones(fitted), meetings(fitted)] {
        if !table.is_empty() {
            let _ = writeln!(text, "{table}");
        }
    }
    for note in notes {
        let _ = writeln!(text, "{note}");
    }
    for remark in remarks(fitted) {
        let _ = writeln!(text, "look again: {remark}");
    }
    let _ = writeln!(text, "{}: {}", args.output.display(), summary(fitted));
    if let Some(picture) = &args.picture {
        let _ = writeln!(text, "{}: the picture, coloured by residual", picture.display());
    }
    text
}

/// `4 facets, 2 ledges, 1 cover and 3 stones in 12 decks`.
pub(super) fn summary(fitted: &Fitted<'_>) -> String {
    let ground = &fitted.ground;
    let of = |sort: Use| ground.surfaces.iter().filter(|surface| surface.sort == sort).count();
    let parts = [
        count(of(Use::Facet), "facet"),
        count(of(Use::Ledge), "ledge"),
        count(of(Use::Cover), "cover"),
        count(ground.stones.len(), "stone"),
    ];
    let named: Vec<&str> = parts.iter().map(String::as_str).filter(|part| !part.starts_with("0 ")).collect();
    let decks: usize = ground.surfaces.iter().map(|surface| surface.outlines.len()).sum();
    format!("{}; {}", named.join(", "), count(decks, "deck"))
}

fn surfaces(fitted: &Fitted<'_>) -> String {
    let columns = [
        Column::Words("surface"),
        Column::Number("m²"),
        Column::Number("height m"),
        Column::Number("slope °"),
        Column::Number("decks"),
        Column::Number("relief mm"),
        Column::Number("tilt °"),
        Column::Number("worst mm"),
        Column::Number("room mm"),
    ];
    let rows = fitted.ground.surfaces.iter().take(ROWS).map(|surface| {
        vec![
            surface.name.clone(),
            fixed(surface.area_m2, 3),
            fixed(surface.plane.at(surface.room_at), 3),
            fixed(surface.plane.tilt_deg(), 2),
            surface.outlines.len().to_string(),
            fixed(surface.relief_m * 1e3, 1),
            fixed(surface.tilt_deg, 2),
            fixed(surface.worst_m * 1e3, 1),
            fixed(surface.room_m * 1e3, 0),
        ]
    });
    tables::draw(&columns, rows) + &further(fitted.ground.surfaces.len())
}

fn stones(fitted: &Fitted<'_>) -> String {
    if fitted.ground.stones.is_empty() {
        return String::new();
    }
    let columns = [
        Column::Words("stone"),
        Column::Number("x m"),
        Column::Number("y m"),
        Column::Number("z m"),
        Column::Number("radius mm"),
        Column::Number("of that added mm"),
        Column::Number("points"),
        Column::Number("worst mm"),
    ];
    let rows = fitted.ground.stones.iter().take(ROWS).map(|stone| {
        let mut row = vec![stone.name.clone()];
        row.extend(stone.ball.centre.to_array().map(|v| fixed(v, 3)));
        row.extend([stone.ball.radius * 1e3, stone.added_m * 1e3].map(|v| fixed(v, 1)));
        row.extend([stone.points.to_string(), fixed(stone.worst_m * 1e3, 1)]);
        row
    });
    tables::draw(&columns, rows) + &further(fitted.ground.stones.len())
}

fn meetings(fitted: &Fitted<'_>) -> String {
    let ground = &fitted.ground;
    let is_large = |place: usize| ground.surfaces[place].sort == Use::Facet;
    let between: Vec<&Meeting> =
        ground.meetings.iter().filter(|m| m.between.iter().all(|place| is_large(*place))).collect();
    if between.is_empty() {
        return String::new();
    }
    let columns = [
        Column::Words("from"),
        Column::Words("to"),
        Column::Number("shared edge m"),
        Column::Number("step mm"),
        Column::Number("to mm"),
        Column::Number("crease °"),
    ];
    let rows = between.iter().take(ROWS).map(|meeting| {
        let [a, b] = meeting.between.map(|place| ground.surfaces[place].name.clone());
        let [low, high] = meeting.step_m.map(|step| fixed(step * 1e3, 1));
        vec![a, b, fixed(meeting.length_m, 3), low, high, fixed(meeting.crease_deg, 2)]
    });
    tables::draw(&columns, rows) + &further(between.len())
}

fn further(all: usize) -> String {
    if all > ROWS { format!("{} more; --json lists all\n", all - ROWS) } else { String::new() }
}

/// What an engineer should look at before the scene is used.
pub(super) fn remarks(fitted: &Fitted<'_>) -> Vec<String> {
    let ground = &fitted.ground;
    let mut remarks = Vec::new();
    for surface in ground.surfaces.iter().filter(|surface| surface.breaches > 0) {
        remarks.push(format!(
            "{} on {} lie farther from it than the tolerance",
            count(surface.breaches, "point"),
            surface.name
        ));
    }
    let at_edge = ground
        .surfaces
        .iter()
        .filter(|surface| surface.sort != Use::Cover)
        .map(|surface| surface.worst_at_edge_m)
        .fold(0.0, f64::max);
    if at_edge > 0.0 {
        remarks.push(format!(
            "points beside outlines lie up to {} off the plane, where the ground goes over into the next deck",
            millimetres(at_edge)
        ));
    }
    let unknown = ground.rectangle_m2 - ground.surveyed_m2;
    if unknown > 1e-6 {
        remarks.push(format!(
            "no data on {} m² of the rectangle around the survey; no deck is there, and nothing that a crew could strike",
            trimmed(unknown, 4)
        ));
    }
    remarks.push(format!(
        "outlines are known to within {}; let `clearance_m` in [limits] be no less, and keep feet as far from steps",
        millimetres(ground.edge_known_m)
    ));
    if fitted.options.accuracy_m.is_none() {
        remarks.push("the survey's accuracy is unknown, so relief_m and tilt_deg do not contain it".into());
    }
    if fitted.args.friction.is_none() {
        remarks.push("friction is to be filled in for every deck and stone, or give --friction".into());
    }
    if !fitted.args.ferrous && !fitted.args.sealable {
        remarks.push(
            "magnets and cups are taken not to hold; give --ferrous or --sealable where they do".into(),
        );
    }
    let decks: usize = ground.surfaces.iter().map(|surface| surface.outlines.len()).sum();
    let corners =
        ground.surfaces.iter().flat_map(|surface| &surface.outlines).map(Vec::len).max().unwrap_or(0);
    if decks > MOST_DECKS || corners > MOST_CORNERS {
        remarks.push(format!(
            "{decks} decks with up to {corners} corners are more than a scene may have ({MOST_DECKS} and {MOST_CORNERS}); give a higher --tolerance, or a part with --window"
        ));
    }
    let small = ground.surfaces.iter().filter(|surface| surface.sort != Use::Facet).count();
    if small > MANY {
        remarks.push(format!(
            "{small} decks are too small for a foot: the ground is rubble there, or noise of the survey exceeds the tolerance; try a higher --tolerance"
        ));
    }
    if ground.surfaces.iter().all(|surface| surface.sort != Use::Facet) {
        remarks.push("no foot fits on any deck; check --unit, --tolerance and --foot-radius".into());
    }
    remarks
}

fn millimetres(metres: f64) -> String {
    format!("{} mm", trimmed(metres * 1e3, 2))
}
