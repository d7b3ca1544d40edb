//! Cuts a survey into cells.

mod mend;
mod mesh;
mod squares;

use crate::cells::Cells;
use crate::error::SurveyError;
use crate::survey::Survey;

/// The cells of a survey. `cell_m` is the width of the squares into which points are sorted; a mesh is also seen as points if it is given.
pub(crate) fn cells_of(
    survey: &Survey,
    cell_m: Option<f64>,
    notes: &mut Vec<String>,
) -> Result<Cells, SurveyError> {
    let cells = match (survey, cell_m) {
        (Survey::Grid(grid), None) => squares::of_grid(grid),
        (Survey::Grid(_), Some(_)) => {
            return Err(SurveyError::new(
                "--cell",
                "a height grid was given, and a width of cells",
                "cells can be chosen for meshes and point clouds",
                "leave the option out",
            ));
        }
        (Survey::Mesh { points, triangles }, None) => mesh::of_mesh(points, triangles, notes)?,
        (Survey::Mesh { points, triangles }, Some(cell)) => squares::of_mesh(points, triangles, cell, notes)?,
        (Survey::Cloud(points), cell) => squares::of_cloud(points, cell, notes)?,
    };
    if cells.len() < 2 {
        return Err(SurveyError::new(
            survey.word(),
            "no ground is left",
            "a surface with some area, seen from above, is allowed",
            "check --unit, --up, --window and --ceiling, and that the file has data",
        ));
    }
    Ok(cells)
}
