// A crew that walks as a machine, in words: what it is at, what moves are for, and what comes next.
import { clustersAt, crewAt } from "./figures.js";
import { minus, norm, poseAt, standAt } from "./poses.js";
import { joules, list, millimetres, seconds } from "./words.js";

/** Up to so many modules are named. */
const NAMED = 6;
/** An end that stays nearer to its deck than this is not lifted, in metres. */
const LIFTED_M = 1e-3;
/** The fraction of a span that counts as its end. */
const LAST = 1 - 1e-6;
/** Places nearer than this are one, in metres. */
const ONE_M = 1e-4;

const phaseAt = (sheet, t) => sheet.phases.findIndex(({ to }) => t < to);
const nameOf = (sheet, module) => sheet.modules[module].name;
const deckOf = (sheet, number) => sheet.decks[number].name;
const legName = (sheet, { knee, end }) => `${nameOf(sheet, knee)}\u2013${nameOf(sheet, end)}`;
const isOfCrew = ({ kind }) => ["form", "come_apart", "leave"].includes(kind);

/** What the crew is at. */
export function whichPhase(sheet, t, clusters) {
  const phase = sheet.phases[phaseAt(sheet, t)];
  if (!phase) return "";
  const together = clusters.map(({ members }) => members).reduce((a, b) => (b.length > a.length ? b : a));
  if (!isOfCrew(phase) || together.length < 2) return phase.words;
  const named = together.length <= NAMED ? `: ${list(together.map((module) => nameOf(sheet, module)))}` : "";
  return `${phase.words}, ${together.length} of ${sheet.modules.length} stand together${named}`;
}

/** What the moves under way are for: where each module belongs while the machine forms or comes apart, and where each leg is set in between. */
export function whatFor(sheet, t, figures) {
  const phase = sheet.phases[phaseAt(sheet, t)];
  if (!phase) return "";
  if (!isOfCrew(phase)) {
    const legs = legsUnderWay(sheet, t);
    const set = legs.filter(({ swings }) => swings).map((leg) => legWords(sheet, phase, leg));
    return [...set, ...turned(sheet, phase, legs), ...released(sheet, figures)].join(" ");
  }
  const movers = [...new Set(figures.steps.map((index) => sheet.steps[index].module))];
  return movers.map((module) => belongs(sheet, module, phase, t)).filter(Boolean).join(" ");
}

/** The legs whose ends bear nothing at an instant. */
export const legsUnderWay = (sheet, t) => sheet.legs.filter(({ from, to }) => from <= t && t < to);

function legWords(sheet, phase, leg) {
  const who = `Leg ${legName(sheet, leg)}`;
  if (leg.onto === null) return `${who} leaves ${deckOf(sheet, leg.off)}, for ${nameOf(sheet, leg.end)} to come off.`;
  const order = inOrder(sheet, phase);
  const which = order.length > 1 ? ` (${order.indexOf(leg.end) + 1} of ${order.length})` : "";
  return `${who}${which} ${risesOf(sheet, leg) ? "is lifted and set" : "goes, just over the deck and bearing nothing,"} ${whereTo(sheet, leg)}.`;
}

/** Legs whose ends only turn, with those of one purpose in one sentence. */
function turned(sheet, phase, legs) {
  const turning = legs.filter(({ swings }) => !swings);
  return [...new Set(turning.map((leg) => whyTurned(sheet, phase, leg)))].map((why) => {
    const alike = turning.filter((leg) => whyTurned(sheet, phase, leg) === why);
    const names = list(alike.map((leg) => `${legName(sheet, leg)} (over ${deckOf(sheet, leg.off)})`));
    return alike.length > 1
      ? `Legs ${names} turn their ends where they are, ${why}; meanwhile these bear nothing.`
      : `Leg ${names} turns its end where it is, ${why}; meanwhile the end bears nothing.`;
  });
}

/** An end is turned to drive away in this phase, or else to head the way that it rolls in the stride. */
function whyTurned(sheet, phase, { end, to }) {
  const drivesNext = sheet.legs.some((leg) => leg.swings && leg.end === end && leg.from >= to && leg.from < phase.to);
  return drivesNext || phase.kind !== "set" ? "to drive from there" : "to point the way of the stride";
}

/** Modules that release their cups. */
function released(sheet, figures) {
  const steps = figures.steps.map((index) => sheet.steps[index]).filter(({ move }) => move === "release");
  return steps.map(({ module }) => `${nameOf(sheet, module)} releases its cup, to be free to move.`);
}

