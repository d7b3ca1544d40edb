// Stills for print: the start, the ends of steps spread over the plan, the end; each with its words.
import { figuresAt } from "./figures.js";
import { poseAt } from "./poses.js";
import { seconds, whoMoves, whyHolds } from "./words.js";

const STILLS = 9;
const [WIDTH, HEIGHT] = [640, 420];

export function storyboard(sheet, stage, holder, showAt) {
  if (!sheet.is_plan) {
    holder.replaceChildren(still(stage, names(sheet, 0), "As it stands, with the goal as ghosts."));
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
    const moves = t === 0 ? "Start." : t === sheet.end_s ? "End." : whoMoves(sheet, figures).join(" ");
    return still(stage, names(sheet, t), `${seconds(t)}: ${moves} ${whyHolds(sheet, figures)}`);
  }));
}

/** Where every name stands, and whether its module moves. */
function names(sheet, t) {
  return sheet.modules.map((module) => {
    const { position, leg } = poseAt(module, t);
    return { name: module.name, position, moves: leg !== null };
  });
}

function still(stage, tags, words) {
  stage.draw();
  const figure = document.createElement("figure");
  const picture = document.createElement("canvas");
  [picture.width, picture.height] = [WIDTH * 2, HEIGHT * 2];
  const pen = picture.getContext("2d");
  pen.drawImage(stage.canvas, 0, 0, picture.width, picture.height);
  pen.scale(2, 2);
  pen.font = "600 15px sans-serif";
  pen.textAlign = "center";
  pen.textBaseline = "middle";
  for (const { name, position, moves } of tags) {
    const at = stage.project(position);
    if (!at) continue;
    const width = pen.measureText(name).width + 8;
    pen.fillStyle = moves ? "#f0bf4a" : "#fbf8f0dd";
    pen.fillRect(at[0] - width / 2, at[1] - 10, width, 20);
    pen.fillStyle = "#16202a";
    pen.fillText(name, ...at);
  }
  // As an image: a canvas that is laid out anew for paper keeps the size it had on the screen.
  const image = figure.appendChild(new Image());
  image.decoding = "sync";
  image.alt = "";
  image.src = picture.toDataURL();
  const caption = figure.appendChild(document.createElement("figcaption"));
  caption.textContent = words;
  return figure;
}

/** Makes the stills before a page is printed, on light ground, and puts everything back after. Returns what prints at leisure. */
export function printStills(sheet, stage, theme, holder, showAt, current) {
  let before = null;
  const prepare = () => {
    if (before) return;
    before = { theme: theme.chosen, t: current(), eye: stage.camera.position.clone(), target: stage.controls.target.clone() };
    theme.use("light");
    stage.size(WIDTH, HEIGHT, 2);
    stage.frameAll();
    storyboard(sheet, stage, holder, showAt);
  };
  addEventListener("beforeprint", prepare);
  addEventListener("afterprint", () => {
    if (!before) return;
    theme.use(before.theme);
    stage.resize();
    stage.camera.position.copy(before.eye);
    stage.controls.target.copy(before.target);
    stage.controls.update();
    showAt(before.t);
    holder.replaceChildren();
    before = null;
  });
  return async () => {
    prepare();
    await Promise.all([...holder.querySelectorAll("img")].map((image) => image.decode()));
    print();
  };
}
