//! The same as a glTF 2.0 model: the crew on its site, the plan as one animation.
//!
//! glTF is y-up, so one root node turns the z-up world; all below it are the plan's own coordinates. Between keyframes rotations go along
//! great arcs, which is exact for turns about an axis; centres go along chords, at most [`keyframes::CHORD_M`] off their arcs.

mod buffer;
mod document;
mod keyframes;
mod shapes;

use super::sheet::Sheet;
use crate::failure::Failure;
use crate::output;
use base64::Engine;
use clamber_core::unstable::course::Course;
use serde_json::{Value, json};

/// A `.glb` file.
pub(super) fn binary(sheet: &Sheet, course: &Course<'_>) -> Result<Vec<u8>, Failure> {
    let (document, mut bytes) = document::document(sheet, course)?;
    let mut text = written(&document)?.into_bytes();
    while text.len() % 4 != 0 {
        text.push(b' ');
    }
    while bytes.len() % 4 != 0 {
        bytes.push(0);
    }
    let whole = 12 + 8 + text.len() + 8 + bytes.len();
    let mut file = Vec::with_capacity(whole);
    let word = |value: usize| {
        let value = u32::try_from(value).map_err(|_| {
            Failure::not_sound("error: the model is over 4 GiB; make a .gltf or an .html of it")
        });
        value.map(u32::to_le_bytes)
    };
    file.extend_from_slice(b"glTF");
    file.extend_from_slice(&2_u32.to_le_bytes());
    file.extend_from_slice(&word(whole)?);
    for (kind, chunk) in [(b"JSON", text), (b"BIN\0", bytes)] {
        file.extend_from_slice(&word(chunk.len())?);
        file.extend_from_slice(kind);
        file.extend_from_slice(&chunk);
    }
    Ok(file)
}

/// A `.gltf` file with its buffer inside.
pub(super) fn text(sheet: &Sheet, course: &Course<'_>) -> Result<String, Failure> {
    let (mut document, bytes) = document::document(sheet, course)?;
    let uri = base64::engine::general_purpose::STANDARD.encode(bytes);
    document["buffers"][0]["uri"] = json!(format!("data:application/octet-stream;base64,{uri}"));
    Ok(written(&document)? + "\n")
}

fn written(document: &Value) -> Result<String, Failure> {
    output::json(document)
}
