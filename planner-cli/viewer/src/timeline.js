// The plan from left to right: the worst bond as a curve, below it one row for each module. Bars are steps, a line below them is a braced
// cup; letter, colour and texture say which move.
import { MOVES, STRIP, textures } from "./moves.js";
import { make } from "./svg.js";
import { worstOver } from "./curve.js";
import { seconds } from "./words.js";

const ROW = 26;
const CURVE = 54;
const AXIS = 22;
/** Height of the band of phases, where there are any. */
const BAND = 18;
/** There is room for words at both ends of the curve. */
const WIDE = 560;

export class Timeline {
  constructor(sheet, root, clock) {
    Object.assign(this, { sheet, root, clock });
    this.names = root.querySelector("#rows");
    this.holder = root.querySelector("#tracks");
    this.top = CURVE + (sheet.phases.length ? BAND : 0);
    this.names.style.paddingTop = `${this.top}px`;
    this.names.append(...sheet.modules.map((module) => {
      const name = document.createElement("div");
      name.textContent = module.name;
      name.style.height = `${ROW}px`;
      return name;
    }));
    this.holder.addEventListener("pointerdown", (event) => this.drag(event));
    new ResizeObserver(() => this.draw()).observe(this.holder);
  }

  get height() {
    return this.top + this.sheet.modules.length * ROW + AXIS;
  }

  x(t) {
    return (t / (this.sheet.end_s || 1)) * this.width;
  }

  draw() {
    this.width = Math.max(this.holder.clientWidth - 2, 2);
    if (this.width < 10) return;
    const svg = make("svg", { width: this.width, height: this.height, viewBox: `0 0 ${this.width} ${this.height}`, "aria-hidden": "true" });
    svg.append(textures());
    this.axis(svg);
    this.curve(svg);
    this.strip(svg);
    this.band(svg);
    this.sheet.modules.forEach((module, index) => this.holds(svg, module, index));
    this.bars = this.sheet.steps.map((step, index) => this.bar(svg, step, index));
    this.head = svg.appendChild(make("line", { class: "head", y1: 0, y2: this.height - AXIS + 4 }));
    this.holder.replaceChildren(svg);
    this.show(this.clock.t, []);
  }

  axis(svg) {
    const least = 56; // pixels between two marks
    const wanted = (this.sheet.end_s * least) / this.width;
    const power = 10 ** Math.floor(Math.log10(wanted || 1));
    const step = [1, 2, 5, 10].map((k) => k * power).find((k) => k >= wanted);
    for (let t = 0; t <= this.sheet.end_s + 1e-9; t += step) {
      const x = this.x(t);
      svg.append(make("line", { class: "grid", x1: x, x2: x, y1: 0, y2: this.height - AXIS }));
      const anchor = x < 12 ? "start" : x > this.width - 14 ? "end" : "middle";
      svg.append(make("text", { x, y: this.height - 6, "text-anchor": anchor }, `${+t.toFixed(6)} s`));
    }
    this.sheet.modules.forEach((_, index) => {
      const y = this.top + (index + 1) * ROW;
      svg.append(make("line", { class: "grid", x1: 0, x2: this.width, y1: y, y2: y }));
    });
  }

  /** Use of the worst bond, with what is allowed as a line. */
  curve(svg) {
    const { utilisation: limit } = this.sheet.limits;
    const columns = Math.max(2, Math.round(this.width));
    const worst = worstOver(this.sheet, columns);
    const most = worst.reduce((a, b) => Math.max(a, b), limit * 1.15);
    const y = (used) => CURVE - 8 - (used / most) * (CURVE - 14);
    const step = this.width / columns;
    const path = [...worst].map((used, k) => `${k ? "L" : "M"}${((k + 0.5) * step).toFixed(1)} ${y(used).toFixed(1)}`).join("");
    svg.append(make("path", { class: "area", d: `${path}L${this.width} ${y(worst.at(-1)).toFixed(1)}V${CURVE - 8}H0V${y(worst[0]).toFixed(1)}Z` }), make("path", { class: "curve", d: path }));
    svg.append(make("line", { class: "limit", x1: 0, x2: this.width, y1: y(limit), y2: y(limit) }));
    svg.append(make("text", { class: "limit-text", x: 4, y: y(limit) - 3 }, `worst bond, ${Math.round(limit * 100)} % allowed`));
    const fails = this.sheet.survival.some(({ verdict }) => ["falls", "not_proven"].includes(verdict));
    if (fails && this.width > WIDE) svg.append(make("text", { class: "limit-text", x: this.width - 4, y: y(limit) - 3, "text-anchor": "end" }, "red strip: one failure may bring modules down"));
  }

