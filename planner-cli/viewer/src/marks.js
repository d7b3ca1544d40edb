// Marks of the instant: a plumb bob from the centre of mass of what stands together down to its support, and a line across the nearest gap.
import {
  BufferGeometry, ConeGeometry, DoubleSide, Float32BufferAttribute, Group, Line, LineBasicMaterial, LineLoop, LineSegments, Mesh,
  MeshBasicMaterial, ShapeGeometry, Shape, SphereGeometry, Vector2,
} from "three";
import { add, minus, norm, times } from "./poses.js";
import { nearestOnDeck } from "./hull.js";

/** Gaps wider than this are no news, in units. */
const SHOWN = 0.1;
/** How much of the support and of the plumb line is seen through shells. */
const THROUGH = 0.55;

/** So many plumb lines at once are shown, of those that stand least well. */
const MOST = 40;

export class Marks {
  constructor(sheet, theme, scene) {
    this.sheet = sheet;
    this.unit = sheet.unit;
    this.group = new Group();
    this.line = new LineBasicMaterial();
    this.bob = new MeshBasicMaterial();
    this.fill = new MeshBasicMaterial({ transparent: true, opacity: 0.16, side: DoubleSide, depthWrite: false });
    // The same once more, faintly, through what hides it.
    this.seen = new LineBasicMaterial({ depthTest: false, transparent: true, opacity: THROUGH });
    this.contact = new MeshBasicMaterial({ depthTest: false, transparent: true, opacity: THROUGH });
    this.gapLine = new LineBasicMaterial({ depthTest: false });
    this.gapEnd = new MeshBasicMaterial({ depthTest: false });
    this.balance = new Group();
    this.gap = new Group();
    this.group.add(this.balance, this.gap);
    scene.add(this.group);
    this.paint(theme);
  }

  paint(theme) {
    const { plumb, gap } = theme.paint;
    for (const material of [this.line, this.bob, this.fill, this.seen, this.contact]) material.color.set(plumb);
    for (const material of [this.gapLine, this.gapEnd]) material.color.set(gap);
  }

  show(crew, figures, clusters, showsBalance) {
    clear(this.balance);
    clear(this.gap);
    const several = clusters.filter((cluster) => cluster.members.length > 1 && cluster.hull.length > 2);
    if (showsBalance) for (const cluster of several.sort((a, b) => a.inset - b.inset).slice(0, MOST)) this.plumb(cluster);
    this.gapAt = figures.gap && figures.gap.width < SHOWN * this.unit ? this.across(crew, figures.gap) : null;
  }

  plumb({ centre, hull, contacts, level, inset }) {
    const { unit } = this;
    const z = level + 0.0015 * unit;
    const rim = hull.flatMap(([x, y]) => [x, y, z]);
    this.balance.add(new LineLoop(points(rim), this.line));
    const area = new Mesh(new ShapeGeometry(new Shape(hull.map(([x, y]) => new Vector2(x, y)))), this.fill);
    area.position.z = z;
    this.balance.add(area);
    const bob = new Mesh(new ConeGeometry(0.008 * unit, 0.024 * unit, 16), this.bob);
    bob.rotation.x = -Math.PI / 2; // tip down
    bob.position.set(centre[0], centre[1], z + 0.013 * unit);
    const ball = new Mesh(new SphereGeometry(0.007 * unit, 12, 8), this.bob);
    ball.position.fromArray(centre);
    const fall = [...centre, centre[0], centre[1], z];
    this.balance.add(bob, ball, new Line(points(fall), this.line));
    const cross = [-1, 1].flatMap((way) => [centre[0] - 0.012 * unit, centre[1] - 0.012 * way * unit, z, centre[0] + 0.012 * unit, centre[1] + 0.012 * way * unit, z]);
    for (const shape of [new LineLoop(points(rim), this.seen), new LineSegments(points([...fall, ...cross]), this.seen)]) {
      shape.renderOrder = 1;
      this.balance.add(shape);
    }
    // What the cluster stands on: feet and shells.
    for (const at of contacts) {
      const dot = new Mesh(new SphereGeometry(0.006 * unit, 10, 8), this.contact);
      dot.position.fromArray(at);
      dot.renderOrder = 1;
      this.balance.add(dot);
    }
    if (inset < 0) {
      const arm = 0.02 * unit;
      const [x, y] = centre;
      this.balance.add(new LineSegments(points([x - arm, y - arm, z, x + arm, y + arm, z, x - arm, y + arm, z, x + arm, y - arm, z]), this.line));
    }
  }

  /** A line between the two nearest points; returns its middle. */
  across(crew, { module, other }) {
    const { sheet } = this;
    const from = crew.poses[module].position;
    const radius = sheet.kinds[sheet.modules[module].kind].shell;
    let to;
    let theirs = 0;
    if (other < sheet.decks.length) {
      to = nearestOnDeck(sheet.decks[other], from);
    } else if (other >= sheet.decks.length + sheet.modules.length) {
      ({ position: to, radius: theirs } = sheet.stones[other - sheet.decks.length - sheet.modules.length]);
    } else {
      const index = other - sheet.decks.length;
      to = crew.poses[index].position;
      theirs = sheet.kinds[sheet.modules[index].kind].shell;
    }
    const apart = minus(to, from);
    const along = times(apart, 1 / norm(apart));
    const ends = [add(from, times(along, radius)), minus(to, times(along, theirs))];
    const line = new Line(points(ends.flat()), this.gapLine);
    line.renderOrder = 2;
    this.gap.add(line);
    for (const end of ends) {
      const dot = new Mesh(new SphereGeometry(0.0035 * this.unit, 10, 8), this.gapEnd);
      dot.position.fromArray(end);
      dot.renderOrder = 2;
      this.gap.add(dot);
    }
    return times(add(...ends), 0.5);
  }
}

const points = (list) => new BufferGeometry().setAttribute("position", new Float32BufferAttribute(list, 3));

function clear(group) {
  for (const child of group.children) child.geometry.dispose();
  group.clear();
}
