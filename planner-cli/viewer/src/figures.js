// What holds everybody at an instant, read from the spans of the sheet. Between two of its instants figures go straight.
import { centreOfMass, lastBegun, poseAt, standAt } from "./poses.js";
import { convexHull, insetOf, leastRise, nearestOnDeck } from "./hull.js";
import { heightOn } from "./sheet.js";

const mix = (a, b, share) => (a === null || b === null ? (share < 0.5 ? a : b) : a + (b - a) * share);

/** Sides of the polygon that stands for a foot's disc. */
const SIDES = 32;

/** The figures at an instant. In a stride the hub's foot is in the air: its bond has no host, use or need. */
export function figuresAt(sheet, t) {
  const span = sheet.spans[Math.max(0, lastBegun(sheet.spans, t))];
  let left = 0;
  while (left + 1 < span.at.length && span.at[left + 1] <= t) left += 1;
  const right = Math.min(left + 1, span.at.length - 1);
  const width = span.at[right] - span.at[left];
  const share = width > 0 ? Math.min(1, Math.max(0, (t - span.at[left]) / width)) : 0;
  const near = share < 0.5 ? left : right;
  const touching = new Set(span.supports.map(([module]) => module));
  const leaning = new Set(span.clusters.filter((members) => members.some((member) => touching.has(member))).flat());
  const bonds = sheet.modules.map((_, module) => ({
    module,
    host: span.hosts[near][module],
    used: mix(span.used[left][module], span.used[right][module], share),
    needs: mix(span.needs[left][module], span.needs[right][module], share),
    peels: span.peels[near][module],
    // Where shells of its cluster touch decks, forces can balance in many ways.
    leans: leaning.has(module),
  }));
  const nearest = span.gap[near];
  const gap = nearest && {
    module: nearest[0] - sheet.decks.length,
    other: nearest[1],
    width: span.gap[left] && span.gap[right] ? mix(span.gap[left][2], span.gap[right][2], share) : nearest[2],
  };
  const drives = span.drives[near].map(([module, needs, limit, turns], k) => {
    const [a, b] = [span.drives[left][k], span.drives[right][k]];
    return { module, needs: a && b ? mix(a[1], b[1], share) : needs, limit, turns };
  });
  return { span, steps: span.steps, bonds, gap, drives, balanced: span.balanced[near], worst: worstOf(bonds) };
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
export function clustersAt(sheet, span, crew) {
  const strides = span.steps.map((index) => sheet.steps[index]).filter((step) => step.move === "stride").map((step) => step.module);
  return span.clusters.map((members) => {
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
    for (const [index, deck] of span.supports) {
      if (!members.includes(index)) continue;
      const touch = touchOn(sheet, deck, crew.poses[index].position);
      points.push(touch);
      contacts.push(touch);
    }
    const hull = convexHull(points);
    const stands = hull.length > 2;
    const weight = members.reduce((sum, index) => sum + sheet.modules[index].mass, 0) * sheet.limits.gravity_mps2;
    return {
      members, centre, hull, feet, contacts,
      shells: span.supports.filter(([index]) => members.includes(index)),
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
