// Stills for print: the start, the ends of steps spread over the plan, the end; each with its words.
import { figuresAt } from "./figures.js";
import { seconds, whoMoves, whyHolds } from "./words.js";

const STILLS = 9;
const [WIDTH, HEIGHT] = [640, 420];

export function storyboard(sheet, stage, holder, showAt) {
  if (!sheet.is_plan) {
    holder.replaceChildren(still(stage, "As it stands, with the goal as ghosts."));
    return;
  }
  // Short steps (braces, small turns) make poor pictures: the longest ones are shown half-way.
  const longest = sheet.steps.map((step, index) => ({ index, t: (step.from + step.to) / 2, length: step.to - step.from }))
    .filter(({ length }) => length > 0)
    .sort((a, b) => b.length - a.length || a.index - b.index)
    .slice(0, STILLS - 2)
    .sort((a, b) => a.t - b.t);
  const instants = [0, ...longest.map(({ t }) => t), sheet.end_s];
  holder.replaceChildren(...instants.map((t) => {
    showAt(t);
    const figures = figuresAt(sheet, t);
    const moves = figures.steps.length ? `${whoMoves(sheet, figures)} ` : t === 0 ? "Start. " : "End. ";
    return still(stage, `${seconds(t)}: ${moves}${whyHolds(sheet, figures)}`);
  }));
}

function still(stage, words) {
  stage.draw();
  const figure = document.createElement("figure");
  const picture = figure.appendChild(document.createElement("canvas"));
  [picture.width, picture.height] = [WIDTH * 2, HEIGHT * 2];
  picture.getContext("2d").drawImage(stage.canvas, 0, 0, picture.width, picture.height);
  const caption = figure.appendChild(document.createElement("figcaption"));
  caption.textContent = words;
  return figure;
}

/** Makes the stills before a page is printed, on light ground, and puts everything back after. */
export function printStills(sheet, stage, theme, holder, showAt, current) {
  let before = null;
  addEventListener("beforeprint", () => {
    before = { theme: theme.chosen, width: stage.width, height: stage.height, t: current(), eye: stage.camera.position.clone(), target: stage.controls.target.clone() };
    theme.use("light");
    stage.size(WIDTH, HEIGHT, 2);
    stage.frameAll();
    storyboard(sheet, stage, holder, showAt);
  });
  addEventListener("afterprint", () => {
    if (!before) return;
    theme.use(before.theme);
    stage.size(before.width, before.height, Math.min(2, devicePixelRatio));
    stage.camera.position.copy(before.eye);
    stage.controls.target.copy(before.target);
    stage.controls.update();
    showAt(before.t);
    holder.replaceChildren();
    before = null;
  });
}
