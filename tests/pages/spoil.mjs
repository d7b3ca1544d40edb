// Makes plans that are not sound: `node spoil.mjs FOLDER`.
import { readFileSync, writeFileSync } from "node:fs";
import { join } from "node:path";

const folder = process.argv[2];
const plan = () => JSON.parse(readFileSync(join(folder, "crossing.json"), "utf8"));
const write = (name, value) => writeFileSync(join(folder, `${name}.json`), JSON.stringify(value));

// m1 drives through what is in its way, and m6 hops from too far off.
const unsound = plan();
unsound.steps[0].travel_m = 0.9;
unsound.scenario.module[5].at_m[0] -= 0.01;
write("unsound", unsound);

// Seven modules and sixty steps, all of them arcs: as much as a page has to hold easily. Nobody worked out what they claim.
const sixty = JSON.parse(readFileSync(join(folder, "stand.json"), "utf8"));
const [pattern] = sixty.steps;
sixty.steps = Array.from({ length: 60 }, (_, k) => ({
  ...pattern,
  module: `m${(k % 7) + 1}`,
  move: "slide",
  angle_rad: undefined,
  travel_m: k % 14 < 7 ? 0.06 : -0.06,
  curvature_per_m: 5,
  start_s: k * 1.25,
  duration_s: 1.2,
  after: [],
}));
write("sixty", sixty);

// A search that ended on its way.
const unsolved = JSON.parse(readFileSync(join(folder, "stand.json"), "utf8"));
unsolved.status = "budget_spent";
unsolved.steps.pop();
write("unsolved", unsolved);

const hostile = plan();
hostile.scenario.name = '</script><script>window.broken = 1</script><b>"&';
write("hostile", hostile);
