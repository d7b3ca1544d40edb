// Reads the sheet in the page and brings it to life.
import { Clock } from "./clock.js";
import { Controls } from "./controls.js";
import { Panel } from "./panel.js";
import { Theme } from "./theme.js";
import { Timeline } from "./timeline.js";
import { View } from "./view.js";
import { readSheet } from "./sheet.js";
import { clustersAt, crewAt, figuresAt } from "./figures.js";

const sheet = readSheet(document.getElementById("sheet").textContent);
const theme = new Theme();
const clock = new Clock(sheet.end_s);
const panel = new Panel(sheet, document);
const timeline = sheet.is_plan ? new Timeline(sheet, document.getElementById("timeline"), clock) : null;
const rows = new Map([...document.querySelectorAll("#steps tr[data-step]")].map((row) => [Number(row.dataset.step), row]));
let shown = [];

const view = makeView();
if (view) theme.onChange(() => view.paint(theme));
theme.onChange(() => panel.paint(theme));
theme.onChange(() => show(clock.t, "paint"));

function makeView() {
  try {
    return new View(sheet, theme, document.getElementById("canvas"), document.getElementById("tags"));
  } catch (error) {
    // Without WebGL the words, the timeline and the tables still work.
    document.getElementById("no-view").hidden = false;
    document.body.classList.add("no-view");
    return null;
  }
}

function show(t, why) {
  const figures = figuresAt(sheet, t);
  const crew = crewAt(sheet, t);
  const clusters = clustersAt(sheet, figures.spans, crew);
  view?.show({ t, crew, figures, clusters }, why);
  panel.show(t, crew, figures, clusters, !clock.playing && why !== "paint");
  timeline?.show(t, figures.steps);
  if (shown.join() !== figures.steps.join()) {
    for (const index of shown) rows.get(index)?.removeAttribute("aria-current");
    for (const index of figures.steps) rows.get(index)?.setAttribute("aria-current", "step");
    shown = figures.steps;
  }
}

const nothing = { theme, frameAll() {}, orbit() {}, option() {} };
const controls = new Controls(sheet, clock, view ? { theme, frameAll: () => view.frameAll(), print: () => view.print(), orbit: (...turn) => view.orbit(...turn), option } : nothing);

function option(name, value) {
  view.option(name, value);
  show(clock.t, "paint");
}

clock.onChange(show);
theme.apply();
view?.prints(document.getElementById("stills"), (t) => show(t, "paint"), () => clock.t);
clock.seek(0);

/** For programs that drive the page: an instant, and where the things on the stage are, read from the stage itself. */
window.clamber = {
  sheet,
  clock,
  figures: (t) => figuresAt(sheet, t),
  clusters: (t) => clustersAt(sheet, figuresAt(sheet, t).spans, crewAt(sheet, t)),
  placed: () => sheet.modules.map((_, index) => view.bodies.placed(index)),
  onCanvas: (point) => view.stage.project(point),
  orbit: (...turn) => view.orbit(...turn),
  rests: () => view.sight.cells !== null,
  controls,
};
