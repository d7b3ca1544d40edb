// A grid of round steps on the decks with its numbers, which are those of `at_m` in a scene, and the directions of x, y and z.
import { BufferGeometry, Float32BufferAttribute, Group, LineBasicMaterial, LineSegments, Vector3 } from "three";
import { make } from "./svg.js";

/** About so many steps across what is looked at. */
const STEPS = 9;
/** Places along a line at which its number is tried. */
const TRIES = 24;

export class Grid {
  constructor(sheet, scene, { low, high }) {
    this.decks = sheet.decks;
    this.material = new LineBasicMaterial({ transparent: true, opacity: 0.5 });
    this.group = new Group();
    scene.add(this.group);
    const wanted = Math.max(high[0] - low[0], high[1] - low[1]) / STEPS;
    const power = 10 ** Math.floor(Math.log10(wanted));
    this.step = [1, 2, 5, 10].map((k) => k * power).find((step) => step >= wanted * 0.999);
    // One step more than the crew uses, as far as there are decks.
    this.range = [0, 1].map((k) => {
      const all = sheet.decks.flatMap((deck) => deck.corners.map((corner) => corner[k]));
      return [Math.max(Math.min(...all), low[k] - this.step), Math.min(Math.max(...all), high[k] + this.step)];
    });
    for (const deck of sheet.decks) this.group.add(this.linesOn(deck, 0.001 * sheet.unit));
    this.labels = [0, 1].flatMap((k) => this.ticks(k).map((value) => ({ axis: k, value, words: `${"xy"[k]}\u00a0${shown(value)}` })));
    for (const label of this.labels) label.places = this.placesOf(label);
    this.words = `grid ${shown(this.step)}\u00a0m`;
  }

  ticks(k) {
    const [from, to] = this.range[k];
    const first = Math.ceil(from / this.step - 1e-9);
    const count = Math.floor(to / this.step + 1e-9) - first + 1;
    return Array.from({ length: Math.max(0, count) }, (_, n) => (first + n) * this.step);
  }

  linesOn(deck, above) {
    const ends = [];
    for (const k of [0, 1]) {
      const other = 1 - k;
      for (const value of this.ticks(k)) {
        const crossings = crossingsOf(deck.corners, k, value);
        for (let n = 0; n + 1 < crossings.length; n += 2) {
          const [a, b] = [crossings[n], crossings[n + 1]].map(([at, z]) => [Math.min(this.range[other][1], Math.max(this.range[other][0], at)), z]);
          if (b[0] - a[0] < 1e-6) continue;
          for (const [at, z] of [a, b]) ends.push(k ? at : value, k ? value : at, z + above);
        }
      }
    }
    return new LineSegments(new BufferGeometry().setAttribute("position", new Float32BufferAttribute(ends, 3)), this.material);
  }

  /** Places of a number: along its line on the decks, from the front for x, from the left for y; each with the deck it is on. */
  placesOf({ axis, value }) {
    const [from, to] = this.range[1 - axis];
    return this.decks.flatMap(({ corners }, deck) => {
      const crossings = crossingsOf(corners, axis, value);
      return Array.from({ length: TRIES }, (_, n) => from + ((to - from) * n) / TRIES).flatMap((at) => {
        const next = crossings.findIndex(([end]) => end > at);
        if (next % 2 !== 1) return [];
        const [a, b] = [crossings[next - 1], crossings[next]];
        const z = a[1] + ((b[1] - a[1]) * (at - a[0])) / (b[0] - a[0]);
        return [{ deck, at, point: axis ? [at, value, z] : [value, at, z] }];
      });
    }).sort((a, b) => a.at - b.at);
  }

  paint(theme) {
    this.material.color.set(theme.paint.grid);
  }
}

const shown = (value) => `${+value.toFixed(6)}`.replace("-", "\u2212");

/** Where a polygon crosses the line on which coordinate `k` has a value: the other coordinate and the height, in order. */
function crossingsOf(corners, k, value) {
  const found = [];
  corners.forEach((a, n) => {
    const b = corners[(n + 1) % corners.length];
    if (a[k] > value === b[k] > value) return;
    const share = (value - a[k]) / (b[k] - a[k]);
    found.push([a[1 - k] + share * (b[1 - k] - a[1 - k]), a[2] + share * (b[2] - a[2])]);
  });
  return found.sort((a, b) => a[0] - b[0]);
}

/** Arrows for x, y and z in a corner of the window, as the camera sees them. */
export class Axes {
  constructor(layer, words) {
    const holder = layer.appendChild(document.createElement("div"));
    holder.className = "axes";
    const svg = holder.appendChild(make("svg", { viewBox: "-36 -36 72 72", width: 72, height: 72 }));
    this.holder = holder;
    this.arrows = ["x", "y", "z"].map((name) => ({
      line: svg.appendChild(make("path", {})),
      letter: svg.appendChild(make("text", { "text-anchor": "middle" }, name)),
    }));
    holder.append(words);
  }

  /** The box it takes, in pixels of a window of this height. */
  box(height) {
    return { x: 42, y: height - 48, width: 84, height: 96 };
  }

  turn(camera) {
    const back = camera.quaternion.clone().invert();
    this.arrows.forEach(({ line, letter }, k) => {
      const way = new Vector3().setComponent(k, 1).applyQuaternion(back);
      const [x, y] = [22 * way.x, -22 * way.y];
      const long = Math.hypot(x, y) || 1;
      const [u, v] = [x / long, y / long];
      const head = long > 5 ? `M${x - 5 * u + 3 * v} ${y - 5 * v - 3 * u}L${x} ${y}L${x - 5 * u - 3 * v} ${y - 5 * v + 3 * u}` : "";
      line.setAttribute("d", `M0 0L${x} ${y}${head}`);
      letter.setAttribute("x", x + 8 * u);
      letter.setAttribute("y", y + 8 * v + 4);
    });
  }
}
