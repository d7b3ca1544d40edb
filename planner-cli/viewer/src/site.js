// What does not move: decks, the slots of the goal as ghosts, the deck to gather on, and a surveyor's staff for scale.
import {
  BoxGeometry, BufferGeometry, EdgesGeometry, ExtrudeGeometry, Float32BufferAttribute, Group, Line, LineBasicMaterial, LineDashedMaterial,
  LineSegments, Mesh, MeshBasicMaterial, MeshLambertMaterial, Shape, SphereGeometry, Vector2,
} from "three";
import { minus, norm } from "./poses.js";

/** Depth to which a deck without a bottom is drawn, in units. */
const DEEP = 0.12;

export class Site {
  constructor(sheet, theme, scene, extent) {
    const { unit } = sheet;
    this.unit = unit;
    this.top = new MeshLambertMaterial();
    this.side = new MeshLambertMaterial();
    this.edge = new LineBasicMaterial();
    this.ghost = new MeshBasicMaterial({ transparent: true, opacity: 0.13, depthWrite: false });
    this.dash = new LineDashedMaterial({ dashSize: 0.011 * unit, gapSize: 0.007 * unit });
    this.staff = [new MeshBasicMaterial(), new MeshBasicMaterial()];
    this.goal = new Group();
    const lowest = Math.min(...sheet.decks.map((deck) => deck.top));
    sheet.decks.forEach((deck, index) => {
      scene.add(this.deck(deck, lowest));
      if (sheet.gather?.deck === index) this.goal.add(this.gatherMark(deck));
    });
    this.slots = sheet.slots.map((slot) => this.slot(slot, sheet.kinds[slot.kind]));
    this.filled = sheet.slots.map(() => false);
    this.positions = sheet.slots.map((slot) => slot.position);
    if (this.slots.length) this.goal.add(...this.slots);
    scene.add(this.goal, this.scale(extent, lowest));
    this.paint(theme);
  }

  deck(deck, lowest) {
    const bottom = deck.bottom ?? Math.min(lowest, deck.top) - DEEP * this.unit;
    const shape = new Shape(deck.outline.map(([x, y]) => new Vector2(x, y)));
    const solid = new ExtrudeGeometry(shape, { depth: deck.top - bottom, bevelEnabled: false });
    const group = new Group();
    group.position.z = bottom;
    const body = new Mesh(solid, [this.top, this.side]);
    body.receiveShadow = true;
    group.add(body, new LineSegments(new EdgesGeometry(solid, 20), this.edge));
    return group;
  }

  /** A dashed band along the edge of the deck to gather on. */
  gatherMark(deck) {
    const points = [...deck.outline, deck.outline[0]].flatMap(([x, y]) => [x, y, deck.top + 0.002 * this.unit]);
    const band = new Line(new BufferGeometry().setAttribute("position", new Float32BufferAttribute(points, 3)), this.dash);
    band.computeLineDistances();
    const shape = new Shape(deck.outline.map(([x, y]) => new Vector2(x, y)));
    const fill = new Mesh(new ExtrudeGeometry(shape, { depth: 0.001 * this.unit, bevelEnabled: false }), this.ghost);
    fill.position.z = deck.top + 0.0005 * this.unit;
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

  /** Two to five fields of a round length, in front of the crew. */
  scale({ low, high }, lowest) {
    const staff = new Group();
    const { unit } = this;
    const half = (high[0] - low[0]) / 2;
    const power = 10 ** Math.floor(Math.log10(half));
    const field = half / power < 2 ? power / 5 : half / power < 5 ? power / 2 : power;
    const fields = Math.min(5, Math.max(2, Math.round(half / field)));
    for (let k = 0; k < fields; k += 1) {
      const bar = new Mesh(new BoxGeometry(field, 0.012 * unit, 0.004 * unit), this.staff[k % 2]);
      bar.position.set((k + 0.5) * field, 0, 0);
      staff.add(bar);
    }
    staff.position.set((low[0] + high[0] - fields * field) / 2, low[1] - 0.06 * unit, lowest + 0.003 * unit);
    this.staffLength = fields * field;
    this.staffEnd = [staff.position.x + this.staffLength, staff.position.y, staff.position.z];
    return staff;
  }

  /** A slot that is filled is a ghost no more. */
  show(crew) {
    this.positions.forEach((place, index) => {
      this.filled[index] = crew.poses.some(({ position }) => norm(minus(position, place)) < 1.5e-3);
      this.slots[index].visible = !this.filled[index];
    });
  }

  paint(theme) {
    const { deckTop, deckSide, ink, ghost, shell, plumb } = theme.paint;
    this.top.color.set(deckTop);
    this.side.color.set(deckSide);
    this.edge.color.set(theme.name === "dark" ? "#737b83" : ink);
    this.ghost.color.set(ghost);
    this.dash.color.set(ghost);
    this.staff[0].color.set(theme.name === "dark" ? plumb : ink);
    this.staff[1].color.set(theme.name === "dark" ? ink : shell);
  }
}
