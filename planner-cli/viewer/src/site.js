// What does not move: decks, the slots of the goal as ghosts, the deck to gather on.
import {
  BufferGeometry, Color, Float32BufferAttribute, Group, Line, LineBasicMaterial, LineDashedMaterial, LineSegments, Mesh, MeshBasicMaterial,
  MeshLambertMaterial, PlaneGeometry, SphereGeometry,
} from "three";
import { minus, norm } from "./poses.js";
import { rimOf, solidOf } from "./solid.js";

/** Depth to which a deck without a bottom is drawn, in units. */
const DEEP = 0.12;
/** Width of the rim of a deck, in units. */
const RIM = 0.0035;

export class Site {
  constructor(sheet, theme, scene) {
    const { unit } = sheet;
    this.unit = unit;
    this.side = new MeshLambertMaterial({ vertexColors: true });
    this.edge = new LineBasicMaterial();
    this.rim = new MeshBasicMaterial();
    this.pit = new MeshBasicMaterial();
    this.glass = new MeshBasicMaterial({ transparent: true, opacity: 0.1, depthWrite: false });
    this.ghost = new MeshBasicMaterial({ transparent: true, opacity: 0.13, depthWrite: false });
    this.dash = new LineDashedMaterial({ dashSize: 0.011 * unit, gapSize: 0.007 * unit });
    this.goal = new Group();
    const tops = [...new Set(sheet.decks.map((deck) => deck.top))].sort((a, b) => a - b);
    this.foot = tops[0] - DEEP * unit;
    this.decks = sheet.decks.map((deck) => this.deck(deck, tops.indexOf(deck.top) / Math.max(1, tops.length - 1)));
    this.stone = new MeshLambertMaterial();
    scene.add(...this.decks.map((deck) => deck.group), this.ground(sheet.decks), ...sheet.stones.map((stone) => this.ball(stone)));
    if (sheet.gather) this.goal.add(this.gatherMark(sheet.decks[sheet.gather.deck], this.decks[sheet.gather.deck].top.geometry));
    this.slots = sheet.slots.map((slot) => this.slot(slot, sheet.kinds[slot.kind]));
    this.filled = sheet.slots.map(() => false);
    this.positions = sheet.slots.map((slot) => slot.position);
    if (this.slots.length) this.goal.add(...this.slots);
    scene.add(this.goal);
    this.paint(theme);
  }

  /** `rank`: from 0 for the lowest deck to 1 for the highest. */
  deck(deck, rank) {
    const { top, wall, lines } = solidOf(deck.corners, deck.bottom ?? Math.min(this.foot, deck.top), this.unit);
    const paint = new MeshLambertMaterial();
    const parts = [new Mesh(top, paint), new Mesh(wall, this.side)];
    for (const part of parts) part.receiveShadow = true;
    const group = new Group();
    group.add(...parts, new LineSegments(lines, this.edge), ...rimOf(deck.corners, RIM * this.unit, this.rim));
    return { group, paint, rank, top: parts[0], wall: parts[1] };
  }

  ball({ position, radius }) {
    const ball = new Mesh(new SphereGeometry(radius, 48, 32), this.stone);
    ball.position.fromArray(position);
    [ball.castShadow, ball.receiveShadow] = [true, true];
    return ball;
  }

  /** What is seen at the bottom where there is no deck: dark, so that a trench is one. */
  ground(decks) {
    const [xs, ys] = [0, 1].map((k) => decks.flatMap((deck) => deck.corners.map((corner) => corner[k])));
    const [left, right, near, far] = [Math.min(...xs), Math.max(...xs), Math.min(...ys), Math.max(...ys)];
    const plane = new Mesh(new PlaneGeometry(right - left, far - near), this.pit);
    plane.position.set((left + right) / 2, (near + far) / 2, this.foot);
    return plane;
  }

  /** The solids of decks, each knowing which deck it is of. */
  get solids() {
    return this.decks.flatMap(({ top, wall }, deck) => [top, wall].map((mesh) => Object.assign(mesh, { userData: { deck } })));
  }

  /** Decks that hide the crew are looked through. */
  see(glass) {
    this.hiding = glass;
    this.decks.forEach(({ top, wall, paint }, index) => {
      [top.material, wall.material] = glass.has(index) ? [this.glass, this.glass] : [paint, this.side];
    });
  }

  /** A tint over the deck to gather on, and a dashed band along its edge. */
  gatherMark(deck, top) {
    const points = [...deck.corners, deck.corners[0]].flatMap(([x, y, z]) => [x, y, z + 0.004 * this.unit]);
    const band = new Line(new BufferGeometry().setAttribute("position", new Float32BufferAttribute(points, 3)), this.dash);
    band.computeLineDistances();
    const fill = new Mesh(top, this.ghost);
    fill.position.z = 0.001 * this.unit;
    const mark = new Group();
    mark.add(fill, band);
    return mark;
  }

  slot(slot, kind) {
    const group = new Group();
    group.position.fromArray(slot.position);
    group.quaternion.fromArray(slot.orientation);
    group.add(new Mesh(new SphereGeometry(kind.shell, 32, 20), this.ghost));
    for (const [radius, height, plane] of [[kind.shell, 0, "xy"], [kind.shell, 0, "xz"], [kind.foot, -kind.ride, "xy"]]) {
      const points = [];
      for (let k = 0; k <= 64; k += 1) {
        const [c, s] = [radius * Math.cos((k * Math.PI) / 32), radius * Math.sin((k * Math.PI) / 32)];
        points.push(...(plane === "xy" ? [c, s, height + 0.001 * this.unit] : [c, 0, s]));
      }
      const ring = new Line(new BufferGeometry().setAttribute("position", new Float32BufferAttribute(points, 3)), this.dash);
      ring.computeLineDistances();
      group.add(ring);
    }
    return group;
  }

  /** A slot that is filled is a ghost no more. */
  show(crew) {
    this.positions.forEach((place, index) => {
      this.filled[index] = crew.poses.some(({ position }) => norm(minus(position, place)) < 1.5e-3);
      this.slots[index].visible = !this.filled[index];
    });
  }

  paint(theme) {
    const { deckTop, deckLow, deckSide, rim, pit, glass, ghost } = theme.paint;
    for (const { paint, rank } of this.decks) paint.color.set(deckLow).lerp(new Color(deckTop), this.decks.length > 1 ? rank : 1);
    this.side.color.set(deckSide);
    this.stone.color.set(deckLow);
    for (const material of [this.edge, this.rim]) material.color.set(rim);
    this.pit.color.set(pit);
    this.glass.color.set(glass);
    this.ghost.color.set(ghost);
    this.dash.color.set(ghost);
  }
}
