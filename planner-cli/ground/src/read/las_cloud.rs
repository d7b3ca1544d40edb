//! LAS: points of laser scanners.

use super::{finite, unreadable};
use crate::error::SurveyError;
use crate::survey::Survey;
use glam::DVec3;
use std::io::Cursor;

pub(super) fn read(bytes: &[u8]) -> Result<Survey, SurveyError> {
    let wrong = |error: las::Error| unreadable("LAS", error);
    let mut reader = las::Reader::new(Cursor::new(bytes.to_vec())).map_err(wrong)?;
    let wanted = reader.header().number_of_points();
    let data = reader.read_all().map_err(wrong)?;
    if (data.len() as u64) < wanted {
        let why = format!("it is cut off: its header announces {wanted} points, and it has {}", data.len());
        return Err(unreadable("LAS", why));
    }
    let mut points = Vec::with_capacity(data.len());
    for ((x, y), z) in data.x().zip(data.y()).zip(data.z()) {
        points.push(DVec3::new(finite(x, "point")?, finite(y, "point")?, finite(z, "point")?));
    }
    Ok(Survey::Cloud(points))
}
