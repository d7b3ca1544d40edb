//! ESRI ASCII grids: a header of five or six lines, then heights row by row from the north.

use super::unreadable;
use crate::error::SurveyError;
use crate::survey::{HeightGrid, Survey};

/// The heights that stand for no data where the header does not say.
const USUAL_NODATA: f64 = -9999.0;
/// More cells than this are refused: their fit would take minutes and gigabytes.
const MOST_CELLS: usize = 16_000_000;

#[derive(Default)]
struct Header {
    columns: Option<f64>,
    rows: Option<f64>,
    corner: [Option<f64>; 2],
    /// Whether x and y are those of the first cell's middle.
    centred: [bool; 2],
    cell: Option<f64>,
    nodata: Option<f64>,
}

pub(super) fn read(bytes: &[u8]) -> Result<Survey, SurveyError> {
    let text = std::str::from_utf8(bytes).map_err(|error| unreadable("an ESRI ASCII grid", error))?;
    let mut lines = text.lines().enumerate().map(|(index, line)| (index + 1, line)).peekable();
    let mut header = Header::default();
    while let Some((number, line)) = lines.peek().copied() {
        let mut words = line.split_whitespace();
        match words.next() {
            Some(word)
                if word.starts_with(|c: char| c.is_ascii_alphabetic()) && word.parse::<f64>().is_err() =>
            {
                header.take(word, words.next()).map_err(|error| error.at_line(number))?;
            }
            None => {}
            Some(_) => break,
        }
        lines.next();
    }
    let mut grid = header.grid()?;
    let nodata = header.nodata.unwrap_or(USUAL_NODATA);
    let wanted = grid.columns * grid.rows;
    let mut heights = Vec::with_capacity(wanted);
    for (number, line) in lines {
        for word in line.split_whitespace() {
            let value: f64 =
                word.parse().ok().filter(|v: &f64| v.is_finite() || *v == nodata || v.is_nan()).ok_or_else(
                    || {
                        let found = format!("{word:?} was found");
                        SurveyError::new(
                            "height",
                            found,
                            "a finite number is allowed",
                            "mend the file, or export it again",
                        )
                        .at_line(number)
                    },
                )?;
            heights.push(if value == nodata { f64::NAN } else { value });
        }
        if heights.len() > wanted {
            return Err(count(heights.len(), &grid, "more than").at_line(number));
        }
    }
    if heights.len() < wanted {
        return Err(count(heights.len(), &grid, "only"));
    }
    // The file begins in the north, the grid in the south.
    grid.heights = heights.chunks(grid.columns).rev().flatten().copied().collect();
    Ok(Survey::Grid(grid))
}

fn count(found: usize, grid: &HeightGrid, how: &str) -> SurveyError {
    let HeightGrid { columns, rows, .. } = grid;
    let found = match how {
        "only" => format!("the file ends after {found} heights"),
        _ => format!("{how} {} heights were found", columns * rows),
    };
    SurveyError::new(
        "heights",
        found,
        format!("{columns} columns and {rows} rows ask for {}", columns * rows),
        "copy the whole file, or mend ncols and nrows",
    )
}

impl Header {
    fn take(&mut self, word: &str, value: Option<&str>) -> Result<(), SurveyError> {
        let key = word.to_ascii_lowercase();
        let number: f64 = value
            .and_then(|value| value.parse().ok())
            .filter(|v: &f64| v.is_finite() || key == "nodata_value")
            .ok_or_else(|| {
                SurveyError::new(
                    &key,
                    format!("{:?} was found", value.unwrap_or("")),
                    "a number is allowed",
                    "mend the header",
                )
            })?;
        match key.as_str() {
            "ncols" => self.columns = Some(number),
            "nrows" => self.rows = Some(number),
            "xllcorner" => (self.corner[0], self.centred[0]) = (Some(number), false),
            "yllcorner" => (self.corner[1], self.centred[1]) = (Some(number), false),
            "xllcenter" => (self.corner[0], self.centred[0]) = (Some(number), true),
            "yllcenter" => (self.corner[1], self.centred[1]) = (Some(number), true),
            "cellsize" => self.cell = Some(number),
            "nodata_value" => self.nodata = Some(number),
            _ => {
                return Err(SurveyError::new(
                    "header",
                    format!("{word:?} was found"),
                    "ncols, nrows, xllcorner or xllcenter, yllcorner or yllcenter, cellsize and nodata_value are allowed",
                    "give an ESRI ASCII grid with square cells",
                ));
            }
        }
        Ok(())
    }

    /// The grid without its heights.
    fn grid(&self) -> Result<HeightGrid, SurveyError> {
        let missing = |key: &str| {
            SurveyError::new(
                key,
                "it is missing in the header",
                "every ESRI ASCII grid has it",
                "add the line, or export the grid again",
            )
        };
        let wrong = |key: &str, value: f64, allowed: &str| {
            SurveyError::new(key, format!("{value} was found"), allowed, "mend the header")
        };
        let whole = |key: &str, value: Option<f64>| {
            let value = value.ok_or_else(|| missing(key))?;
            let fits = value.fract() == 0.0 && (2.0..=MOST_CELLS as f64).contains(&value);
            if fits {
                Ok(value as usize)
            } else {
                Err(wrong(key, value, "a whole number from 2 on is allowed"))
            }
        };
        let (columns, rows) = (whole("ncols", self.columns)?, whole("nrows", self.rows)?);
        if columns.saturating_mul(rows) > MOST_CELLS {
            return Err(wrong(
                "ncols times nrows",
                (columns * rows) as f64,
                "up to 16 million cells are allowed",
            ));
        }
        let cell = self.cell.ok_or_else(|| missing("cellsize"))?;
        if cell <= 0.0 {
            return Err(wrong("cellsize", cell, "a length above 0 is allowed"));
        }
        let at = |axis: usize, key: &str| {
            let place = self.corner[axis].ok_or_else(|| missing(key))?;
            Ok(if self.centred[axis] { place - 0.5 * cell } else { place })
        };
        let corner = [at(0, "xllcorner")?, at(1, "yllcorner")?];
        Ok(HeightGrid { columns, rows, corner, cell, heights: Vec::new() })
    }
}
