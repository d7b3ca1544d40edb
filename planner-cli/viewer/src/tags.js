// Names and figures over the view, as text of the page.
import { nearestOnDeck } from "./hull.js";
import { bondWords, millimetres } from "./words.js";
import { add, minus, norm } from "./poses.js";

export class Tags {
  constructor(sheet, stage, layer, site) {
    Object.assign(this, { sheet, stage, layer, site });
    this.modules = sheet.modules.map((module) => this.tag("tag", module.name));
    this.slots = sheet.slots.map((slot) => this.tag("tag ghost", slot.name));
    this.decks = sheet.decks.map((deck) => this.tag("tag deck", deckWords(sheet, deck)));
    this.gap = this.tag("tag gap", "");
    this.staff = this.tag("tag deck", `${+site.staffLength.toPrecision(3)}\u00a0m`);
    this.options = { figures: true, goal: true };
    stage.onDraw(() => this.place());
  }

  tag(kind, text) {
    const element = document.createElement("span");
    element.className = kind;
    element.textContent = text;
    this.layer.append(element);
    return element;
  }

  show(crew, figures, marks) {
    Object.assign(this, { crew, figures, marks });
    const movers = figures.steps.map((index) => this.sheet.steps[index].module);
    figures.bonds.forEach((bond, index) => {
      const { name, stuck } = this.sheet.modules[index];
      const words = this.options.figures && bond.used !== null ? ` ${bondWords(bond)}` : "";
      const tag = this.modules[index];
      tag.textContent = `${name}${stuck ? " (stuck)" : ""}${words}`;
      tag.classList.toggle("moves", movers.includes(index));
      tag.classList.toggle("worst", figures.worst?.module === index);
    });
    this.gap.textContent = figures.gap ? millimetres(figures.gap.width) : "";
  }

  /** What must be seen comes first; what finds its place taken steps aside. */
  place() {
    if (!this.crew) return;
    const taken = [];
    const put = (element, point, visible = true) => {
      let at = visible && point ? this.stage.project(point) : null;
      // What is well outside the window has no tag in it.
      if (at && (at[0] < -60 || at[1] < -60 || at[0] > this.stage.width + 60 || at[1] > this.stage.height + 60)) at = null;
      element.hidden = !at;
      if (!at) return;
      const { width, height } = sizeOf(element);
      const inside = (v, size, room) => Math.min(room - size / 2 - 2, Math.max(size / 2 + 2, v));
      const boxAt = ([dx, dy]) => ({
        x: inside(at[0] + dx * width, width, this.stage.width),
        y: inside(at[1] + dy * height, height, this.stage.height),
        width,
        height,
      });
      // The place it had before is tried before all others but the middle, so that tags do not dance.
      const tries = [ASIDE[0], ASIDE[element.aside ?? 0], ...ASIDE];
      const free = tries.map(boxAt).findIndex((box) => !taken.some((other) => overlap(box, other)));
      const chosen = free < 0 ? ASIDE[0] : tries[free];
      element.aside = ASIDE.indexOf(chosen);
      const box = boxAt(chosen);
      taken.push(box);
      element.style.transform = `translate(-50%, -50%) translate(${box.x.toFixed(1)}px, ${box.y.toFixed(1)}px)`;
    };
    const eye = this.stage.camera.position.toArray();
    const near = this.crew.poses
      .map(({ position }, index) => ({ position, index, far: norm(minus(position, eye)) }))
      .sort((a, b) => a.far - b.far);
    put(this.gap, this.marks.gapAt, Boolean(this.marks.gapAt) && this.figures.gap.width < 0.06 * this.sheet.unit);
    for (const { position, index } of near) put(this.modules[index], position);
    this.slots.forEach((tag, index) => put(tag, this.sheet.slots[index].position, this.options.goal && !this.site.filled[index]));
    this.decks.forEach((tag, index) => put(tag, deckPoint(this.sheet, index, this.stage, this.crew, tag)));
    put(this.staff, add(this.site.staffEnd, [0.03 * this.sheet.unit, 0, 0]));
  }
}

function deckWords(sheet, deck) {
  const gather = sheet.gather && sheet.decks[sheet.gather.deck] === deck ? `: ${sheet.gather.count} to gather here` : "";
  const traits = [deck.ferrous && "steel", deck.sealable && "sealable"].filter(Boolean).join(", ");
  return `${deck.name}${traits ? ` (${traits})` : ""}${gather}`;
}

/** A point of the deck near the crew, where its name stands: one that is in the window, not under a higher
 * deck and, if possible, not before a shell. */
function deckPoint(sheet, index, stage, crew, tag) {
  const { low, high } = stage.extent;
  const deck = sheet.decks[index];
  const xs = deck.outline.map((p) => p[0]);
  const ys = deck.outline.map((p) => p[1]);
  const { unit } = sheet;
  const clamp = (v, list) => Math.min(Math.max(...list) - 0.05 * unit, Math.max(Math.min(...list) + 0.05 * unit, v));
  const corners = [
    [low[0], low[1] - 0.06 * unit], [high[0], high[1] + 0.06 * unit], [high[0] + 0.1 * unit, low[1]], [low[0] - 0.1 * unit, high[1]],
  ];
  const points = corners.map(([x, y]) => [clamp(x, xs), clamp(y, ys), deck.top]);
  const covered = (p) => sheet.decks.some((other) => other.top > deck.top && nearestOnDeck(other, p).slice(0, 2).every((v, k) => v === p[k]));
  const seen = (p) => {
    const [x, y] = stage.project(p) ?? [-1, -1];
    return x > 40 && y > 10 && x < stage.width - 40 && y < stage.height - 10;
  };
  const { width, height } = tag.hidden ? { width: 150, height: 16 } : sizeOf(tag);
  const clear = (p) => crew.poses.every(({ position }, module) => {
    const [at, shell] = [stage.project(p), stage.project(position)];
    const radius = stage.pixels(position, sheet.kinds[sheet.modules[module].kind].shell);
    return !at || !shell || Math.abs(at[0] - shell[0]) > radius + width / 2 || Math.abs(at[1] - shell[1]) > radius + height / 2;
  });
  const open = points.filter((p) => !covered(p));
  const inWindow = open.filter(seen);
  return inWindow.find(clear) ?? inWindow[0] ?? open[0] ?? points[0];
}

/** Where a tag may stand, in its own widths and heights from its point. */
const ASIDE = [[0, 0], [0, -1.05], [0, 1.05], [0.7, -0.7], [-0.7, -0.7], [0.7, 0.7], [-0.7, 0.7], [0, -2.1], [0, 2.1], [1, 0], [-1, 0], [0, -3.1], [0, 3.1]];

const overlap = (a, b) => Math.abs(a.x - b.x) * 2 < a.width + b.width && Math.abs(a.y - b.y) * 2 < a.height + b.height;

/** Measured once for every text it has. */
function sizeOf(element) {
  if (element.measured !== element.textContent) {
    element.measured = element.textContent;
    element.size = { width: element.offsetWidth, height: element.offsetHeight };
  }
  return element.size;
}
