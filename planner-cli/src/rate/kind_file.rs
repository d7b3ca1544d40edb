//! The rated kind as a file that a scene can take it from; each number has a comment that says where it comes from.

use super::Rated;
use clamber_core::unstable::rating::{Figure, FigureName, Rating};
use clamber_core::unstable::scene::KINDS_FORMAT;
use serde_json::Value;
use std::fmt::Write;

/// How such a file begins; by this it is known again, and may be replaced.
pub(crate) const BEGINS: &str = "# Rated by clamber from pull tests: ";

/// The fields of a kind, in the order of the model page, and whether they may be left out.
const FIELDS: [(&str, bool); 32] = [
    ("shell_radius_m", false),
    ("ride_height_m", false),
    ("foot_radius_m", false),
    ("mass_kg", false),
    ("com_height_m", false),
    ("shell_reach_deg", false),
    ("hop_limit_deg", false),
    ("magnet_force_n", false),
    ("cup_area_m2", false),
    ("cup_vacuum_pa", false),
    ("bond_friction", false),
    ("shell_friction", false),
    ("hop_hold", false),
    ("ramp_time_s", true),
    ("peel_radius_m", true),
    ("step_limit_m", true),
    ("crease_limit_deg", true),
    ("cross_time_s", true),
    ("drive_force_n", false),
    ("yaw_torque_rolling_nm", false),
    ("yaw_torque_braced_nm", false),
    ("slide_speed_mps", false),
    ("yaw_rate_rolling_radps", false),
    ("yaw_rate_braced_radps", false),
    ("hop_time_s", false),
    ("brace_time_s", false),
    ("release_time_s", false),
    ("drive_power_w", false),
    ("yaw_power_w", false),
    ("hop_power_w", false),
    ("brace_energy_j", false),
    ("idle_power_w", false),
];

pub(super) fn text(rated: &Rated) -> String {
    let Rated { file, rating, base, .. } = rated;
    let mut text = format!("{BEGINS}{}\n", one_line(file));
    let sentence = |text: &mut String, words: &str| {
        let _ = writeln!(text, "# {}", one_line(words));
    };
    for assumption in &rating.assumptions {
        sentence(&mut text, assumption);
    }
    for remark in &rating.remarks {
        sentence(&mut text, &format!("Look again: {remark}"));
    }
    for pull in &rating.dropped {
        sentence(
            &mut text,
            &format!("Dropped: pull {} of {}, {} N: {}", pull.pull, pull.module, pull.force_n, pull.cause),
        );
    }
    if let Some(rocking) = &rating.rocking {
        sentence(&mut text, &super::text::rocking_words(rocking));
    }
    let _ = writeln!(text, "format = {KINDS_FORMAT:?}\n\n[kind.{}]", toml_key(&rating.kind));
    match base {
        Some(base) => {
            let known = serde_json::to_value(&base.kind).unwrap_or_default();
            let origin = format!("from {}, not from pull tests", one_line(&base.file));
            for (field, _) in FIELDS {
                match (figure(rating, field), known.get(field)) {
                    (Some(figure), old) => add_figure(&mut text, figure, old),
                    (None, Some(value)) => {
                        let _ = writeln!(text, "{field} = {value}  # {origin}");
                    }
                    (None, None) => {}
                }
            }
        }
        None => {
            for figure in &rating.figures {
                add_figure(&mut text, figure, None);
                if figure.name == FigureName::PeelRadiusM && figure.value.is_some() {
                    text += "# If foot_radius_m is less than that, lower peel_radius_m to it.\n";
                }
            }
            text += "\n# Still to be filled in: take these from your drawings and drive tests, or run this again with --from.\n";
            let is_rated = |field: &str| figure(rating, field).is_some_and(|figure| figure.value.is_some());
            for (field, _) in FIELDS.into_iter().filter(|(field, optional)| !optional && !is_rated(field)) {
                let _ = writeln!(text, "# {field} = ");
            }
        }
    }
    text
}

fn figure<'r>(rating: &'r Rating, field: &str) -> Option<&'r Figure> {
    rating.figures.iter().find(|figure| figure.name.field() == field)
}

/// A rated number with its series, or the number that it would replace.
fn add_figure(text: &mut String, figure: &Figure, old: Option<&Value>) {
    let (field, why) = (figure.name.field(), one_line(&figure.why));
    let _ = match (figure.value, old) {
        (Some(value), _) => writeln!(text, "{field} = {value:?}  # rated: {why}"),
        (None, Some(old)) => writeln!(text, "{field} = {old}  # NOT RATED: {why}"),
        (None, None) => writeln!(text, "# {field} is not rated: {why}"),
    };
}

/// A name as a key of TOML; quoted where it is no bare key.
fn toml_key(name: &str) -> String {
    let is_bare =
        !name.is_empty() && name.chars().all(|c| c.is_ascii_alphanumeric() || matches!(c, '_' | '-'));
    if is_bare { name.to_owned() } else { toml::Value::String(name.to_owned()).to_string() }
}

/// Words that stay in a comment.
fn one_line(words: &str) -> String {
    words.chars().map(|c| if c.is_control() { ' ' } else { c }).collect()
}
