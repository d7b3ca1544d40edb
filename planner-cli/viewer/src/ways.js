// Where those who move will be: an arrow along the way of each, from the beginning of its step to the end, and its shell as a ghost there. Of a leg
// under way, the ghost is where its end comes down.
import {
  BufferGeometry, CatmullRomCurve3, ConeGeometry, Float32BufferAttribute, Group, LineBasicMaterial, LineSegments, Mesh, MeshBasicMaterial,
  SphereGeometry, TubeGeometry, Vector3,
} from "three";
import { add, minus, norm, poseAt, rotate } from "./poses.js";
import { legsUnderWay } from "./walk.js";

/** Points along a way. */
const POINTS = 24;
/** More moves at once than this are shown as plain lines, with fewer points. */
const MANY = 40;
const COARSE = 6;
/** A centre that goes less far than this, in radii, turns on the spot: its arrow is the way of a point over the nose. */
const STILL = 0.05;
const NOSE = 1.12;
/** Shorter ways, in radii, have no arrow. */
const SHORT = 0.02;
/** A shell that goes farther than this, in radii, has a ghost where it comes to. */
const AWAY = 0.3;

export class Ways {
  constructor(sheet, theme, scene) {
    this.sheet = sheet;
    this.line = new MeshBasicMaterial({ depthTest: false, transparent: true, opacity: 0.75 });
    this.thin = new LineBasicMaterial({ depthTest: false });
    this.ghost = new MeshBasicMaterial({ depthWrite: false, transparent: true, opacity: 0.22 });
    this.group = new Group();
    scene.add(this.group);
    this.shown = "";
    this.paint(theme);
  }

  paint(theme) {
    for (const material of [this.line, this.thin, this.ghost]) material.color.set(theme.paint.way);
  }

  show(figures, t) {
    const legs = legsUnderWay(this.sheet, t).filter(({ swings, onto }) => swings && onto !== null);
    const key = `${figures.steps} ${legs.map(({ from, end }) => `${end}:${from}`)}`;
    if (key === this.shown) return;
    this.shown = key;
    for (const child of this.group.children) child.geometry.dispose();
    this.group.clear();
    const ofLegs = legs.flatMap(({ knee, end }) => [knee, end]);
    const isFew = figures.steps.length <= MANY;
    if (isFew) for (const index of figures.steps) this.way(this.sheet.steps[index], index, ofLegs);
    else this.lines(figures.steps);
    for (const { end, to } of legs) {
      const module = this.sheet.modules[end];
      this.shell(poseAt(module, to).position, this.sheet.kinds[module.kind].shell);
    }
  }

  /** The ways of many as plain lines. */
  lines(steps) {
    const { sheet } = this;
    const ends = steps.flatMap((index) => {
      const step = sheet.steps[index];
      const at = (k) => poseAt(sheet.modules[step.module], step.from + ((step.to - step.from) * k) / COARSE).position;
      return Array.from({ length: COARSE }, (_, k) => [...at(k), ...at(k + 1)]).flat();
    });
    const lines = new LineSegments(new BufferGeometry().setAttribute("position", new Float32BufferAttribute(ends, 3)), this.thin);
    lines.renderOrder = 1;
    this.group.add(lines);
  }

  way(step, index, ofLegs) {
    const { sheet } = this;
    const module = sheet.modules[step.module];
    const { shell } = sheet.kinds[module.kind];
    if (!module.legs.some((leg) => leg.step === index)) return;
    const poses = Array.from({ length: POINTS + 1 }, (_, k) => poseAt(module, step.from + ((step.to - step.from) * k) / POINTS));
    const far = Math.max(...poses.map(({ position }) => norm(minus(position, poses[0].position))));
    const nose = ({ position, orientation }) => add(position, rotate(orientation, [NOSE * shell, 0, 0]));
    const points = poses.map(far < STILL * shell ? nose : ({ position }) => position);
    const length = points.slice(1).reduce((sum, p, k) => sum + norm(minus(p, points[k])), 0);
    if (length > SHORT * shell) this.arrow(points.map((p) => new Vector3(...p)), length, shell);
    if (far > AWAY * shell && !ofLegs.includes(step.module)) this.shell(poses.at(-1).position, shell);
  }

  /** A tube along the points with a head at the last one. */
  arrow(points, length, shell) {
    const head = Math.min(0.3 * shell, 0.6 * length);
    const width = Math.min(0.035 * shell, 0.12 * length);
    const end = points.at(-1);
    const before = points.findLast((p) => p.distanceTo(end) >= head) ?? points[0];
    const ahead = end.clone().sub(before).normalize();
    const shaft = [...points.filter((p) => p.distanceTo(end) >= head), end.clone().addScaledVector(ahead, -0.9 * head)];
    if (shaft.length > 1) this.mesh(new TubeGeometry(new CatmullRomCurve3(shaft), 2 * POINTS, width, 8), this.line);
    const cone = this.mesh(new ConeGeometry(3.2 * width, head, 16), this.line);
    cone.position.copy(end).addScaledVector(ahead, -head / 2);
    cone.quaternion.setFromUnitVectors(new Vector3(0, 1, 0), ahead);
  }

  shell(position, radius) {
    this.mesh(new SphereGeometry(radius, 32, 20), this.ghost).position.fromArray(position);
  }

  mesh(geometry, material) {
    const mesh = new Mesh(geometry, material);
    mesh.renderOrder = 1;
    this.group.add(mesh);
    return mesh;
  }
}
