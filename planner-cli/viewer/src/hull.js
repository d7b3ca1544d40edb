// Convex hulls in the plane.

import { heightOn } from "./sheet.js";

const turns = (o, a, b) => (a[0] - o[0]) * (b[1] - o[1]) - (a[1] - o[1]) * (b[0] - o[0]);

/** Counter-clockwise hull of points [x, y] (Andrew 1979). */
export function convexHull(points) {
  const sorted = [...points].sort((a, b) => a[0] - b[0] || a[1] - b[1]);
  if (sorted.length < 3) return sorted;
  const half = (list) => {
    const chain = [];
    for (const p of list) {
      while (chain.length > 1 && turns(chain.at(-2), chain.at(-1), p) <= 0) chain.pop();
      chain.push(p);
    }
    chain.pop();
    return chain;
  };
  return [...half(sorted), ...half(sorted.reverse())];
}

/** Distance of a point from the boundary of a convex hull, positive inside. */
export function insetOf(hull, p) {
  let inside = true;
  let nearest = Infinity;
  hull.forEach((a, i) => {
    const b = hull[(i + 1) % hull.length];
    const along = [b[0] - a[0], b[1] - a[1]];
    const length2 = along[0] ** 2 + along[1] ** 2;
    const share = length2 ? Math.min(1, Math.max(0, ((p[0] - a[0]) * along[0] + (p[1] - a[1]) * along[1]) / length2)) : 0;
    nearest = Math.min(nearest, Math.hypot(p[0] - a[0] - share * along[0], p[1] - a[1] - share * along[1]));
    if (turns(a, b, p) < 0) inside = false;
  });
  return inside ? nearest : -nearest;
}

/** How far a point rises before it tips over the easiest edge of a support whose corners may differ in height: the energy margin for
 * each unit of weight (Messuri & Klein 1985). Zero where it is outside. */
export function leastRise(hull, p) {
  const rises = hull.map((a, i) => {
    const b = hull[(i + 1) % hull.length];
    if (turns(a, b, p) <= 0) return 0;
    const edge = a.map((v, k) => b[k] - v);
    const length = Math.hypot(...edge);
    const share = edge.reduce((sum, v, k) => sum + v * (p[k] - a[k]), 0) / length ** 2;
    const arm = p.map((v, k) => v - a[k] - share * edge[k]);
    // The arm turns about the edge; at the top it is as steep as the edge lets it be.
    return Math.hypot(...arm) * Math.hypot(edge[0], edge[1]) / length - arm[2];
  });
  return Math.min(...rises);
}

/** The point of a deck's solid nearest to p. */
export function nearestOnDeck(deck, p) {
  const { outline } = deck;
  let inside = false;
  let best = null;
  let least = Infinity;
  outline.forEach((b, i) => {
    const a = outline[(i + outline.length - 1) % outline.length];
    if (a[1] > p[1] !== b[1] > p[1] && p[0] < a[0] + ((p[1] - a[1]) / (b[1] - a[1])) * (b[0] - a[0])) inside = !inside;
    const along = [b[0] - a[0], b[1] - a[1]];
    const share = Math.min(1, Math.max(0, ((p[0] - a[0]) * along[0] + (p[1] - a[1]) * along[1]) / (along[0] ** 2 + along[1] ** 2)));
    const q = [a[0] + share * along[0], a[1] + share * along[1]];
    const far = Math.hypot(q[0] - p[0], q[1] - p[1]);
    if (far < least) [least, best] = [far, q];
  });
  const [x, y] = inside ? [p[0], p[1]] : best;
  if (inside && deck.slope && p[2] > heightOn(deck, x, y)) {
    // The foot on the slope, wherever it lies: near enough for a line that is drawn.
    const [, along, across] = deck.slope;
    const off = (p[2] - heightOn(deck, x, y)) / (1 + along ** 2 + across ** 2);
    return [x + along * off, y + across * off, p[2] - off];
  }
  return [x, y, Math.min(heightOn(deck, x, y), Math.max(deck.bottom ?? -Infinity, p[2]))];
}
