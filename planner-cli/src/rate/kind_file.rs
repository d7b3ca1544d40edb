//! The rated kind as a file that a scene can take it from; each number has a comment that says where it comes from.

use super::Rated;
use clamber_core::unstable::rating::{Figure, FigureName, Rating};
use clamber_core::unstable::scene::KINDS_FORMAT;
use std::fmt::Write;

/// How such a file begins; by this it is known again, and may be replaced.
pub(crate) const BEGINS: &str = "# Rated by clamber from pull tests: ";

/// The fields of a kind that have to be there, in the order of the model page.
const FIELDS: [&str; 27] = [
    "shell_radius_m",
    "ride_height_m",
    "foot_radius_m",
    "mass_kg",
    "com_height_m",
    "shell_reach_deg",
    "hop_limit_deg",
    "magnet_force_n",
    "cup_area_m2",
    "cup_vacuum_pa",
    "bond_friction",
    "shell_friction",
    "hop_hold",
    "drive_force_n",
    "yaw_torque_rolling_nm",
    "yaw_torque_braced_nm",
    "slide_speed_mps",
    "yaw_rate_rolling_radps",
    "yaw_rate_braced_radps",
    "hop_time_s",
    "brace_time_s",
    "release_time_s",
    "drive_power_w",
    "yaw_power_w",
    "hop_power_w",
    "brace_energy_j",
    "idle_power_w",
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
    let _ = writeln!(text, "format = {KINDS_FORMAT:?}\n\n[kind.{}]", toml_key(&rating.kind));
    match base {
        Some(base) => {
            let origin = format!("from {}, not from pull tests", one_line(&base.file));
            for (field, value) in fields_of(&base.kind) {
                match figure(rating, &field) {
                    Some(figure) => add_figure(&mut text, figure, Some(&value)),
                    None => {
                        let _ = writeln!(text, "{field} = {value}  # {origin}");
                    }
                }
            }
            if let Some(figure) = figure(rating, FigureName::PeelRadiusM.field())
                && base.kind.peel_radius_m.is_none()
            {
                add_figure(&mut text, figure, None);
            }
        }
        None => {
            for figure in &rating.figures {
                add_figure(&mut text, figure, None);
            }
            text += "\n# Still to be filled in: take these from your drawings and drive tests, or run this again with --from.\n";
            for field in FIELDS {
                if figure(rating, field).is_none_or(|figure| figure.value.is_none()) {
                    let _ = writeln!(text, "# {field} = ");
                }
            }
        }
    }
    text
}

fn figure<'r>(rating: &'r Rating, field: &str) -> Option<&'r Figure> {
    rating.figures.iter().find(|figure| figure.name.field() == field)
}

/// A rated number with its series, or the number that it would replace.
fn add_figure(text: &mut String, figure: &Figure, old: Option<&str>) {
    let (field, why) = (figure.name.field(), one_line(&figure.why));
    let _ = match (figure.value, old) {
        (Some(value), _) => writeln!(text, "{field} = {value:?}  # rated: {why}"),
        (None, Some(old)) => writeln!(text, "{field} = {old}  # NOT RATED: {why}"),
        (None, None) => writeln!(text, "# {field} is not rated: {why}"),
    };
}

/// The fields of a kind with their values as TOML.
fn fields_of(kind: &impl serde::Serialize) -> Vec<(String, String)> {
    let value = serde_json::to_value(kind).unwrap_or_default();
    let fields = value.as_object().into_iter().flatten();
    fields.map(|(field, value)| (field.clone(), value.to_string())).collect()
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
