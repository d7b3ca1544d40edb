// Models against the Khronos validator, and their animations against the reference implementation in ../outside.
import { describe, test } from "node:test";
import assert from "node:assert/strict";
import { readFileSync } from "node:fs";
import { join } from "node:path";
import validator from "gltf-validator";

const folder = process.env.CLAMBER_PAGES;
const MODELS = ["crossing.glb", "crossing.gltf", "stand.glb", "regroup.glb", "row.glb", "scene-stand.glb", "unsound.glb", "hostile.glb"];
const bytes = (name) => new Uint8Array(readFileSync(join(folder, name)));

describe("the Khronos validator", () => {
  for (const name of MODELS) {
    test(`finds nothing in ${name}`, async () => {
      const { issues, info } = await validator.validateBytes(bytes(name), { uri: name });
      assert.deepEqual(issues.messages, []);
      assert.equal(info.version, "2.0");
    });
  }
  test("finds a keyframe that goes back in time, so it does look", async () => {
    const broken = bytes("crossing.glb");
    const { document, binary } = parse(broken);
    const { input } = document.animations[0].samplers[0];
    new DataView(binary.buffer, binary.byteOffset).setFloat32(document.bufferViews[document.accessors[input].bufferView].byteOffset, 1e9, true);
    const { issues } = await validator.validateBytes(broken, {});
    assert.ok(issues.numErrors > 0);
  });
});

/** JSON and buffer of a GLB; the buffer is a window into the bytes. */
function parse(file) {
  const view = new DataView(file.buffer, file.byteOffset);
  const length = view.getUint32(12, true);
  return { document: JSON.parse(new TextDecoder().decode(file.subarray(20, 20 + length))), binary: file.subarray(28 + length) };
}

function floats({ document, binary }, index) {
  const accessor = document.accessors[index];
  const view = document.bufferViews[accessor.bufferView];
  const width = { SCALAR: 1, VEC3: 3, VEC4: 4 }[accessor.type];
  const data = new DataView(binary.buffer, binary.byteOffset + view.byteOffset);
  return Array.from({ length: accessor.count }, (_, k) => Array.from({ length: width }, (_, i) => data.getFloat32(4 * (k * width + i), true)));
}

/** Section 3.11 and appendix C of the glTF 2.0 specification: clamped at the ends, LINEAR, slerp for rotations. */
function sample(times, values, t, isRotation) {
  if (t <= times[0]) return values[0];
  if (t >= times.at(-1)) return values.at(-1);
  const k = times.findIndex((time) => time > t) - 1;
  const share = (t - times[k]) / (times[k + 1] - times[k]);
  const [a, b] = [values[k], values[k + 1]];
  if (!isRotation) return a.map((v, i) => v + (b[i] - v) * share);
  const d = a.reduce((sum, v, i) => sum + v * b[i], 0);
  const angle = Math.acos(Math.min(1, Math.abs(d)));
  if (angle < 1e-6) return a;
  const [p, q] = [Math.sin(angle * (1 - share)) / Math.sin(angle), (Math.sign(d) * Math.sin(angle * share)) / Math.sin(angle)];
  return a.map((v, i) => v * p + b[i] * q);
}

function matrix([x, y, z, w]) {
  return [
    1 - 2 * (y * y + z * z), 2 * (x * y - z * w), 2 * (x * z + y * w),
    2 * (x * y + z * w), 1 - 2 * (x * x + z * z), 2 * (y * z - x * w),
    2 * (x * z - y * w), 2 * (y * z + x * w), 1 - 2 * (x * x + y * y),
  ];
}

describe("the animation", () => {
  for (const name of ["crossing", "stand", "regroup"]) {
    test(`of ${name} keeps within 0.1 mm and rounding of the reference`, () => {
      const model = parse(bytes(`${name}.glb`));
      const { document } = model;
      const { instants, poses } = JSON.parse(readFileSync(join(folder, `${name}.expected.json`), "utf8"));
      const names = JSON.parse(readFileSync(join(folder, `${name}.json`), "utf8")).scenario.module.map((module) => module.name);
      let far = 0;
      let turned = 0;
      names.forEach((module, m) => {
        const node = document.nodes.findIndex((candidate) => candidate.name === module);
        const track = (path) => {
          const channel = document.animations[0].channels.find(({ target }) => target.node === node && target.path === path);
          if (!channel) return () => document.nodes[node][path];
          const { input, output, interpolation } = document.animations[0].samplers[channel.sampler];
          assert.equal(interpolation, "LINEAR");
          const [times, values] = [floats(model, input).flat(), floats(model, output)];
          return (t) => sample(times, values, t, path === "rotation");
        };
        const [translation, rotation] = [track("translation"), track("rotation")];
        instants.forEach((t, k) => {
          const [px, py, pz, ...rows] = poses[k][m];
          const p = translation(t);
          far = Math.max(far, Math.hypot(p[0] - px, p[1] - py, p[2] - pz));
          matrix(rotation(t)).forEach((v, i) => { turned = Math.max(turned, Math.abs(v - rows[i])); });
        });
      });
      console.log(`# ${name}: centres within ${(far * 1e3).toFixed(4)} mm, rotations within ${turned.toExponential(1)}`);
      assert.ok(far <= 1e-4 + 2e-6);
      assert.ok(turned < 5e-6);
    });
  }

  test("stands upright in a y-up world", () => {
    const { document } = parse(bytes("stand.glb"));
    const root = document.nodes[document.scenes[0].nodes[0]];
    const up = matrix(root.rotation).filter((_, i) => i % 3 === 2); // where z goes
    [0, 1, 0].forEach((v, i) => assert.ok(Math.abs(up[i] - v) < 1e-12));
    assert.ok(root.children.length >= 8);
  });

  test("shows a bell while a module is braced and tracks while it rolls", () => {
    const model = parse(bytes("crossing.glb"));
    const { document } = model;
    for (const [what, when] of [["m8 bell", 1], ["m8 tracks", 0]]) {
      const node = document.nodes.findIndex(({ name }) => name === what);
      const channel = document.animations[0].channels.find(({ target }) => target.node === node);
      const { input, output, interpolation } = document.animations[0].samplers[channel.sampler];
      assert.equal(interpolation, "STEP");
      const [times, sizes] = [floats(model, input).flat(), floats(model, output).map(([x]) => x)];
      // Braced when its brace has ended at 4 s, rolling from the start of its release at 9.7 s.
      assert.deepEqual(sizes, [1 - when, when, 1 - when]);
      assert.ok(Math.abs(times[1] - 4) < 1e-6 && Math.abs(times[2] - 9.7) < 1e-6);
    }
  });
});
