// Modules as things: a shell with a stripe from its nose to its crown, and a foot whose shape tells the hold and whose colour tells the use.
// All modules of a kind are drawn together, piece by piece, so that a thousand cost few more calls than one.
import {
  BackSide, BoxGeometry, Color, CylinderGeometry, InstancedMesh, Matrix4, MeshBasicMaterial, MeshLambertMaterial, Quaternion, SphereGeometry,
  TorusGeometry, Vector3,
} from "three";
import { colourOf } from "./scale.js";

/** How much larger than the thing its outline is, in radii of the shell. */
const LINE = 0.027;
/** So many modules are drawn with all their corners; more of them are smaller on the screen, and have fewer. */
const FINE = 40;
const FEWEST = 0.35;
const NOWHERE = new Matrix4().makeScale(0, 0, 0);
const ONE = new Vector3(1, 1, 1);

export class Bodies {
  constructor(sheet, theme, scene) {
    this.sheet = sheet;
    this.ink = new MeshBasicMaterial({ side: BackSide });
    this.stripe = new MeshBasicMaterial();
    this.fineness = Math.max(FEWEST, Math.min(1, Math.sqrt(FINE / sheet.modules.length)));
    const count = sheet.kinds.map(() => 0);
    /** The place of each module among those of its kind. */
    this.slots = sheet.modules.map(({ kind }) => count[kind]++);
    this.kinds = sheet.kinds.map((kind, index) => (count[index] ? this.pieces(kind, count[index], scene) : []));
    this.poses = sheet.modules.map(() => new Matrix4());
    this.paint(theme);
  }

  /** The pieces of a kind: what is drawn, where on the module, and whether always (`when` is null), while it is braced, or while it is not. */
  pieces({ shell, ride, foot }, count, scene) {
    const pieces = [];
    const line = LINE * shell;
    const corners = (number) => Math.max(6, Math.round(number * this.fineness));
    const add = (geometry, material, { at = [0, 0, 0], turn = null, when = null, shadow = false, colour = null } = {}) => {
      if (turn) geometry.rotateX(turn);
      geometry.translate(...at);
      const mesh = new InstancedMesh(geometry, material, count);
      mesh.frustumCulled = false;
      mesh.castShadow = shadow;
      mesh.receiveShadow = colour === "shell";
      scene.add(mesh);
      pieces.push({ mesh, when, colour });
    };
    const skin = new MeshLambertMaterial();
    const bond = new MeshLambertMaterial();
    add(new SphereGeometry(shell, corners(40), corners(28)), skin, { shadow: true, colour: "shell" });
    add(new SphereGeometry(shell + line, corners(40), corners(28)), this.ink);
    // From +x over the crown, in the plane of travel.
    add(new TorusGeometry(shell * 1.007, shell * 0.035, 6, corners(24), Math.PI / 2), this.stripe, { turn: Math.PI / 2 });
    add(new SphereGeometry(shell * 0.1, corners(12), corners(8)), this.stripe, { at: [shell * 0.97, 0, 0] });
    // Rolling: two tracks along x.
    const half = foot * 0.86;
    const depth = ride - Math.sqrt(Math.max(0, shell ** 2 - foot ** 2)) + shell * 0.12;
    for (const side of [-1, 1]) {
      const size = [half * 2, foot * 0.46, depth];
      const at = [0, side * foot * 0.6, -ride + depth / 2];
      add(new BoxGeometry(...size), bond, { at, when: "rolling", shadow: true, colour: "bond" });
      add(new BoxGeometry(...size.map((v) => v + 2 * line)), this.ink, { at, when: "rolling" });
    }
    // Braced: a bell that is closed all round.
    const neck = shell * 0.92;
    const height = ride - Math.sqrt(shell ** 2 - neck ** 2) * 0.9;
    const rim = foot * 1.18;
    for (const [grow, material, colour] of [[0, bond, "bond"], [line, this.ink, null]]) {
      const wall = new CylinderGeometry(neck + grow, rim + grow, height, corners(40), 1, true);
      add(wall, material, { turn: Math.PI / 2, at: [0, 0, -ride + height / 2], when: "braced", colour });
      const lip = new TorusGeometry(rim, shell * 0.075 + grow, corners(10), corners(40));
      add(lip, material, { at: [0, 0, -ride + shell * 0.05], when: "braced", colour });
    }
    return pieces;
  }

  paint(theme) {
    const { ink } = theme.paint;
    this.theme = theme;
    this.ink.color.set(ink);
    this.stripe.color.set(theme.name === "dark" ? "#191c1f" : ink);
  }

  show(crew, figures) {
    const { paint, name } = this.theme;
    const steps = figures.steps.map((index) => this.sheet.steps[index]);
    // In a stride the ends drive.
    const strides = steps.some(({ move }) => move === "stride");
    const movers = new Set([...steps, ...(strides ? figures.drives : [])].map(({ module }) => module));
    const colour = new Color();
    this.sheet.modules.forEach((module, index) => {
      const { position, orientation, leg } = crew.poses[index];
      const pose = this.poses[index].compose(new Vector3(...position), new Quaternion(...orientation), ONE);
      const hold = crew.stands[index].braced ? "braced" : "rolling";
      const colours = {
        shell: movers.has(index) ? paint.mover : leg ? paint.carried : module.stuck ? paint.stuck : paint.shell,
        bond: colourOf(figures.bonds[index], this.sheet.limits.utilisation, name),
      };
      for (const { mesh, when, colour: which } of this.kinds[module.kind]) {
        const slot = this.slots[index];
        mesh.setMatrixAt(slot, when && when !== hold ? NOWHERE : pose);
        if (which) mesh.setColorAt(slot, colour.set(colours[which]));
      }
    });
    for (const { mesh } of this.kinds.flat()) {
      mesh.instanceMatrix.needsUpdate = true;
      if (mesh.instanceColor) mesh.instanceColor.needsUpdate = true;
    }
  }

  /** Where the shell of a module is drawn, as a matrix by columns. */
  placed(index) {
    const there = new Matrix4();
    this.kinds[this.sheet.modules[index].kind][0].mesh.getMatrixAt(this.slots[index], there);
    return there.elements.slice();
  }
}
