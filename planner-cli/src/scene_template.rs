//! The scene to begin with.

use clamber_core::{FileFormat, read_scenario, write_scenario};

/// A small scene in which every field is explained.
pub(crate) const TEMPLATE: &str = include_str!("scene_template.toml");
pub(crate) const TEMPLATE_NAME: &str = "scene_template.toml";

/// Whether a text is the template as it came, in either notation.
pub(crate) fn is_template(text: &str) -> bool {
    let as_json = || {
        let (scenario, _) = read_scenario(TEMPLATE_NAME, TEMPLATE).ok()?;
        write_scenario(&scenario, FileFormat::Json).ok()
    };
    text == TEMPLATE || text.starts_with('{') && as_json().is_some_and(|json| json == text)
}
