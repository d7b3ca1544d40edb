//! The tables of the glTF document.

use super::buffer::Buffer;
use super::keyframes::Keyframes;
use super::shapes::Shape;
use crate::failure::Failure;
use crate::show::crew::KindEntry;
use crate::show::sheet::Sheet;
use clamber_core::ModuleId;
use clamber_core::unstable::course::Course;
use serde_json::{Value, json};

/// Depth to which a deck without a bottom is drawn, in metres.
const DEEP_M: f64 = 0.12;

/// Materials: name, colour, whether it is see-through.
const MATERIALS: [(&str, [f64; 4]); 5] = [
    ("shell", [0.80, 0.76, 0.66, 1.0]),
    ("mark", [0.02, 0.03, 0.05, 1.0]),
    ("foot", [0.05, 0.22, 0.33, 1.0]),
    ("deck", [0.62, 0.58, 0.48, 1.0]),
    ("slot", [0.30, 0.12, 0.45, 0.25]),
];
const SHELL: usize = 0;
const MARK: usize = 1;
const FOOT: usize = 2;
const DECK: usize = 3;
const SLOT: usize = 4;

/// The document and the bytes of its buffer.
pub(super) fn document(sheet: &Sheet, course: &Course<'_>) -> Result<(Value, Vec<u8>), Failure> {
    let mut maker = Maker::default();
    for (number, kind) in sheet.kinds.iter().enumerate() {
        let has_slots = sheet.slots.iter().any(|slot| slot.kind == number);
        let meshes = maker.meshes.of_kind(&mut maker.buffer, kind, has_slots);
        maker.kinds.push(meshes);
    }
    let root = maker.node(json!({
        "name": sheet.scene,
        // z-up to y-up: a quarter turn about x.
        "rotation": [-std::f64::consts::FRAC_1_SQRT_2, 0.0, 0.0, std::f64::consts::FRAC_1_SQRT_2]
    }));
    let mut top: Vec<usize> = Vec::new();
    top.extend(maker.decks(sheet));
    top.extend(maker.stones(sheet));
    for index in 0..sheet.modules.len() {
        top.push(maker.module(sheet, course, index));
    }
    top.extend(maker.slots(sheet));
    maker.nodes[root]["children"] = json!(top);
    // The last one is for slots; what nothing uses is not written.
    let used = MATERIALS.len() - usize::from(sheet.slots.is_empty());
    let materials: Vec<Value> =
        MATERIALS.into_iter().take(used).map(|(name, colour)| material(name, colour)).collect();
    let mut document = json!({
        "asset": {
            "version": "2.0",
            "generator": concat!("clamber ", env!("CARGO_PKG_VERSION")),
            "extras": { "verdict": sheet.verdict.text, "cautions": sheet.cautions }
        },
        "scene": 0,
        "scenes": [{ "name": sheet.scene, "nodes": [root] }],
        "nodes": maker.nodes,
        "meshes": maker.meshes.meshes,
        "materials": materials,
        "accessors": maker.buffer.accessors,
        "bufferViews": maker.buffer.views,
        "buffers": [{ "byteLength": maker.buffer.bytes.len() }]
    });
    if !maker.channels.is_empty() {
        let steps: Vec<Value> = sheet
            .steps
            .iter()
            .map(|step| {
                let name = &sheet.modules[step.module].name;
                json!({ "start_s": step.from, "end_s": step.to, "what": format!("{name} {}", step.phrase) })
            })
            .collect();
        document["animations"] = json!([{
            "name": "plan", "channels": maker.channels, "samplers": maker.samplers, "extras": { "steps": steps }
        }]);
    }
    Ok((document, maker.buffer.bytes))
}

fn material(name: &str, colour: [f64; 4]) -> Value {
    let mut material = json!({
        "name": name,
        "pbrMetallicRoughness": { "baseColorFactor": colour, "metallicFactor": 0.0, "roughnessFactor": 0.85 }
    });
    if colour[3] < 1.0 {
        material["alphaMode"] = json!("BLEND");
    }
    material
}

#[derive(Default)]
struct Meshes {
    meshes: Vec<Value>,
}

/// Numbers of the meshes of one kind.
#[derive(Clone, Copy)]
struct KindMeshes {
    shell: usize,
    tracks: usize,
    bell: usize,
    /// What no node uses is not written.
    ghost: Option<usize>,
}

#[derive(Default)]
struct Maker {
    buffer: Buffer,
    meshes: Meshes,
    kinds: Vec<KindMeshes>,
    nodes: Vec<Value>,
    channels: Vec<Value>,
    samplers: Vec<Value>,
}

impl Meshes {
    fn add(&mut self, buffer: &mut Buffer, name: &str, parts: &[(&Shape, usize)]) -> usize {
        let primitives: Vec<Value> = parts
            .iter()
            .map(|(shape, material)| {
                let position = buffer.vertices(&shape.corners, true);
                let normal = buffer.vertices(&shape.normals, false);
                json!({
                    "attributes": { "POSITION": position, "NORMAL": normal },
                    "indices": buffer.indices(&shape.triangles),
                    "material": material
                })
            })
            .collect();
        self.meshes.push(json!({ "name": name, "primitives": primitives }));
        self.meshes.len() - 1
    }

