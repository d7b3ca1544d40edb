// Figures as words.

export const nameOf = (sheet, body) =>
  [...sheet.decks, ...sheet.modules, ...sheet.stones][body].name;

export const percent = (share) => `${Math.round(share * 100)}\u00a0%`;

export function millimetres(metres) {
  if (metres >= 1) return `${metres.toFixed(2)}\u00a0m`;
  const mm = metres * 1e3;
  return `${mm < 100 ? mm.toFixed(1) : Math.round(mm)}\u00a0mm`;
}

export const newtons = (n) => `${n < 10 ? n.toFixed(1) : Math.round(n)}\u00a0N`;

export const joules = (energy) => `${energy.toFixed(energy < 1 ? 3 : 1)}\u00a0J`;

export const seconds = (t) => `${t.toFixed(1)}\u00a0s`;

export const list = (words) =>
  words.length < 2 ? words.join("") : `${words.slice(0, -1).join(", ")} and ${words.at(-1)}`;

/** A module with its part in the machine. */
export function partOf(sheet, module) {
  const { name } = sheet.modules[module];
  return sheet.roles[module] ? `${name} (${sheet.roles[module]})` : name;
}

/** Of more things than this at once only the first are put in words. */
const MANY = 12;

/** Who moves: one sentence for each move under way. */
export function whoMoves(sheet, figures) {
  if (sheet.is_plan && figures.t >= sheet.end_s) return [howItEnds(sheet)];
  if (figures.steps.length === 0) return [sheet.is_plan ? "Nothing moves." : "This is how the crew stands before anything moves."];
  const sentences = figures.steps.slice(0, MANY).map((index) => {
    const step = sheet.steps[index];
    // All of the machine goes along with its stride: the phrase says so.
    const carried = step.move === "stride" ? [] : step.moves.filter((module) => module !== step.module).map((module) => sheet.modules[module].name);
    const with_ = carried.length ? `, carrying ${list(carried)}` : "";
    return `${partOf(sheet, step.module)} ${step.phrase}${with_}.`;
  });
  const others = figures.steps.length - sentences.length;
  return others > 0 ? [...sentences, `And ${others} other ${others > 1 ? "moves" : "move"}.`] : sentences;
}

function howItEnds(sheet) {
  const payloads = sheet.slots.some((slot) => slot.payload > 0) ? ", and the slots' payloads are on" : "";
  return sheet.verdict.sound ? `Done: the goal is reached${payloads}.` : `The plan ends here${payloads}.`;
}

/** A bond that bears more than this share of what is allowed is near the limit. */
const NEAR = 0.9;

/** What the worst bond bears. */
export function whyHolds(sheet, figures) {
  const { worst, balanced } = figures;
  const allowed = `${percent(sheet.limits.utilisation)} allowed`;
  const unbalanced = balanced ? "" : "No forces balance the crew. ";
  if (!worst) return `${unbalanced}Every module stands by its own weight.${spareWeight(sheet, figures)}`;
  const bond = `${sheet.modules[worst.module].name} on ${nameOf(sheet, worst.host)}`;
  if (worst.bound) {
    return `${unbalanced}No bond uses more than ${percent(worst.used)} of its hold, ${allowed}: the most is proven for the large structure of ${sheet.modules[worst.module].name}, in which bonds are not worked out one by one.`;
  }
  if (worst.used === null) {
    return `${unbalanced}${bond} ${worst.peels ? "tips" : "slips"}: it needs ${newtons(worst.needs)} of adhesion, and only weight holds it there.`;
  }
  const near = worst.used > NEAR * sheet.limits.utilisation ? ": near the limit" : "";
  return `${unbalanced}Worst bond: ${bond}, ${percent(worst.used)} of its hold, ${allowed}${near}.${spareWeight(sheet, figures)}`;
}

/** The foot that weight alone holds down, and that is nearest to lifting or slipping. Where forces can balance in many ways, what a
 * foot has to spare in one of them says nothing. */
