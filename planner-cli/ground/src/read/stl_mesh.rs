//! STL: triangles without units and without topology.

use super::{finite, unreadable};
use crate::error::SurveyError;
use crate::survey::Survey;
use glam::DVec3;
use std::io::Cursor;

/// Bytes before the triangles of a binary file, and of each triangle.
const HEAD: u64 = 84;
const TRIANGLE: u64 = 50;

pub(super) fn read(bytes: &[u8]) -> Result<Survey, SurveyError> {
    complete(bytes)?;
    let mesh = stl_io::read_stl(&mut Cursor::new(bytes)).map_err(|error| unreadable("STL", error))?;
    let mut points = Vec::with_capacity(mesh.vertices.len());
    for vertex in &mesh.vertices {
        let [x, y, z] = vertex.0.map(f64::from);
        points.push(DVec3::new(finite(x, "vertex")?, finite(y, "vertex")?, finite(z, "vertex")?));
    }
    let triangles = mesh.faces.iter().map(|face| face.vertices.map(|index| index as u32)).collect();
    Ok(Survey::Mesh { points, triangles })
}

/// Whether the file is as long as it says. The reader itself would not always notice.
fn complete(bytes: &[u8]) -> Result<(), SurveyError> {
    let is_text = bytes.trim_ascii_start().starts_with(b"solid") && std::str::from_utf8(bytes).is_ok();
    if is_text {
        let end = bytes.trim_ascii_end().rsplit(|byte| *byte == b'\n').next().unwrap_or_default();
        if !end.trim_ascii_start().starts_with(b"endsolid") {
            return Err(unreadable("STL", "its last line is not `endsolid`, so it is cut off"));
        }
        return Ok(());
    }
    let Some(count) = bytes.get(80..84) else {
        return Err(unreadable(
            "STL",
            format!("it has {} bytes, and a binary file has at least {HEAD}", bytes.len()),
        ));
    };
    let count = u64::from(u32::from_le_bytes([count[0], count[1], count[2], count[3]]));
    let wanted = HEAD + TRIANGLE * count;
    if (bytes.len() as u64) < wanted {
        let why = format!(
            "it is cut off: its header announces {count} triangles, {wanted} bytes, and it has {}",
            bytes.len()
        );
        return Err(unreadable("STL", why));
    }
    Ok(())
}
