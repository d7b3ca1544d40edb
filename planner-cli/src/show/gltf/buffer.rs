//! Numbers in the one buffer of a glTF file, and the tables that say where they are.

use serde_json::{Value, json};

const FLOAT: u32 = 5126;
const UNSIGNED_INT: u32 = 5125;
const ARRAY_BUFFER: u32 = 34962;
const ELEMENT_ARRAY_BUFFER: u32 = 34963;

/// Everything is four bytes wide, so everything is aligned.
#[derive(Default)]
pub(super) struct Buffer {
    pub(super) bytes: Vec<u8>,
    pub(super) views: Vec<Value>,
    pub(super) accessors: Vec<Value>,
}

impl Buffer {
    /// Corners or normals of a mesh; returns the number of the accessor. Bounds are needed for corners.
    pub(super) fn vertices(&mut self, vectors: &[[f32; 3]], with_bounds: bool) -> usize {
        let view = self.view(vectors.iter().flatten().map(|v| v.to_le_bytes()), Some(ARRAY_BUFFER));
        let mut accessor =
            json!({ "bufferView": view, "componentType": FLOAT, "count": vectors.len(), "type": "VEC3" });
        if with_bounds {
            let bound = |better: fn(f32, f32) -> f32| {
                vectors.iter().copied().reduce(|a, b| std::array::from_fn(|k| better(a[k], b[k])))
            };
            accessor["min"] = json!(bound(f32::min));
            accessor["max"] = json!(bound(f32::max));
        }
        self.accessor(accessor)
    }

    /// Corners of triangles.
    pub(super) fn indices(&mut self, indices: &[u32]) -> usize {
        let view = self.view(indices.iter().map(|v| v.to_le_bytes()), Some(ELEMENT_ARRAY_BUFFER));
        self.accessor(json!({
            "bufferView": view, "componentType": UNSIGNED_INT, "count": indices.len(), "type": "SCALAR"
        }))
    }

    /// Instants of keyframes, growing.
    pub(super) fn times(&mut self, times: &[f32]) -> usize {
        let view = self.view(times.iter().map(|v| v.to_le_bytes()), None);
        self.accessor(json!({
            "bufferView": view, "componentType": FLOAT, "count": times.len(), "type": "SCALAR",
            "min": [times.first()], "max": [times.last()]
        }))
    }

    /// Values of keyframes.
    pub(super) fn values<const N: usize>(&mut self, values: &[[f32; N]]) -> usize {
        let view = self.view(values.iter().flatten().map(|v| v.to_le_bytes()), None);
        let kind = format!("VEC{N}");
        self.accessor(
            json!({ "bufferView": view, "componentType": FLOAT, "count": values.len(), "type": kind }),
        )
    }

    fn view(&mut self, words: impl Iterator<Item = [u8; 4]>, target: Option<u32>) -> usize {
        let begin = self.bytes.len();
        self.bytes.extend(words.flatten());
        let mut view = json!({ "buffer": 0, "byteOffset": begin, "byteLength": self.bytes.len() - begin });
        if let Some(target) = target {
            view["target"] = json!(target);
        }
        self.views.push(view);
        self.views.len() - 1
    }

    fn accessor(&mut self, accessor: Value) -> usize {
        self.accessors.push(accessor);
        self.accessors.len() - 1
    }
}