    fn of_kind(&mut self, buffer: &mut Buffer, kind: &KindEntry, has_slots: bool) -> KindMeshes {
        let &KindEntry { shell, ride, foot, .. } = kind;
        let ball = Shape::ball(shell);
        // A little smaller, so that a module that fills the slot hides it.
        let ghost = Shape::ball(0.98 * shell);
        let nose = Shape::block([shell, 0.0, 0.0], [0.12 * shell, 0.3 * shell, 0.3 * shell]);
        let depth = ride - (shell * shell - foot * foot).max(0.0).sqrt() + 0.1 * shell;
        let track = |side: f64| {
            Shape::block([0.0, side * 0.6 * foot, 0.5 * depth - ride], [1.7 * foot, 0.46 * foot, depth])
        };
        let (neck, rim) = (0.92 * shell, 1.18 * foot);
        let neck_z = -(shell * shell - neck * neck).sqrt();
        let bell = Shape::turned(
            &[
                (0.0, -ride, 0.0, -1.0),
                (rim, -ride, 0.0, -1.0),
                (rim, -ride, 1.0, 0.0),
                (neck, neck_z, 1.0, 0.0),
            ],
            40,
        );
        let name = &kind.name;
        KindMeshes {
            shell: self.add(buffer, &format!("{name} shell"), &[(&ball, SHELL), (&nose, MARK)]),
            tracks: self.add(buffer, &format!("{name} tracks"), &[(&track(-1.0).and(track(1.0)), FOOT)]),
            bell: self.add(buffer, &format!("{name} bell"), &[(&bell, FOOT)]),
            ghost: has_slots.then(|| self.add(buffer, &format!("{name} slot"), &[(&ghost, SLOT)])),
        }
    }
}

impl Maker {
    fn node(&mut self, node: Value) -> usize {
        self.nodes.push(node);
        self.nodes.len() - 1
    }

    fn decks(&mut self, sheet: &Sheet) -> Vec<usize> {
        let lowest = sheet.decks.iter().map(|deck| deck.top).fold(f64::INFINITY, f64::min);
        sheet
            .decks
            .iter()
            .map(|deck| {
                let bottom = deck.bottom.unwrap_or(lowest - DEEP_M);
                let tops: Vec<f64> = deck.outline.iter().map(|&at| deck.height_at(at)).collect();
                let solid = Shape::prism(&deck.outline, bottom, &tops);
                let mesh = self.meshes.add(&mut self.buffer, &deck.name, &[(&solid, DECK)]);
                self.node(json!({ "name": deck.name, "mesh": mesh }))
            })
            .collect()
    }

    fn stones(&mut self, sheet: &Sheet) -> Vec<usize> {
        sheet
            .stones
            .iter()
            .map(|stone| {
                let ball = Shape::ball(stone.radius);
                let mesh = self.meshes.add(&mut self.buffer, &stone.name, &[(&ball, DECK)]);
                self.node(json!({ "name": stone.name, "mesh": mesh, "translation": stone.position }))
            })
            .collect()
    }

    /// A module with its foot: tracks while it rolls, a bell while it is braced.
    fn module(&mut self, sheet: &Sheet, course: &Course<'_>, index: usize) -> usize {
        let module = &sheet.modules[index];
        let KindMeshes { shell, tracks, bell, .. } = self.kinds[module.kind];
        let start = course.problem.start.get(ModuleId::at(index));
        let size = |visible: bool| [f32::from(u8::from(visible)); 3];
        let braced = module.stands.first().is_some_and(|stand| stand.braced);
        let feet = [(tracks, "tracks", false), (bell, "bell", true)].map(|(mesh, what, when)| {
            let name = format!("{} {what}", module.name);
            (self.node(json!({ "name": name, "mesh": mesh, "scale": size(braced == when) })), when)
        });
        let node = self.node(json!({
            "name": module.name,
            "mesh": shell,
            "children": feet.map(|(node, _)| node),
            "translation": start.position.to_array().map(|v| v as f32),
            "rotation": start.orientation.to_array().map(|v| v as f32)
        }));
        let frames = Keyframes::of(course, ModuleId::at(index));
        if frames.times.len() > 1 {
            let input = self.buffer.times(&frames.times);
            let output = self.buffer.values(&frames.translations);
            self.channel(node, "translation", "LINEAR", input, output);
            let output = self.buffer.values(&frames.rotations);
            self.channel(node, "rotation", "LINEAR", input, output);
        }
        if module.stands.iter().any(|stand| stand.braced != braced) {
            let mut times: Vec<f32> = Vec::new();
            let mut holds: Vec<bool> = Vec::new();
            for stand in &module.stands {
                let time = stand.from as f32;
                if times.last().is_some_and(|last| *last >= time) {
                    times.pop();
                    holds.pop();
                }
                times.push(time);
                holds.push(stand.braced);
            }
            let input = self.buffer.times(&times);
            for (node, when) in feet {
                let sizes: Vec<[f32; 3]> = holds.iter().map(|hold| size(*hold == when)).collect();
                let output = self.buffer.values(&sizes);
                self.channel(node, "scale", "STEP", input, output);
            }
        }
        node
    }

    fn slots(&mut self, sheet: &Sheet) -> Vec<usize> {
        sheet
            .slots
            .iter()
            .map(|slot| {
                let mesh = self.kinds[slot.kind].ghost;
                let name = format!("slot {}", slot.name);
                self.node(json!({
                    "name": name, "mesh": mesh, "translation": slot.position.map(|v| v as f32)
                }))
            })
            .collect()
    }

    fn channel(&mut self, node: usize, path: &str, interpolation: &str, input: usize, output: usize) {
        let sampler = self.samplers.len();
        self.samplers.push(json!({ "input": input, "output": output, "interpolation": interpolation }));
        self.channels.push(json!({ "sampler": sampler, "target": { "node": node, "path": path } }));
    }
}