/** The ends that are set in a phase, in the order of their beginnings. */
function inOrder(sheet, phase) {
  const inPhase = sheet.legs.filter((leg) => leg.swings && leg.from >= phase.from && leg.from < phase.to);
  return [...new Set(inPhase.map(({ end }) => end))];
}

function whereTo(sheet, leg) {
  if (leg.off !== leg.onto) return `from ${deckOf(sheet, leg.off)} to ${deckOf(sheet, leg.onto)}`;
  const [from, to] = [leg.from, leg.to].map((t) => poseAt(sheet.modules[leg.end], t).position);
  return `${millimetres(norm(minus(to, from)))} away on ${deckOf(sheet, leg.onto)}`;
}

/** Whether the end of a leg is lifted off its deck on its way. */
function risesOf(sheet, leg) {
  const module = sheet.modules[leg.end];
  const z = (share) => poseAt(module, leg.from + (leg.to - leg.from) * share).position[2];
  return [0.1, 0.2, 0.3, 0.4, 0.5, 0.6, 0.7, 0.8, 0.9].some((share) => z(share) > Math.max(z(0), z(1)) + LIFTED_M);
}

/** On whom a module stands once the machine is formed, or which place it goes to in the end. */
function belongs(sheet, index, phase, t) {
  const module = sheet.modules[index];
  if (phase.kind === "form") {
    const host = standAt(module, phase.to).on - sheet.decks.length;
    const stands = standAt(module, t).on - sheet.decks.length === host;
    if (host >= 0) return `${module.name} ${stands ? "stands on" : "is to stand on"} ${nameOf(sheet, host)}${stands ? " and takes its place there" : ""}.`;
    return sheet.roles[index] === "hub" ? `${module.name} goes where the machine is to form.` : "";
  }
  const end = poseAt(module, sheet.end_s).position;
  const slot = sheet.slots.find(({ position }) => norm(minus(position, end)) < ONE_M);
  return slot ? `${module.name} goes to ${slot.name}.` : "";
}

/** What comes next, and when: the next leg or hop, and the next phase. */
export function whatNext(sheet, t) {
  const index = phaseAt(sheet, t);
  if (index < 0) return "";
  const phase = sheet.phases[index];
  const after = sheet.phases[index + 1];
  const then = !after ? "done" : after.kind === "set" ? `setting the legs for stride ${after.stride} begins` : lowered(after.words.split(": ").at(-1));
  const soon = isOfCrew(phase) ? nextHop(sheet, t, phase) : nextLeg(sheet, t, phase);
  const inWords = (from, what) => `in ${seconds(from - t)} ${what}`;
  return `Next: ${[...(soon ? [inWords(...soon)] : []), inWords(phase.to, then)].join("; ")}.`;
}

function nextLeg(sheet, t, phase) {
  const leg = sheet.legs.find(({ from, swings }) => swings && from > t && from < phase.to);
  return leg && [leg.from, `leg ${legName(sheet, leg)} goes ${leg.onto === null ? `off ${deckOf(sheet, leg.off)}` : whereTo(sheet, leg)}`];
}

function nextHop(sheet, t, phase) {
  const hops = sheet.steps.filter(({ move, from }) => move === "hop" && from > t && from < phase.to);
  if (!hops.length) return undefined;
  const step = hops.reduce((a, b) => (b.from < a.from ? b : a));
  return [step.from, `${nameOf(sheet, step.module)} ${step.phrase}`];
}

const lowered = (words) => words[0].toLowerCase() + words.slice(1);

/** How near a crew that walks comes to tipping: the least margins of what stands together, at the instants that have figures. */
export function leastBalance(sheet) {
  if (!sheet.phases.length) return "";
  const margins = sheet.spans.flatMap((span) => (span.at ?? [span.from]).flatMap((instant) => {
    // At the end of a span others stand already as they do after it.
    const t = Math.min(instant, span.from + (span.to - span.from) * LAST);
    const clusters = clustersAt(sheet, [span], crewAt(sheet, t));
    return clusters.filter(({ inset, members }) => inset !== null && members.length > 1).map(({ inset, tips }) => ({ t, inset, tips }));
  }));
  if (!margins.length) return "";
  const inset = margins.reduce((a, b) => (b.inset < a.inset ? b : a));
  if (inset.inset < 0) return `The least in this plan is ${millimetres(-inset.inset)} outside, at ${seconds(inset.t)}: adhesion holds it then.`;
  const tips = margins.reduce((a, b) => (b.tips < a.tips ? b : a));
  return `The least in this plan: ${millimetres(inset.inset)} at ${seconds(inset.t)}, ${joules(tips.tips)} at ${seconds(tips.t)}.`;
}
