// What the page knows.

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
  for (const deck of sheet.decks) deck.corners = deck.outline.map(([x, y]) => [x, y, heightOn(deck, x, y)]);
  return sheet;
}