  /** Whether the crew survives any one failure: the higher, the worse. */
  strip(svg) {
    for (const { from, to, verdict, words } of this.sheet.survival ?? []) {
      const height = STRIP[verdict];
      const x = this.x(from);
      const piece = make("rect", { class: `strip ${verdict}`, x, y: CURVE - 1 - height, width: Math.max(this.x(to) - x, 0.5), height });
      piece.append(make("title", {}, `${words}, ${seconds(from)} to ${seconds(to)}`));
      svg.append(piece);
    }
  }

  /** What the crew is at: strides are dark, and numbered as far as there is room. */
  band(svg) {
    const { phases } = this.sheet;
    const short = { form: "form", settle: "settle", make_ready: "ready", come_apart: "apart", leave: "go" };
    phases.forEach(({ from, to, kind, stride, words }, index) => {
      const [x, width] = [this.x(from), Math.max(this.x(to) - this.x(from), 1)];
      const group = svg.appendChild(make("g", {}));
      group.append(make("rect", { class: `phase ${kind}`, x, y: CURVE, width, height: BAND - 3 }));
      group.append(make("title", {}, `${words}, ${seconds(from)} to ${seconds(to)}`));
      // The number of a stride stands where its legs are set, as far as there is room; others have their words.
      const [left, right] = kind === "set" ? [x, this.x(phases[index + 1]?.to ?? to)] : [x, x + width];
      const text = (stride === undefined ? [words, words.split(": ").at(-1), kind.replace("_", " "), short[kind]] : kind === "set" ? [`stride ${stride}`, String(stride)] : []).find((each) => each.length * 6 + 4 < right - left);
      if (text) group.append(make("text", { class: `phase-text ${kind}`, x: (width > text.length * 6 + 4 ? x + width / 2 : (left + right) / 2), y: CURVE + 11.5, "text-anchor": "middle" }, text));
    });
  }

  holds(svg, module, index) {
    module.stands.forEach((stand, k) => {
      if (!stand.braced) return;
      const to = module.stands[k + 1]?.from ?? this.sheet.end_s;
      const y = this.top + (index + 1) * ROW - 3.5;
      svg.append(make("line", { class: "braced", x1: this.x(stand.from), x2: this.x(to), y1: y, y2: y }));
    });
  }

  bar(svg, step, index) {
    const x = this.x(step.from);
    const width = Math.max(2, this.x(step.to) - x);
    const y = this.top + step.module * ROW + 3;
    const group = make("g", { class: "bar" });
    group.append(make("rect", { x, y, width, height: ROW - 10, rx: step.move === "hop" ? 8 : 1.5, class: `move ${step.move}` }));
    if (width > 10) group.append(make("text", { x: x + width / 2, y: y + 12, "text-anchor": "middle", class: `letter ${step.move}` }, MOVES[step.move]));
    group.append(make("title", {}, `${index}. ${this.sheet.modules[step.module].name} ${step.phrase}, ${seconds(step.from)} to ${seconds(step.to)}`));
    return svg.appendChild(group);
  }

  show(t, steps) {
    if (!this.head) return;
    const x = this.x(t);
    this.head.setAttribute("x1", x);
    this.head.setAttribute("x2", x);
    for (const index of this.now ?? []) this.bars[index].classList.remove("now");
    for (const index of steps) this.bars[index].classList.add("now");
    this.now = steps;
    const { scrollLeft, clientWidth } = this.root;
    if (this.clock.playing && (x < scrollLeft || x > scrollLeft + clientWidth - 60)) this.root.scrollLeft = x - 40;
  }

  drag(event) {
    const seek = (e) => {
      const box = this.holder.getBoundingClientRect();
      this.clock.seek(((e.clientX - box.left) / this.width) * this.sheet.end_s);
    };
    if (event.pointerType === "touch") {
      // A finger may want to scroll the row; only a tap seeks.
      this.holder.addEventListener("click", seek, { once: true });
      return;
    }
    seek(event);
    const move = (e) => seek(e);
    addEventListener("pointermove", move);
    addEventListener("pointerup", () => removeEventListener("pointermove", move), { once: true });
  }
}
