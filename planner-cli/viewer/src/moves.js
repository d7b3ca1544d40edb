// Moves are told apart by letter, texture and colour: blues for what drives and hops, black and white for what cups do. The same in the
// picture that `clamber script --timeline` makes.
import { make } from "./svg.js";

/** Letters of moves. */
export const MOVES = { slide: "S", yaw: "Y", hop: "H", cross: "C", stride: "W", brace: "B", release: "R" };

/** Moves that only some plans have; the legend lists them where they do. */
const RARE = ["cross", "stride"];

/** Heights of the strip that says whether the crew survives any one failure. */
export const STRIP = { stands: 2, uses_margin: 4, not_proven: 6, falls: 6 };

/** The textures that the style of the page names. */
export function textures() {
  const defs = make("defs", {});
  const texture = (name, size, ...marks) => {
    const pattern = defs.appendChild(make("pattern", { id: `texture-${name}`, width: size, height: size, patternUnits: "userSpaceOnUse" }));
    pattern.append(make("rect", { width: size, height: size, class: `${name} under` }), ...marks);
  };
  texture("yaw", 5, make("circle", { cx: 2.5, cy: 2.5, r: 1.4, class: "yaw over" }));
  texture("brace", 6, make("path", { d: "M-1 7L7 -1M-1 1L1 -1M5 7L7 5", class: "brace over" }));
  texture("stride", 6, make("path", { d: "M0 4A3 3 0 0 1 6 4", class: "stride over" }));
  texture("release", 6, make("path", { d: "M-1 -1L7 7M-1 5L1 7M5 -1L7 1", class: "release over" }));
  return defs;
}

/** Items of the legend of moves, for a plan with these steps. */
export function legend({ survival, steps, phases }) {
  const sample = (...marks) => {
    const svg = make("svg", { width: 24, height: 16, viewBox: "0 0 24 16" });
    svg.append(...marks);
    return svg;
  };
  const made = (move) => !RARE.includes(move) || steps.some((step) => step.move === move);
  const moves = Object.entries(MOVES).filter(([move]) => made(move)).map(([move, letter]) => [
    sample(
      make("rect", { x: 1, y: 1, width: 22, height: 14, rx: move === "hop" ? 7 : 1.5, class: `move ${move}` }),
      make("text", { x: 12, y: 12, "text-anchor": "middle", class: `letter ${move}` }, letter),
    ),
    move,
  ]);
  const strip = [["stands", "if any one part failed: all would stand"], ["uses_margin", "the margin would be used up"], ["falls", "something may fall"]].map(([verdict, words]) => [
    sample(make("rect", { x: 1, y: 13 - STRIP[verdict], width: 22, height: STRIP[verdict], class: `strip ${verdict}` })),
    words,
  ]);
  const braced = [sample(make("line", { x1: 1, x2: 23, y1: 8, y2: 8, class: "braced" })), "braced"];
  const band = [["form", "forming, coming apart, going to places"], ["set", "legs are set"], ["stride", "the machine strides"]].map(([kind, words]) => [
    sample(make("rect", { x: 1, y: 2, width: 22, height: 12, class: `phase ${kind}` })),
    words,
  ]);
  return [...moves, braced, ...(survival.length ? strip : []), ...(phases.length ? band : [])];
}
