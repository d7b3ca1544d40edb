// A crew that walks as a machine, in words: what it is at, what its legs do, and what comes next.
import { clustersAt, crewAt } from "./figures.js";
import { joules, list, millimetres, seconds } from "./words.js";

/** Up to so many modules are named. */
const NAMED = 6;

const phaseAt = (sheet, t) => sheet.phases.findIndex(({ to }) => t < to);

/** What the crew is at. */
export function whichPhase(sheet, t, clusters) {
  const phase = sheet.phases[phaseAt(sheet, t)];
  if (!phase) return "";
  const together = clusters.map(({ members }) => members).reduce((a, b) => (b.length > a.length ? b : a));
  const counts = phase.kind === "form" || phase.kind === "come_apart";
  if (!counts || together.length < 2) return phase.words;
  const named = together.length <= NAMED ? `: ${list(together.map((module) => sheet.modules[module].name))}` : "";
  return `${phase.words}, ${together.length} of ${sheet.modules.length} stand together${named}`;
}

/** What a leg's moves are for: one sentence for each leg that is off the deck, by the deck that it left and the one that it comes down on. */
export function whichLegs(sheet, t) {
  const phase = sheet.phases[phaseAt(sheet, t)];
  if (!phase) return "";
  const inPhase = sheet.legs.filter((leg) => leg.swings && leg.from >= phase.from && leg.from < phase.to);
  const order = [...new Set(inPhase.map(({ end }) => end))];
  const name = (module) => sheet.modules[module].name;
  const deck = (number) => sheet.decks[number].name;
  return sheet.legs.filter(({ from, to }) => from <= t && t < to).map((leg) => {
    const who = `Leg ${name(leg.knee)}\u2013${name(leg.end)}`;
    if (!leg.swings) return `${who} turns its end on the spot, on ${deck(leg.off)}.`;
    const which = order.length > 1 ? ` (${order.indexOf(leg.end) + 1} of ${order.length})` : "";
    if (leg.onto === null) return `${who}${which} leaves ${deck(leg.off)}.`;
    const onto = leg.onto === leg.off ? `to another place on ${deck(leg.off)}` : `from ${deck(leg.off)} to ${deck(leg.onto)}`;
    return `${who}${which} is lifted and set ${onto}.`;
  }).join(" ");
}

/** What comes after the phase, and when. */
export function whatNext(sheet, t) {
  const index = phaseAt(sheet, t);
  if (index < 0) return "";
  const next = sheet.phases[index + 1];
  const after = `Next, in ${seconds(sheet.phases[index].to - t)}: `;
  if (!next) return `${after}done.`;
  return `${after}${next.kind === "set" ? `the legs are set for stride ${next.stride}` : lowered(next.words.split(": ").at(-1))}.`;
}

const lowered = (words) => words[0].toLowerCase() + words.slice(1);

const walks = ({ kind }) => kind === "set" || kind === "stride";

/** While the machine walks: how near it comes to tipping. */
export function howNear(sheet, t) {
  const phase = sheet.phases[phaseAt(sheet, t)];
  if (!phase || !walks(phase)) return "";
  sheet.leastOnWalk ??= leastOnWalk(sheet);
  return sheet.leastOnWalk;
}

/** The least margins against tipping while the machine walks: the least of those at the instants that have figures. */
function leastOnWalk(sheet) {
  const walk = sheet.phases.filter(walks);
  const [from, to] = [walk[0].from, walk.at(-1).to];
  const margins = sheet.spans.filter((span) => span.from >= from && span.to <= to).flatMap((span) => span.at.flatMap((t) => {
    const clusters = clustersAt(sheet, span, crewAt(sheet, t));
    return clusters.filter(({ inset, members }) => inset !== null && members.length > 1).map(({ inset, tips }) => ({ t, inset, tips }));
  }));
  const inset = margins.reduce((a, b) => (b.inset < a.inset ? b : a));
  if (inset.inset < 0) return `The least on the walk is ${millimetres(-inset.inset)} outside, at ${seconds(inset.t)}: adhesion holds it then.`;
  const tips = margins.reduce((a, b) => (b.tips < a.tips ? b : a));
  return `The least on the walk: ${millimetres(inset.inset)} at ${seconds(inset.t)}, ${joules(tips.tips)} at ${seconds(tips.t)}.`;
}
