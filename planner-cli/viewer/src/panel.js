// The words beside the view: what happens now and why it holds, and the bonds one by one.
import { legend as legendOfMoves } from "./moves.js";
import { colourOf, legend } from "./scale.js";
import { standAt } from "./poses.js";
import { spanAt } from "./sheet.js";
import { leastBalance, whatFor, whatNext, whichPhase } from "./walk.js";
import { bondWords, howDriven, ifOneFails, nameOf, partOf, whereBalanced, whichGap, whoMoves, whyHolds } from "./words.js";

export class Panel {
  constructor(sheet, root) {
    this.sheet = sheet;
    this.theme = null;
    this.now = root.querySelector("#now-text");
    [this.phase, this.purpose, this.next] = ["#phase", "#what-for", "#next-phase"].map((id) => root.querySelector(id));
    this.spoken = root.querySelector("#now-spoken");
    this.least = leastBalance(sheet);
    this.uses = root.querySelector("#uses");
    this.shells = root.querySelector("#shells");
    root.querySelector("#moves").append(...legendOfMoves(sheet).map(item));
    this.rows = sheet.modules.map((_, index) => this.row(index));
    root.querySelector("#bonds tbody").append(...this.rows.map((row) => row.line));
  }

  row(index) {
    const line = document.createElement("tr");
    const cells = ["th", "td", "td", "td"].map((kind) => line.appendChild(document.createElement(kind)));
    cells[0].scope = "row";
    cells[0].textContent = partOf(this.sheet, index);
    const bar = document.createElement("span");
    bar.className = "bar";
    const fill = bar.appendChild(document.createElement("span"));
    const words = document.createElement("span");
    cells[3].append(bar, words);
    return { line, on: cells[1], hold: cells[2], fill, words };
  }

  paint(theme) {
    this.theme = theme.name;
    const uses = legend(this.sheet.limits.utilisation, theme.name).map(({ colour, words }) => [swatch(colour), words]);
    this.uses.replaceChildren(...uses.map(item));
    const { shell, mover, carried, stuck } = theme.paint;
    const shells = [[shell, "stands", true], [mover, "moves", this.sheet.is_plan], [carried, "is carried", this.sheet.is_plan], [stuck, "cannot move by itself", this.sheet.modules.some((module) => module.stuck)]];
    const ways = this.sheet.is_plan ? [item([swatch(theme.paint.way), "arrow and ghost: where it goes"])] : [];
    this.shells.replaceChildren(...shells.filter(([, , shown]) => shown).map(([colour, words]) => item([swatch(colour), words])), ...ways);
  }

  show(t, crew, figures, clusters, isStill) {
    const { sheet } = this;
    this.phase.textContent = whichPhase(sheet, t, clusters);
    this.purpose.textContent = whatFor(sheet, t, figures);
    this.next.textContent = whatNext(sheet, t);
    const moves = whoMoves(sheet, figures);
    const reasons = [
      whyHolds(sheet, figures), howDriven(sheet, figures), whichGap(sheet, figures), this.balance(figures, clusters), ifOneFails(sheet, t),
    ].filter(Boolean);
    const lines = [...moves, ...reasons];
    this.now.replaceChildren(...lines.map((line, index) => {
      const element = document.createElement(index < moves.length ? "h2" : "p");
      element.textContent = line;
      if (moves.length > 1) element.classList.add("many");
      return element;
    }));
    // What is read aloud: once for each step, and whenever somebody stops or jumps, not sixty times a second.
    const key = figures.steps.join();
    if (isStill || key !== this.key) this.spoken.textContent = lines.join(" ");
    this.key = key;
    const limit = sheet.limits.utilisation;
    figures.bonds.forEach((bond, index) => {
      const row = this.rows[index];
      const isWorst = figures.marked === index;
      const [on, hold] = this.standing(index, bond, crew, figures);
      const looks = { on, hold, words: bondWords(bond), width: `${Math.min(100, Math.max(0, bond.used ?? 0) * 100)}%`, colour: colourOf(bond, limit, this.theme), isWorst };
      const key = Object.values(looks).join("|");
      // Most rows of a large crew stay as they are.
      if (row.key === key) return;
      row.key = key;
      [row.on.textContent, row.hold.textContent, row.words.textContent] = [on, hold, looks.words];
      row.fill.style.width = looks.width;
      row.fill.style.background = looks.colour;
      row.line.classList.toggle("worst", isWorst);
    });
  }

  /** What a module stands on and how; both hosts while it goes over from one to the other. */
  standing(index, bond, crew, figures) {
    const { sheet } = this;
    if (bond.host === null) return ["the air", "lifted"];
    const { on, braced } = crew.stands[index];
    const over = spanAt(sheet, index, figures.t).steps.map((number) => sheet.steps[number]).find(({ module, move }) => module === index && ["hop", "cross"].includes(move));
    if (over) return [`${nameOf(sheet, on)} \u2192 ${nameOf(sheet, standAt(sheet.modules[index], over.to).on)}`, over.move === "hop" ? "hopping" : "crossing"];
    return [nameOf(sheet, bond.host), braced ? "\u25C9 braced" : "\u2016 rolling"];
  }

  balance(figures, clusters) {
    const words = whereBalanced(this.sheet, figures, clusters);
    return words && `${words} ${this.least}`;
  }
}

function item([sign, words]) {
  const element = document.createElement("li");
  element.append(sign, words);
  return element;
}

function swatch(colour) {
  const element = document.createElement("span");
  element.className = "swatch";
  element.style.background = colour;
  return element;
}
