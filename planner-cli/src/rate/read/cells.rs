//! From a row of cells to a pull.

use super::Mistakes;
use super::columns::Columns;
use super::places::cell_span;
use clamber_core::Hold;
use clamber_core::unstable::rating::{Ending, Pull, range_fault};
use csv::StringRecord;
use std::ops::Range;

/// A row of the file.
pub(super) struct Row<'a> {
    pub(super) record: &'a StringRecord,
    pub(super) columns: &'a Columns,
    /// Where the table begins in the text.
    pub(super) begin: usize,
    /// Its place among the rows, from 0.
    pub(super) index: usize,
}

impl Row<'_> {
    /// The pull; `None` if a cell cannot be read. What is wrong goes to the mistakes in any case.
    pub(super) fn pull(&self, rig_limit_n: Option<f64>, mistakes: &mut Mistakes<'_>) -> Option<Pull> {
        let (found, wanted) = (self.record.len(), self.columns.len());
        if found != wanted {
            let help = if self.record.iter().any(|cell| cell.contains('\n')) {
                "close the double quotes: a cell goes on over several lines"
            } else if found > wanted {
                "put cells that contain a comma between double quotes, and write numbers with a point"
            } else {
                "write a comma for every cell, also for empty ones"
            };
            let span = self.span("", mistakes.text);
            mistakes.add(
                span,
                "file",
                format!("{found} cells were found"),
                format!("{wanted} cells, as in the header, are allowed"),
                help,
            );
            return None;
        }
        let [module, kind, surface] = ["module", "kind", "surface"].map(|column| self.name(column, mistakes));
        let hold = self.word("hold", [Hold::Rolling, Hold::Braced].map(|hold| (hold.word(), hold)), mistakes);
        let ending = self.word("result", Ending::ALL.map(|ending| (ending.word(), ending)), mistakes);
        let [angle_deg, offset_m, force_n] =
            ["angle_deg", "offset_m", "force_n"].map(|column| self.number(column, mistakes));
        let [temperature_c, vacuum_pa, tilt_deg] =
            ["temperature_c", "vacuum_pa", "tilt_deg"].map(|column| self.optional_number(column, mistakes));
        let date = self.date(mistakes);
        let text = |column: &str| self.cell(column).filter(|cell| !cell.is_empty()).map(str::to_owned);
        let free = self.columns.free().map(|(index, name)| (name.to_owned(), self.record[index].to_owned()));
        let unread = [&module, &kind, &surface].into_iter().any(Option::is_none)
            || [angle_deg, offset_m, force_n].into_iter().any(|number| number.is_none())
            || [temperature_c, vacuum_pa, tilt_deg].into_iter().any(|number| number.is_none())
            || hold.is_none()
            || ending.is_none()
            || date.is_none();
        // A cell that could not be read stands as one that contradicts no other, so that the others are still held against each other.
        let pull = Pull {
            name: text("pull").unwrap_or_else(|| (self.index + 1).to_string()),
            date: date.flatten(),
            module: module.unwrap_or_default(),
            kind: kind.unwrap_or_default(),
            hold: hold.unwrap_or(Hold::Braced),
            surface: surface.unwrap_or_default(),
            angle_deg: angle_deg.unwrap_or_default(),
            offset_m: offset_m.unwrap_or_default(),
            temperature_c: temperature_c.flatten(),
            vacuum_pa: vacuum_pa.flatten(),
            tilt_deg: tilt_deg.flatten(),
            force_n: force_n.unwrap_or_default(),
            ending: ending.unwrap_or(Ending::CameOff),
            dropped: text("dropped"),
            labels: free.collect(),
        };
        // Ranges have been looked at cell by cell.
        for fault in pull.faults(rig_limit_n) {
            mistakes.add(
                self.span(fault.field, mistakes.text),
                fault.field,
                fault.found,
                fault.allowed,
                fault.help,
            );
        }
        (!unread).then_some(pull)
    }

    /// Where a column's cell stands in the text; the whole row for none.
    pub(super) fn span(&self, column: &str, text: &str) -> Range<usize> {
        cell_span(text, self.begin, self.record, self.columns.find(column).unwrap_or(usize::MAX))
    }

    fn cell(&self, column: &str) -> Option<&str> {
        self.record.get(self.columns.find(column)?)
    }

    fn name(&self, column: &str, mistakes: &mut Mistakes<'_>) -> Option<String> {
        let cell = self.cell(column)?;
        if cell.is_empty() || cell.chars().any(char::is_control) || cell.chars().count() > 200 {
            let found =
                if cell.is_empty() { "nothing was found".into() } else { format!("{cell:?} was found") };
            let allowed = "a name of 1 to 200 characters without control characters is allowed";
            mistakes.add(
                self.span(column, mistakes.text),
                column,
                found,
                allowed,
                format!("name the {column}"),
            );
            return None;
        }
        Some(cell.to_owned())
    }

    fn word<T: Copy>(
        &self,
        column: &str,
        words: impl IntoIterator<Item = (&'static str, T)>,
        mistakes: &mut Mistakes<'_>,
    ) -> Option<T> {
        let cell = self.cell(column)?;
        let words: Vec<(&str, T)> = words.into_iter().collect();
        let known = words.iter().find(|(word, _)| *word == cell);
        if known.is_none() {
            let (last, first) = words.split_last()?;
            let first = first.iter().map(|(word, _)| format!("\"{word}\"")).collect::<Vec<_>>().join(", ");
            let help = match column {
                "hold" => "write rolling for magnets alone, braced for magnets and the evacuated cup",
                _ => {
                    "write came_off, slipped or tipped for how the foot gave way, held if the rig stopped first"
                }
            };
            let allowed = format!("{first} or \"{}\" is allowed", last.0);
            mistakes.add(self.span(column, mistakes.text), column, said(cell), allowed, help);
        }
        known.map(|(_, value)| *value)
    }

    fn optional_number(&self, column: &'static str, mistakes: &mut Mistakes<'_>) -> Option<Option<f64>> {
        match self.cell(column) {
            None | Some("") => Some(None),
            Some(_) => self.number(column, mistakes).map(Some),
        }
    }

    fn number(&self, column: &'static str, mistakes: &mut Mistakes<'_>) -> Option<f64> {
        let cell = self.cell(column)?;
        let span = self.span(column, mistakes.text);
        let Ok(number) = cell.parse::<f64>() else {
            let help = if cell.is_empty() {
                "write the number; where nothing was measured, the pull does not count: leave the row out"
            } else if cell.contains(',') {
                "write a point between units and decimals, and nothing between thousands"
            } else if cell.starts_with(|c: char| c.is_ascii_digit()) {
                "write the number alone; its unit is in the name of the column"
            } else {
                "write a number"
            };
            mistakes.add(span, column, said(cell), "a number is allowed", help);
            return None;
        };
        if let Some(fault) = range_fault(column, number) {
            mistakes.add(span, column, said(cell), fault.allowed, fault.help);
            return None;
        }
        Some(number)
    }

    /// A day such as 2026-03-14 (ISO 8601), so that days sort as text.
    fn date(&self, mistakes: &mut Mistakes<'_>) -> Option<Option<String>> {
        let Some(cell) = self.cell("date").filter(|cell| !cell.is_empty()) else { return Some(None) };
        let shape: String = cell.chars().map(|c| if c.is_ascii_digit() { '0' } else { c }).collect();
        let part = |range: Range<usize>| {
            cell.get(range).and_then(|part| part.parse::<u32>().ok()).unwrap_or_default()
        };
        if shape == "0000-00-00" && (1..=12).contains(&part(5..7)) && (1..=31).contains(&part(8..10)) {
            return Some(Some(cell.to_owned()));
        }
        let span = self.span("date", mistakes.text);
        mistakes.add(
            span,
            "date",
            said(cell),
            "a day such as 2026-03-14 is allowed",
            "write year, month and day, with hyphens",
        );
        None
    }
}

fn said(cell: &str) -> String {
    if cell.is_empty() { "nothing was found".into() } else { format!("{cell:?} was found") }
}
