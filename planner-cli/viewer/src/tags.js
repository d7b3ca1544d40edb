// Names and figures over the view, as text of the page.
import { bondWords, millimetres } from "./words.js";
import { add, rotate } from "./poses.js";

export class Tags {
  constructor(sheet, stage, layer, site) {
    Object.assign(this, { sheet, stage, layer, site });
    this.modules = sheet.modules.map((module) => this.tag("tag", module.name));
    this.slots = sheet.slots.map((slot) => this.tag("tag ghost", slot.name));
    this.decks = sheet.decks.map((deck) => this.tag("tag deck", deckWords(sheet, deck)));
    this.gap = this.tag("tag gap", "");
    this.staff = this.tag("tag deck", "0.5\u00a0m");
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

  place() {
    if (!this.crew) return;
    const put = (element, point, visible = true) => {
      const at = visible && point ? this.stage.project(point) : null;
      element.hidden = !at;
      if (at) element.style.transform = `translate(-50%, -50%) translate(${at[0].toFixed(1)}px, ${at[1].toFixed(1)}px)`;
    };
    this.modules.forEach((tag, index) => {
      const { position, orientation } = this.crew.poses[index];
      put(tag, add(position, rotate(orientation, [0, 0, 0.002])));
    });
    this.slots.forEach((tag, index) => {
      const taken = this.crew.poses.some(({ position }) => Math.hypot(...position.map((v, k) => v - this.sheet.slots[index].position[k])) < 0.03);
      put(tag, this.sheet.slots[index].position, this.options.goal && !taken);
    });
    this.decks.forEach((tag, index) => put(tag, deckPoint(this.sheet.decks[index], this.stage.extent)));
    put(this.gap, this.marks.gapAt, Boolean(this.figures.gap) && this.figures.gap.width < 0.06);
    put(this.staff, this.site.staffEnd && add(this.site.staffEnd, [0.045, 0, 0]));
  }
}

function deckWords(sheet, deck) {
  const gather = sheet.gather && sheet.decks[sheet.gather.deck] === deck ? `: ${sheet.gather.count} to gather here` : "";
  const traits = [deck.ferrous && "steel", deck.sealable && "sealable"].filter(Boolean).join(", ");
  return `${deck.name}${traits ? ` (${traits})` : ""}${gather}`;
}

/** A point of the deck near the crew and near its back edge, where its name stands. */
function deckPoint(deck, { low, high }) {
  const xs = deck.outline.map((p) => p[0]);
  const ys = deck.outline.map((p) => p[1]);
  const clamp = (v, list, inset) => Math.min(Math.max(...list) - inset, Math.max(Math.min(...list) + inset, v));
  const inset = 0.04;
  return [clamp(low[0] + 0.03, xs, inset), clamp(high[1] + 0.1, ys, inset), deck.top];
}
