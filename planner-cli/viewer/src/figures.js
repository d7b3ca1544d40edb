// What holds everybody at an instant, read from the spans of the sheet. Between two of their instants figures go straight.
import { centreOfMass, poseAt, standAt } from "./poses.js";
import { convexHull, insetOf, leastRise, nearestOnDeck } from "./hull.js";
import { gravityAt, heightOn, spanAt } from "./sheet.js";

const mix = (a, b, share) => (a === null || b === null ? (share < 0.5 ? a : b) : a + (b - a) * share);

/** Sides of the polygon that stands for a foot's disc. */
const SIDES = 32;

/** The moments of a span between which an instant lies, and how far it is from the first to the second. */
function between(sheet, span, t) {
  if (span.gravity) {
    // Nothing moves in it: there is a moment for each way in which gravity counts.
    const at = Math.max(0, span.gravity.indexOf(gravityAt(sheet, t)));
    return { left: at, right: at, share: 0, near: at };
  }
  let left = 0;
  while (left + 1 < span.at.length && span.at[left + 1] <= t) left += 1;
  const right = Math.min(left + 1, span.at.length - 1);
  const width = span.at[right] - span.at[left];
  const share = width > 0 ? Math.min(1, Math.max(0, (t - span.at[left]) / width)) : 0;
  return { left, right, share, near: share < 0.5 ? left : right };
}

/** The figures at an instant. In a stride the hub's foot is in the air: its bond has no host, use or need. */
export function figuresAt(sheet, t) {
  const spans = [...new Set(sheet.modules.map((_, module) => spanAt(sheet, module, t)))];
  const bonds = sheet.modules.map(() => null);
  const drives = [];
  let balanced = true;
  for (const span of spans) {
    const { left, right, share, near } = between(sheet, span, t);
    balanced &&= span.balanced[near];
    // Where shells of its cluster touch decks, forces can balance in many ways.
    const leans = span.supports.length > 0;
    span.members.forEach((module, k) => {
      bonds[module] = span.at_most
        ? { module, host: standAt(sheet.modules[module], t).on, used: span.at_most[near], needs: 0, peels: false, leans: true, bound: true }
        : {
          module,
          host: span.hosts[near][k],
          used: mix(span.used[left][k], span.used[right][k], share),
          needs: mix(span.needs[left][k], span.needs[right][k], share),
          peels: span.peels[near][k],
          leans,
        };
    });
    for (const [k, [module, needs, limit, turns]] of (span.drives?.[near] ?? []).entries()) {
      const [a, b] = [span.drives[left][k], span.drives[right][k]];
      drives.push({ module, needs: a && b ? mix(a[1], b[1], share) : needs, limit, turns });
    }
  }
  const steps = spans.flatMap((span) => span.steps).sort((a, b) => a - b);
  const worst = worstOf(bonds);
  // What bounds all bonds of a large structure does not tell which of them is the worst.
  const marked = worst && !worst.bound ? worst.module : null;
  return { t, spans, steps, bonds, gap: nearestGap(sheet, steps, t), drives, balanced, worst, marked };
}

/** The smallest free gap of what is under way. */
function nearestGap(sheet, steps, t) {
  let nearest = null;
  for (const index of steps) {
    const { gaps } = sheet.steps[index];
    if (!gaps.length) continue;
    const after = gaps.findIndex(([at]) => at >= t);
    const right = after < 0 ? gaps.length - 1 : after;
    const left = Math.max(0, right - 1);
    const [[from, , , a], [to, , , b]] = [gaps[left], gaps[right]];
    const share = to > from ? Math.min(1, Math.max(0, (t - from) / (to - from))) : 0;
    const width = a + (b - a) * share;
    const [, module, other] = gaps[share < 0.5 ? left : right];
    if (!nearest || width < nearest.width) nearest = { module: module - sheet.decks.length, other, width };
  }
  return nearest;
}

/** The bond nearest its limit: one that stands by weight alone counts only if its weight does not do. */
function worstOf(bonds) {
  const tips = bonds.filter((bond) => bond.used === null && bond.needs > 1e-6);
  if (tips.length) return tips.reduce((a, b) => (b.needs > a.needs ? b : a));
  const held = bonds.filter((bond) => bond.used !== null);
  return held.length ? held.reduce((a, b) => (b.used > a.used ? b : a)) : null;
}

export function crewAt(sheet, t) {
  const poses = sheet.modules.map((module) => poseAt(module, t));
  const stands = sheet.modules.map((module) => standAt(module, t));
  return { poses, stands };
}

/** Clusters of modules that stand together, with centre of mass and support: the hull of the feet on decks and of the points where
 * shells touch decks. A foot that strides is in the air. */
export function clustersAt(sheet, spans, crew) {
  return spans.map(({ members, steps, supports }) => {
    const strides = steps.map((index) => sheet.steps[index]).filter((step) => step.move === "stride").map((step) => step.module);
    const centre = centreOfMass(sheet, members, crew.poses);
    const points = [];
    const [feet, contacts] = [[], []];
    for (const index of members) {
      const { on } = crew.stands[index];
      if (on >= sheet.decks.length || strides.includes(index)) continue;
      feet.push(index);
      const { position } = crew.poses[index];
      const { foot } = sheet.kinds[sheet.modules[index].kind];
      const z = heightOn(sheet.decks[on], position[0], position[1]);
      contacts.push([position[0], position[1], z]);
      for (let k = 0; k < SIDES; k += 1) {
        const angle = (2 * Math.PI * k) / SIDES;
        points.push([position[0] + foot * Math.cos(angle), position[1] + foot * Math.sin(angle), z]);
      }
    }
    for (const [index, deck] of supports) {
      const touch = touchOn(sheet, deck, crew.poses[index].position);
      points.push(touch);
      contacts.push(touch);
    }
    const hull = convexHull(points);
    const stands = hull.length > 2;
    const weight = members.reduce((sum, index) => sum + sheet.modules[index].mass, 0) * sheet.limits.gravity_mps2;
    return {
      members, centre, hull, feet, contacts,
      shells: supports,
      level: Math.min(...points.map(([, , z]) => z)),
      inset: stands ? insetOf(hull, centre) : null,
      tips: stands ? weight * leastRise(hull, centre) : null,
    };
  });
}

/** Where a shell touches a ground, given by its first deck: the nearest point of the decks of the same surface. */
function touchOn(sheet, first, position) {
  const alike = (deck) => deck.top === sheet.decks[first].top && String(deck.slope) === String(sheet.decks[first].slope);
  const far = (p) => Math.hypot(...p.map((v, k) => v - position[k]));
  return sheet.decks.filter(alike).map((deck) => nearestOnDeck(deck, position)).reduce((a, b) => (far(b) < far(a) ? b : a));
}
