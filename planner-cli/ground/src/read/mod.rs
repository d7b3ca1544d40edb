//! Readers of survey files: each turns the bytes of one format into a [`Survey`].

mod esri_grid;
#[cfg(feature = "las")]
mod las_cloud;
mod obj_mesh;
mod place;
mod ply_file;
mod stl_mesh;

pub use place::{Placing, Unit, Up, Window};

use crate::error::SurveyError;
use crate::survey::Survey;

/// The formats of survey files.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum SurveyFormat {
    /// ESRI ASCII grid.
    EsriGrid,
    /// STL, in either notation.
    Stl,
    /// Wavefront OBJ.
    Obj,
    /// PLY: a mesh, or a point cloud if it has no faces.
    Ply,
    /// LAS, a point cloud; needs the feature `las`.
    Las,
}

impl SurveyFormat {
    /// All formats with the endings of their files.
    pub const ALL: [(Self, &'static str); 5] = [
        (Self::EsriGrid, "asc"),
        (Self::Stl, "stl"),
        (Self::Obj, "obj"),
        (Self::Ply, "ply"),
        (Self::Las, "las"),
    ];

    /// The format that the ending of a file's name stands for.
    #[must_use]
    pub fn of_ending(ending: &str) -> Option<Self> {
        let ending = ending.to_ascii_lowercase();
        Self::ALL.into_iter().find(|(_, known)| *known == ending).map(|(format, _)| format)
    }

    /// Whether the format itself fixes the unit of length: metres.
    #[must_use]
    pub const fn has_unit(self) -> bool {
        matches!(self, Self::EsriGrid | Self::Las)
    }
}

/// Reads a survey and puts it into metres, with z up, about the chosen origin. The notes say what was left out or mended.
///
/// # Errors
///
/// The bytes are not of the format, are cut off, hold numbers that make no sense, or nothing is left of the survey.
pub fn read_survey(
    bytes: &[u8],
    format: SurveyFormat,
    placing: &Placing,
) -> Result<(Survey, Vec<String>), SurveyError> {
    let mut notes = Vec::new();
    let raw = match format {
        SurveyFormat::EsriGrid => esri_grid::read(bytes)?,
        SurveyFormat::Stl => stl_mesh::read(bytes)?,
        SurveyFormat::Obj => obj_mesh::read(bytes)?,
        SurveyFormat::Ply => ply_file::read(bytes)?,
        #[cfg(feature = "las")]
        SurveyFormat::Las => las_cloud::read(bytes)?,
        #[cfg(not(feature = "las"))]
        SurveyFormat::Las => {
            return Err(SurveyError::new(
                "format",
                "a LAS file was found",
                "this build reads ESRI ASCII grids (.asc), STL, OBJ and PLY",
                "build clamber with `--features las`, or save the points as PLY",
            ));
        }
    };
    let survey = placing.apply(raw, format, &mut notes)?;
    Ok((survey, notes))
}

/// A number of a file, which must be finite.
fn finite(value: f64, field: &str) -> Result<f64, SurveyError> {
    if value.is_finite() {
        return Ok(value);
    }
    Err(SurveyError::new(
        field,
        format!("{value} was found"),
        "coordinates are finite numbers",
        "export the survey again without it",
    ))
}

/// A file that a reader could not make sense of.
fn unreadable(format: &str, why: impl std::fmt::Display) -> SurveyError {
    SurveyError::new(
        "file",
        format!("it cannot be read as {format}: {why}"),
        format!("a whole {format} file is allowed"),
        "check that it was copied as a whole, or export it again",
    )
}
