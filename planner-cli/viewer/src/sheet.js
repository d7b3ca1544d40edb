// What the page knows.
import { lastBegun } from "./poses.js";

/** The radius of the shells for which lines and marks have the widths that stand in the sources, in metres. */
const USUAL = 0.06;

/** Height of a deck's top at a point seen from above. */
export function heightOn({ top, slope }, x, y) {
  return slope ? slope[0] + slope[1] * x + slope[2] * y : top;
}

/** The sheet of a page, with the unit by which everything that is drawn for the eye grows and
 * shrinks: the middle one of the shells; and with the corners of each deck's top. */
export function readSheet(text) {
  const sheet = JSON.parse(text);
  const shells = sheet.modules.map((module) => sheet.kinds[module.kind].shell).sort((a, b) => a - b);
  sheet.unit = shells[shells.length >> 1] / USUAL;
  sheet.stones ??= [];
  sheet.phases ??= [];
  sheet.roles ??= [];
  sheet.legs ??= [];
  // The spans of each module, in the order of their beginnings.
  sheet.spansOf = sheet.modules.map(() => []);
  for (const span of sheet.spans) {
    span.steps ??= [];
    span.supports ??= [];
    for (const module of span.members) sheet.spansOf[module].push(span);
  }
  // The modules that each step moves.
  for (const step of sheet.steps) step.moves = [];
  sheet.modules.forEach(({ legs }, module) => legs.forEach(({ step }) => sheet.steps[step].moves.push(module)));
  for (const deck of sheet.decks) deck.corners = deck.outline.map(([x, y]) => [x, y, heightOn(deck, x, y)]);
  return sheet;
}

/** The span of the structure of a module at an instant. */
export function spanAt(sheet, module, t) {
  const spans = sheet.spansOf[module];
  return spans[Math.max(0, lastBegun(spans, t))];
}

/** How gravity counts at an instant. */
export function gravityAt(sheet, t) {
  let [, level] = sheet.gravity[0];
  let [low, high] = [0, sheet.gravity.length];
  while (low < high) {
    const middle = (low + high) >> 1;
    if (sheet.gravity[middle][0] <= t) [level, low] = [sheet.gravity[middle][1], middle + 1];
    else high = middle;
  }
  return level;
}
