//! PLY: a mesh, or a point cloud if there are no faces.

use super::{finite, unreadable};
use crate::error::SurveyError;
use crate::survey::Survey;
use glam::DVec3;
use ply_rs_bw::parser::Parser;
use ply_rs_bw::ply::{Property, PropertyAccess, PropertyAccessResult};
use std::io::Cursor;

/// What is of use in any element: coordinates of a vertex, or corners of a face.
struct Element {
    at: [Option<f64>; 3],
    corners: Vec<u32>,
}

impl PropertyAccess for Element {
    fn new() -> Self {
        Self { at: [None; 3], corners: Vec::new() }
    }

    fn set_property(&mut self, name: &str, property: Property) -> PropertyAccessResult {
        let axis = ["x", "y", "z"].iter().position(|axis| *axis == name);
        match (axis, name) {
            (Some(axis), _) => self.at[axis] = scalar(&property),
            (None, "vertex_indices" | "vertex_index") => match property.to_u32_list() {
                Some(corners) => self.corners = corners,
                None => return PropertyAccessResult::UnsupportedType,
            },
            _ => return PropertyAccessResult::Ignored,
        }
        PropertyAccessResult::Set
    }
}

fn scalar(property: &Property) -> Option<f64> {
    match *property {
        Property::Float(value) => Some(f64::from(value)),
        Property::Double(value) => Some(value),
        Property::Int(value) => Some(f64::from(value)),
        Property::UInt(value) => Some(f64::from(value)),
        Property::Short(value) => Some(f64::from(value)),
        Property::UShort(value) => Some(f64::from(value)),
        _ => None,
    }
}

pub(super) fn read(bytes: &[u8]) -> Result<Survey, SurveyError> {
    let parser = Parser::<Element>::new();
    let mut ply = parser.read_ply(&mut Cursor::new(bytes)).map_err(|error| {
        let wrong = unreadable("PLY", &error);
        error.line().map_or(wrong.clone(), |line| wrong.at_line(line))
    })?;
    let vertices = ply.payload.swap_remove("vertex").unwrap_or_default();
    let faces = ply.payload.swap_remove("face").unwrap_or_default();
    let mut points = Vec::with_capacity(vertices.len());
    for vertex in &vertices {
        let [Some(x), Some(y), Some(z)] = vertex.at else {
            return Err(unreadable("PLY", "its vertices lack x, y or z as numbers"));
        };
        points.push(DVec3::new(finite(x, "vertex")?, finite(y, "vertex")?, finite(z, "vertex")?));
    }
    if points.is_empty() {
        return Err(unreadable("PLY", "it has no element `vertex` with points"));
    }
    if faces.is_empty() {
        return Ok(Survey::Cloud(points));
    }
    let mut triangles = Vec::with_capacity(faces.len());
    for face in &faces {
        if let Some(wrong) = face.corners.iter().find(|corner| **corner as usize >= points.len()) {
            return Err(unreadable(
                "PLY",
                format!("a face names vertex {wrong}, and there are {}", points.len()),
            ));
        }
        // Polygons as fans; surveys hold triangles, and now and then quadrangles.
        triangles.extend(face.corners.windows(2).skip(1).map(|pair| [face.corners[0], pair[0], pair[1]]));
    }
    Ok(Survey::Mesh { points, triangles })
}
