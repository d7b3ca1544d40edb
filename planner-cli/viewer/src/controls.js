// Buttons and keys.
import { seconds } from "./words.js";

const SPEEDS = [0.25, 0.5, 1, 2, 4, 8, 16, 32];
/** Seconds that a plan should take to watch, unless somebody chooses otherwise. */
const WATCH_S = 40;
/** A walk is worth more: its strides are short. */
const WALK_S = 100;

export class Controls {
  constructor(sheet, clock, view) {
    Object.assign(this, { sheet, clock, view });
    const find = (id) => document.getElementById(id);
    this.playButton = find("play");
    this.scrub = find("scrub");
    this.readout = find("readout");
    this.speed = find("speed");
    this.starts = [...new Set([0, ...sheet.steps.map((step) => step.from), sheet.end_s])].sort((a, b) => a - b);
    this.speed.append(...SPEEDS.map((speed) => new Option(`\u00d7\u00a0${speed}`, speed)));
    const fit = SPEEDS.filter((speed) => speed >= 1).find((speed) => sheet.end_s / speed <= (sheet.phases.length ? WALK_S : WATCH_S)) ?? SPEEDS.at(-1);
    this.setSpeed(fit);
    this.scrub.max = sheet.end_s;
    this.scrub.addEventListener("input", () => clock.seek(Number(this.scrub.value)));
    this.speed.addEventListener("change", () => this.setSpeed(Number(this.speed.value)));
    const on = (id, action) => find(id)?.addEventListener("click", action);
    on("play", () => clock.toggle());
    on("previous", () => this.step(-1));
    on("next", () => this.step(1));
    on("frame-all", () => view.frameAll());
    on("theme", () => view.theme.toggle());
    on("print", () => (view.print ? view.print() : print()));
    if (find("follow")) find("follow").checked = sheet.phases.length > 0;
    for (const id of ["follow", "ways", "figures", "balance", "goal", "grid"]) {
      find(id)?.addEventListener("change", (event) => view.option(id, event.target.checked));
    }
    document.querySelector("#steps tbody")?.addEventListener("click", (event) => {
      const row = event.target.closest("tr[data-step]");
      if (row) this.go(Number(row.dataset.step));
    });
    document.querySelector("#findings")?.addEventListener("click", (event) => {
      const { at } = event.target.dataset;
      if (at === undefined) return;
      clock.pause();
      clock.seek(Number(at));
    });
    addEventListener("keydown", (event) => this.key(event));
    clock.onChange((t, why) => this.show(t, why));
  }

  setSpeed(speed) {
    this.clock.speed = speed;
    this.speed.value = speed;
  }

  /** To the start of a step, and no further. */
  go(index) {
    this.clock.pause();
    this.clock.seek(this.sheet.steps[index].from);
    document.getElementById("view").scrollIntoView({ block: "nearest" });
  }

  /** To the next or the last start of a step. */
  step(way) {
    this.clock.pause();
    const { t } = this.clock;
    const next = way > 0 ? this.starts.find((start) => start > t + 1e-6) : this.starts.findLast((start) => start < t - 1e-6);
    if (next !== undefined) this.clock.seek(next);
  }

  key(event) {
    const { target } = event;
    if (event.ctrlKey || event.metaKey || event.altKey) return;
    if (target.matches("select, input[type=text]")) return;
    const turn = Math.PI / 24;
    const keys = {
      " ": () => this.clock.toggle(),
      ArrowRight: () => this.step(1),
      ArrowLeft: () => this.step(-1),
      ".": () => this.nudge(0.1),
      ",": () => this.nudge(-0.1),
      Home: () => this.clock.seek(0),
      End: () => this.clock.seek(this.clock.end),
      "]": () => this.faster(1),
      "[": () => this.faster(-1),
      a: () => this.view.orbit(-turn, 0),
      d: () => this.view.orbit(turn, 0),
      w: () => this.view.orbit(0, -turn),
      s: () => this.view.orbit(0, turn),
      "+": () => this.view.orbit(0, 0, 0.9),
      "-": () => this.view.orbit(0, 0, 1 / 0.9),
      0: () => this.view.frameAll(),
      f: () => document.getElementById("follow")?.click(),
      t: () => this.view.theme.toggle(),
    };
    const needsPlan = [" ", "ArrowRight", "ArrowLeft", ".", ",", "Home", "End", "[", "]"].includes(event.key);
    if (!(event.key in keys) || (needsPlan && !this.sheet.is_plan)) return;
    // A button answers to the space bar by itself, and a slider to arrows in its own way.
    if (event.key === " " && target.matches("button, summary, input, a")) return;
    event.preventDefault();
    keys[event.key]();
  }

  nudge(by) {
    this.clock.pause();
    this.clock.seek(this.clock.t + by);
  }

  faster(way) {
    const at = SPEEDS.indexOf(this.clock.speed) + way;
    if (SPEEDS[at]) this.setSpeed(SPEEDS[at]);
  }

  show(t, why) {
    this.scrub.value = t;
    this.scrub.setAttribute("aria-valuetext", `${t.toFixed(1)} of ${this.sheet.end_s.toFixed(1)} seconds`);
    this.readout.textContent = `${t.toFixed(1)} / ${seconds(this.sheet.end_s)}`;
    if (why === "play" || why === "pause") {
      this.playButton.textContent = this.clock.playing ? "Pause" : "Play";
      this.playButton.setAttribute("aria-pressed", this.clock.playing);
    }
  }
}
