// Names and figures over the view, as text of the page.
import { bondWords, millimetres } from "./words.js";
import { minus, norm } from "./poses.js";

/** Shells smaller than this on the screen, in pixels of their radius, have their names without figures, unless it is the worst bond. */
const SMALL = 24;
/** Shells smaller than this have no names, unless it is the worst bond: there is no room for them. */
const TINY = 5;
/** What is farther outside the window than half of this, in pixels, has no name in it. */
const WELL = 120;
/** Names of decks keep so many radii off the middle of a shell, for its foot too. */
const CLEAR = 1.25;

export class Tags {
  constructor({ sheet, stage, site, sight, grid, axes }, layer) {
    Object.assign(this, { sheet, stage, site, sight, grid, axes, layer });
    this.modules = sheet.modules.map((module) => this.tag("tag", module.name));
    this.slots = sheet.slots.map((slot) => this.tag("tag ghost", slot.name));
    this.decks = sheet.decks.map((deck) => this.tag("tag deck", deckWords(sheet, deck)));
    this.numbers = grid.labels.map(({ words }) => this.tag("tag number", words));
    this.gap = this.tag("tag gap", "");
    this.options = { figures: true, goal: true, grid: true };
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
    const movers = new Set(figures.steps.map((index) => this.sheet.steps[index].module));
    this.modules.forEach((tag, index) => {
      tag.classList.toggle("moves", movers.has(index));
      tag.classList.toggle("worst", figures.marked === index);
    });
    this.gap.textContent = figures.gap ? millimetres(figures.gap.width) : "";
  }

  moduleWords(index, radius) {
    const { name, stuck } = this.sheet.modules[index];
    const bond = this.figures.bonds[index];
    const room = radius >= SMALL || this.figures.marked === index;
    return `${name}${stuck ? " (stuck)" : ""}${this.options.figures && room && bond.used !== null ? ` ${bondWords(bond)}` : ""}`;
  }

  /** What must be seen comes first; what finds its place taken steps aside, and what finds none is left out unless it must be seen. */
  place() {
    if (!this.crew) return;
    const { stage } = this;
    const taken = this.options.grid ? [this.axes.box(stage.height)] : [];
    const put = (element, box) => {
      element.hidden = !box;
      if (!box) return;
      taken.push(box);
      element.style.transform = `translate(-50%, -50%) translate(${box.x.toFixed(1)}px, ${box.y.toFixed(1)}px)`;
    };
    const isFree = (box) => !taken.some((other) => overlap(box, other));
    const shells = this.crew.poses.map(({ position }, index) => {
      const at = stage.project(position);
      const radius = stage.pixels(position, this.sheet.kinds[this.sheet.modules[index].kind].shell);
      return { index, position, at, radius };
    });
    const isClear = (box) => isFree(box) && !shells.some(({ at, radius }) => at && covers(box, at, CLEAR * radius));

    put(this.gap, this.options.figures && this.marks.gapAt && this.figures.gap.width < 0.06 * this.sheet.unit && this.aside(this.gap, stage.project(this.marks.gapAt), isFree, true));
    const eye = stage.camera.position.toArray();
    // Where shells are small, only names that matter may cover them; the others come last.
    const late = [];
    for (const { index, at, radius } of shells.sort((a, b) => norm(minus(a.position, eye)) - norm(minus(b.position, eye)))) {
      const tag = this.modules[index];
      if (radius < TINY && this.figures.marked !== index) {
        tag.hidden = true;
        continue;
      }
      tag.textContent = this.moduleWords(index, radius);
      if (radius < SMALL && !tag.classList.contains("moves") && !tag.classList.contains("worst")) late.push([tag, at]);
      else put(tag, this.aside(tag, at, isFree, true));
    }
    this.slots.forEach((tag, index) => {
      const shown = this.options.goal && !this.site.filled[index];
      put(tag, shown && this.aside(tag, stage.project(this.sheet.slots[index].position), isFree, false));
    });
    this.decks.forEach((tag, index) => {
      const { width, height } = sizeOf(tag);
      // Where it stood before, as long as it can.
      const stays = tag.looked === stage.looked && tag.box && isClear(tag.box);
      if (!stays) [tag.box, tag.looked] = [this.sight.boxesOn(index, width, height).find(isClear), stage.looked];
      put(tag, tag.box);
    });
    for (const [tag, at] of late) put(tag, this.aside(tag, at, isClear, false));
    this.grid.labels.forEach(({ places }, index) => {
      const size = sizeOf(this.numbers[index]);
      const boxes = (this.options.grid ? places : []).map(({ deck, point }) => {
        const at = this.inWindow(stage.project(point), size);
        return at && !this.site.hiding.has(deck) && this.sight.sees(deck, at) ? { x: at[0], y: at[1], ...size } : null;
      });
      put(this.numbers[index], boxes.find((box) => box && isClear(grown(box, 3))));
    });
  }

  /** A point of the window around which a box of this size is inside. */
  inWindow(at, { width, height }) {
    return at && Math.abs(2 * at[0] - this.stage.width) < this.stage.width - width && Math.abs(2 * at[1] - this.stage.height) < this.stage.height - height ? at : null;
  }

  /** A box for a tag at a point or beside it; none if its point is well outside the window, or if all is taken and it need not be seen. */
  aside(element, point, isFree, must) {
    const at = this.inWindow(point, { width: -WELL, height: -WELL });
    if (!at) return null;
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
    const chosen = tries.find((way) => isFree(boxAt(way)));
    if (!chosen && !must) return null;
    element.aside = ASIDE.indexOf(chosen ?? ASIDE[0]);
    return boxAt(chosen ?? ASIDE[0]);
  }
}

function deckWords(sheet, deck) {
  const gather = sheet.gather && sheet.decks[sheet.gather.deck] === deck ? `: ${sheet.gather.count} to gather here` : "";
  const traits = [deck.ferrous && "steel", deck.sealable && "sealable"].filter(Boolean).join(", ");
  return `${deck.name}${traits ? ` (${traits})` : ""}${gather}`;
}

/** Where a tag may stand, in its own widths and heights from its point. */
const ASIDE = [[0, 0], [0, -1.05], [0, 1.05], [0.7, -0.7], [-0.7, -0.7], [0.7, 0.7], [-0.7, 0.7], [0, -2.1], [0, 2.1], [1, 0], [-1, 0], [0, -3.1], [0, 3.1]];

const overlap = (a, b) => Math.abs(a.x - b.x) * 2 < a.width + b.width && Math.abs(a.y - b.y) * 2 < a.height + b.height;

const grown = (box, by) => ({ ...box, width: box.width + 2 * by, height: box.height + 2 * by });

/** Whether a box meets a disc. */
function covers(box, [x, y], radius) {
  const [dx, dy] = [Math.max(0, Math.abs(x - box.x) - box.width / 2), Math.max(0, Math.abs(y - box.y) - box.height / 2)];
  return Math.hypot(dx, dy) < radius;
}

/** Measured once for every text it has. */
function sizeOf(element) {
  if (element.measured !== element.textContent) {
    element.measured = element.textContent;
    const { hidden } = element;
    element.hidden = false;
    element.size = { width: element.offsetWidth, height: element.offsetHeight };
    element.hidden = hidden;
  }
  return element.size;
}
