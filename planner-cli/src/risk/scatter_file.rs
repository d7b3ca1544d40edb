//! A file of scatter: how holds, masses and places scatter, and common causes.

use crate::failure::Failure;
use crate::{diagnostics, files};
use clamber_core::Diagnostic;
use clamber_core::unstable::assess::Scenario;
use serde::Deserialize;
use std::ops::Range;
use std::path::Path;
use toml::Spanned;

const FORMAT: &str = "clamber-scatter/1";

/// Scatter from module to module, and common causes.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct ScatterFile {
    format: Spanned<String>,
    magnet_mean: Option<Spanned<f64>>,
    magnet_cv: Option<Spanned<f64>>,
    cup_mean: Option<Spanned<f64>>,
    cup_cv: Option<Spanned<f64>>,
    mass_cv: Option<Spanned<f64>>,
    place_mm: Option<Spanned<f64>>,
    place_deg: Option<Spanned<f64>>,
    #[serde(default)]
    scenario: Vec<ScenarioEntry>,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct ScenarioEntry {
    name: String,
    magnet: Option<Spanned<f64>>,
    cup: Option<Spanned<f64>>,
    friction: Option<Spanned<f64>>,
    mass: Option<Spanned<f64>>,
    tilt_deg: Option<Spanned<f64>>,
    probability: Option<Spanned<f64>>,
}

/// What a file says; what it leaves out is absent.
#[derive(Debug, Default)]
pub(super) struct Stated {
    pub(super) magnet: [Option<f64>; 2],
    pub(super) cup: [Option<f64>; 2],
    pub(super) mass_cv: Option<f64>,
    pub(super) place_mm: Option<f64>,
    pub(super) place_deg: Option<f64>,
    pub(super) scenarios: Vec<Scenario>,
}

/// Reads a file of scatter.
pub(super) fn read(path: &Path) -> Result<Stated, Failure> {
    let name = files::name(path);
    let text = files::read_text(path)?;
    let mut checked = Checked { file: &name, text: &text, problems: Vec::new() };
    let file: ScatterFile = match toml::from_str(&text) {
        Ok(file) => file,
        Err(error) => {
            let found = error.message().trim_end().replace('\n', "; ");
            let allowed = "TOML with the fields of `clamber risk --help` is allowed";
            checked.refuse("file", error.span().unwrap_or(0..0), found, allowed, "mend the text here");
            return Err(checked.failure());
        }
    };
    if file.format.get_ref() != FORMAT {
        let found = format!("{:?} was found", file.format.get_ref());
        let allowed = format!("{FORMAT:?} is allowed");
        checked.refuse("format", file.format.span(), found, &allowed, "give a file of scatter");
    }
    let mut take =
        |field: &str, value: Option<Spanned<f64>>, least, most| checked.take(field, value, least, most);
    let mut stated = Stated {
        magnet: [
            take("magnet_mean", file.magnet_mean, 0.01, 100.0),
            take("magnet_cv", file.magnet_cv, 0.0, 1.0),
        ],
        cup: [take("cup_mean", file.cup_mean, 0.01, 100.0), take("cup_cv", file.cup_cv, 0.0, 1.0)],
        mass_cv: take("mass_cv", file.mass_cv, 0.0, 1.0),
        place_mm: take("place_mm", file.place_mm, 0.0, 100.0),
        place_deg: take("place_deg", file.place_deg, 0.0, 30.0),
        scenarios: Vec::new(),
    };
    for (index, entry) in file.scenario.into_iter().enumerate() {
        let mut share =
            |field: &str, value, least, most| take(&format!("scenario[{index}].{field}"), value, least, most);
        stated.scenarios.push(Scenario {
            name: entry.name,
            magnet: share("magnet", entry.magnet, 0.0, 10.0).unwrap_or(1.0),
            cup: share("cup", entry.cup, 0.0, 10.0).unwrap_or(1.0),
            friction: share("friction", entry.friction, 0.01, 10.0).unwrap_or(1.0),
            mass: share("mass", entry.mass, 0.01, 100.0).unwrap_or(1.0),
            tilt_rad: share("tilt_deg", entry.tilt_deg, 0.0, 60.0).unwrap_or(0.0).to_radians(),
            probability: share("probability", entry.probability, 0.0, 1.0),
        });
    }
    if checked.problems.is_empty() { Ok(stated) } else { Err(checked.failure()) }
}

/// The text of a file, and what is wrong with it.
struct Checked<'a> {
    file: &'a str,
    text: &'a str,
    problems: Vec<Diagnostic>,
}

impl Checked<'_> {
    fn take(&mut self, field: &str, value: Option<Spanned<f64>>, least: f64, most: f64) -> Option<f64> {
        let value = value?;
        let number = *value.get_ref();
        if !(least..=most).contains(&number) {
            let (found, allowed) = (format!("{number} was found"), format!("{least} to {most} is allowed"));
            self.refuse(field, value.span(), found, &allowed, "mend the number");
        }
        Some(number)
    }

    fn refuse(&mut self, field: &str, span: Range<usize>, found: String, allowed: &str, help: &str) {
        let words = [field.to_owned(), found, allowed.to_owned(), help.to_owned()];
        self.problems.push(Diagnostic::new(self.file, self.text, span, words));
    }

    fn failure(mut self) -> Failure {
        self.problems.sort_by_key(|problem| problem.span.start);
        diagnostics::failure(&self.problems, self.file)
    }
}