function spareWeight(sheet, figures) {
  const free = figures.bonds.filter((bond) => bond.used === null && bond.host !== null && !bond.leans);
  if (!free.length) return "";
  const least = free.reduce((a, b) => (b.needs > a.needs ? b : a));
  const foot = `${sheet.modules[least.module].name} on ${nameOf(sheet, least.host)}`;
  return ` By weight alone: ${foot} has least to spare, ${newtons(Math.max(0, -least.needs))} before it ${least.peels ? "tips" : "slips"}.`;
}

/** Names, of many only how many. */
const named = (names) => (names.length > MANY ? [`${names.length} others`] : names);

/** Drives that need less than this share of what they can do are named together. */
const IDLE = 0.02;

/** How hard tracks and feet must work. */
export function howDriven(sheet, figures) {
  const isIdle = ({ needs, limit }) => needs < IDLE * limit;
  const idle = named(figures.drives.filter(isIdle).map(({ module }) => sheet.modules[module].name));
  const rest = idle.length ? [`${list(idle)} ${idle.length > 1 || idle[0].endsWith("others") ? "need" : "needs"} less than ${percent(IDLE)} of ${idle.length > 1 || idle[0].endsWith("others") ? "their" : "its"} drive.`] : [];
  const hard = figures.drives.filter((drive) => !isIdle(drive)).sort((a, b) => b.needs / b.limit - a.needs / a.limit);
  return hard
    .slice(0, MANY)
    .map(({ module, needs, limit, turns }) => {
      const { name } = sheet.modules[module];
      return turns
        ? `${name} turns against ${needs.toFixed(2)} of ${limit.toFixed(2)}\u00a0N\u00b7m.`
        : `${name} drives against ${needs.toFixed(1)} of ${limit.toFixed(1)}\u00a0N.`;
    })
    .concat(rest)
    .join(" ");
}

export function whichGap(sheet, figures) {
  if (!figures.gap) return "";
  const { module, other, width } = figures.gap;
  return `Nearest free gap: ${millimetres(width)}, ${sheet.modules[module].name} to ${nameOf(sheet, other)}.`;
}

/** What one failure would do now, where that is worked out. */
export function ifOneFails(sheet, t) {
  const piece = sheet.survival.find(({ to }) => t < to);
  if (!piece) return "";
  const verdicts = { stands: "all would stand", uses_margin: "all would stand, but the margin may be used up" };
  return `If one part failed now: ${verdicts[piece.verdict] ?? "modules may come down"}.`;
}

/** Where the centre of mass of what moves is over its support, and the energy that tips it over the easiest edge. */
export function whereBalanced(sheet, figures, clusters) {
  const moving = figures.steps.map((index) => sheet.steps[index].module);
  const concerns = (c) => sheet.phases.length > 0 || c.members.some((m) => moving.includes(m));
  const shown = clusters.filter((c) => c.inset !== null && c.members.length > 1 && concerns(c));
  return shown
    .sort((a, b) => a.inset - b.inset)
    .slice(0, MANY)
    .map((c) => {
      const name = (m) => sheet.modules[m].name;
      const names = (members) => (members.length > MANY ? `${members.length} modules` : list(members.map(name)));
      const who = c.members.length === sheet.modules.length ? "the crew" : names(c.members);
      const on = [c.feet.length && `the ${c.feet.length > 1 ? "feet" : "foot"} of ${names(c.feet)}`, c.shells.length && `the ${c.shells.length > 1 ? "shells" : "shell"} of ${list(c.shells.map(([m, deck]) => `${name(m)} on ${nameOf(sheet, deck)}`))}`];
      const where = c.inset >= 0 ? `${millimetres(c.inset)} inside` : `${millimetres(-c.inset)} outside`;
      const tips = c.inset < 0 ? "adhesion holds it" : `${joules(c.tips)} tip it over the easiest edge`;
      return `Centre of mass of ${who}: ${where} its support, ${on.filter(Boolean).join(" and ")}; ${tips}.`;
    })
    .join(" ");
}

/** One bond in a table cell. */
export function bondWords(bond) {
  if (bond.host === null) return "none: it strides";
  if (bond.bound) return `at most ${percent(bond.used)}`;
  if (bond.used !== null) return percent(bond.used);
  if (bond.leans && bond.needs <= 1e-6) return "weight, touches";
  return bond.needs > 1e-6 ? `lacks ${newtons(bond.needs)}` : `weight, ${newtons(-bond.needs)} spare`;
}
