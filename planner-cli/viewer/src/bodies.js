// Modules as things: a shell with a stripe from its nose to its crown, and a foot whose shape tells the hold and whose colour tells the use.
import {
  BackSide, BoxGeometry, Color, CylinderGeometry, Group, Mesh, MeshBasicMaterial, MeshLambertMaterial, SphereGeometry, TorusGeometry,
} from "three";
import { colourOf } from "./scale.js";

/** How much larger than the thing its outline is, in radii of the shell. */
const LINE = 0.027;

export class Bodies {
  constructor(sheet, theme, scene) {
    this.sheet = sheet;
    this.ink = new MeshBasicMaterial({ side: BackSide });
    this.stripe = new MeshBasicMaterial();
    this.parts = sheet.modules.map((module) => this.build(sheet.kinds[module.kind], module.name));
    for (const part of this.parts) scene.add(part.group);
    this.paint(theme);
  }

  build({ shell, ride, foot }, name) {
    const group = new Group();
    const line = LINE * shell;
    group.name = name;
    const skin = new MeshLambertMaterial();
    const bond = new MeshLambertMaterial();
    const ball = new Mesh(new SphereGeometry(shell, 40, 28), skin);
    ball.castShadow = true;
    ball.receiveShadow = true;
    group.add(ball);
    group.add(new Mesh(new SphereGeometry(shell + line, 40, 28), this.ink));
    const stripe = new Mesh(new TorusGeometry(shell * 1.007, shell * 0.035, 6, 24, Math.PI / 2), this.stripe);
    stripe.rotation.x = Math.PI / 2; // from +x over the crown, in the plane of travel
    group.add(stripe);
    const nose = new Mesh(new SphereGeometry(shell * 0.1, 12, 8), this.stripe);
    nose.position.x = shell * 0.97;
    group.add(nose);
    const rolling = this.tracks(shell, ride, foot, bond, line);
    const braced = this.cup(shell, ride, foot, bond, line);
    group.add(rolling, braced);
    return { group, skin, bond, rolling, braced };
  }

  /** Rolling: two tracks along x. */
  tracks(shell, ride, foot, bond, line) {
    const pair = new Group();
    const half = foot * 0.86;
    const depth = ride - Math.sqrt(Math.max(0, shell ** 2 - foot ** 2)) + shell * 0.12;
    for (const side of [-1, 1]) {
      const size = [half * 2, foot * 0.46, depth];
      const track = new Mesh(new BoxGeometry(...size), bond);
      const edge = new Mesh(new BoxGeometry(...size.map((v) => v + 2 * line)), this.ink);
      for (const mesh of [track, edge]) {
        mesh.position.set(0, side * foot * 0.6, -ride + depth / 2);
        mesh.castShadow = mesh === track;
        pair.add(mesh);
      }
    }
    return pair;
  }

  /** Braced: a bell that is closed all round. */
  cup(shell, ride, foot, bond, line) {
    const bell = new Group();
    const neck = shell * 0.92;
    const depth = ride - Math.sqrt(shell ** 2 - neck ** 2) * 0.9;
    const rim = foot * 1.18;
    for (const [grow, material] of [[0, bond], [line, this.ink]]) {
      const wall = new Mesh(new CylinderGeometry(neck + grow, rim + grow, depth, 40, 1, true), material);
      wall.rotation.x = Math.PI / 2;
      wall.position.z = -ride + depth / 2;
      const lip = new Mesh(new TorusGeometry(rim, shell * 0.075 + grow, 10, 40), material);
      lip.position.z = -ride + shell * 0.05;
      bell.add(wall, lip);
    }
    return bell;
  }

  paint(theme) {
    const { ink, shell } = theme.paint;
    this.theme = theme;
    this.shell = new Color(shell);
    this.ink.color.set(ink);
    this.stripe.color.set(theme.name === "dark" ? "#191c1f" : ink);
  }

  show(crew, figures) {
    const { paint, name } = this.theme;
    const steps = figures.steps.map((index) => this.sheet.steps[index]);
    const movers = steps.map(({ module }) => module);
    // In a stride the ends drive.
    const drives = steps.some(({ move }) => move === "stride") ? figures.drives.map(({ module }) => module) : [];
    this.parts.forEach((part, index) => {
      const { position, orientation, leg } = crew.poses[index];
      part.group.position.fromArray(position);
      part.group.quaternion.fromArray(orientation);
      const module = this.sheet.modules[index];
      const colour = movers.includes(index) || drives.includes(index) ? paint.mover : leg ? paint.carried : module.stuck ? paint.stuck : paint.shell;
      part.skin.color.set(colour);
      part.bond.color.set(colourOf(figures.bonds[index], this.sheet.limits.utilisation, name));
      part.braced.visible = crew.stands[index].braced;
      part.rolling.visible = !part.braced.visible;
    });
  }
}
