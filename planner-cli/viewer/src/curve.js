// Use of the worst bond of the whole crew over time, column by column.
import { gravityAt } from "./sheet.js";

/** The worst use of any bond in each of so many equal parts of the plan; 0 where only weight holds. */
export function worstOver(sheet, columns) {
  const worst = new Float64Array(columns);
  const end = sheet.end_s || 1;
  const column = (t) => Math.min(columns - 1, Math.max(0, Math.floor((t / end) * columns)));
  const levels = levelsOver(sheet, columns, column);
  for (const span of sheet.spans) {
    const [first, last] = [column(span.from), column(span.to)];
    const used = usesOf(span);
    if (span.gravity) {
      const within = span.to > span.from ? levels : null;
      for (let k = first; k <= last; k += 1) {
        span.gravity.forEach((level, moment) => {
          if (!within || within[k] & (1 << level)) worst[k] = Math.max(worst[k], used[moment]);
        });
      }
      continue;
    }
    // The figures go straight from one moment to the next.
    span.at.forEach((from, moment) => {
      const to = span.at[moment + 1] ?? span.to;
      const [a, b] = [used[moment], used[moment + 1] ?? used[moment]];
      const mix = (t) => (to > from ? a + (b - a) * Math.min(1, Math.max(0, (t - from) / (to - from))) : a);
      for (let k = column(from); k <= column(to); k += 1) {
        const ends = [(k * end) / columns, ((k + 1) * end) / columns];
        worst[k] = Math.max(worst[k], ...ends.map((t) => mix(Math.min(to, Math.max(from, t)))));
      }
    });
  }
  return worst;
}

/** The worst use in each moment of a span. */
function usesOf(span) {
  return span.at_most ? span.at_most.map((used) => used ?? 0) : span.used.map((row) => Math.max(0, ...row.map((used) => used ?? 0)));
}

/** The ways in which gravity counts in each column, as bits. */
function levelsOver(sheet, columns, column) {
  const levels = new Uint8Array(columns);
  sheet.gravity.forEach(([from, level], k) => {
    const to = sheet.gravity[k + 1]?.[0] ?? sheet.end_s;
    for (let c = column(from); c <= column(to); c += 1) levels[c] |= 1 << level;
  });
  levels[column(0)] |= 1 << gravityAt(sheet, 0);
  return levels;
}
