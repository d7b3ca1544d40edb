// Photographs pages: `node shoot.mjs FOLDER`.
import { dirname, join } from "node:path";
import { fileURLToPath } from "node:url";
import { launch, open } from "../../tests/pages/browser.mjs";

const folder = process.argv[2];
const here = dirname(fileURLToPath(import.meta.url));
/** The view alone, small: one for each class of work. */
const small = (name, scene, at) =>
  ({ name, scene, options: { width: 620, height: 700, colorScheme: "light" }, at, only: "#view", isSmall: true });
const PICTURES = [
  // The whole page, while the third knee hops onto the hub.
  { name: "stand", scene: "stand", options: { width: 1280, height: 800, colorScheme: "light" }, at: 0.532 },
  // The view alone: a cantilever of two, held by braced bells.
  { name: "row", scene: "row", options: { width: 1180, height: 780, colorScheme: "dark" }, at: 0.97, only: "#view" },
  small("assembling", "stand", 1),
  small("reconfiguring", "twin-booms", 0.5),
  small("flowing", "headwall", 0.3),
  small("manipulating", "ferry", 0.5),
  small("walking", "cobbles", 0.5),
  small("supporting", "buttress", 1),
];

const browser = await launch();
for (const { name, scene, options, at, only, isSmall } of PICTURES) {
  const page = await open(browser, join(folder, `${scene}.html`), options);
  if (isSmall) await page.uncheck("#grid");
  await page.evaluate((share) => clamber.clock.seek(share * clamber.sheet.end_s), at);
  await page.evaluate(() => new Promise((done) => { requestAnimationFrame(() => requestAnimationFrame(done)); }));
  await page.waitForFunction(() => clamber.rests());
  const target = only ? page.locator(only) : page;
  await target.screenshot({ path: join(here, `${name}.png`) });
}
await browser.close();
