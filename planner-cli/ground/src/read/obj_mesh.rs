//! Wavefront OBJ: the triangles and polygons of all its objects.

use super::{finite, unreadable};
use crate::error::SurveyError;
use crate::survey::Survey;
use glam::DVec3;
use tobj::LoadOptions;

pub(super) fn read(bytes: &[u8]) -> Result<Survey, SurveyError> {
    let options =
        LoadOptions { triangulate: true, ignore_points: true, ignore_lines: true, ..LoadOptions::default() };
    // Materials say nothing about the ground.
    let no_materials = |_: &std::path::Path| Ok(Default::default());
    let (models, _) = tobj::load_obj_buf(&mut &bytes[..], &options, no_materials)
        .map_err(|error| unreadable("OBJ", error))?;
    let (mut points, mut triangles) = (Vec::new(), Vec::new());
    for model in models {
        let first = points.len() as u32;
        for at in model.mesh.positions.chunks_exact(3) {
            points.push(DVec3::new(finite(at[0], "v")?, finite(at[1], "v")?, finite(at[2], "v")?));
        }
        triangles
            .extend(model.mesh.indices.chunks_exact(3).map(|t| [first + t[0], first + t[1], first + t[2]]));
    }
    if triangles.is_empty() {
        return Err(unreadable("OBJ", "it has no faces"));
    }
    Ok(Survey::Mesh { points, triangles })
}
