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

const hostile = plan();
hostile.scenario.name = '</script><script>window.broken = 1</script><b>"&';
write("hostile", hostile);
