// What the pictures of pages must let one see: names on their decks, trenches, whoever stands under a roof, coordinates.
import { after, before, describe, test } from "node:test";
import assert from "node:assert/strict";
import { join } from "node:path";
import { convexHull } from "../../planner-cli/viewer/src/hull.js";
import { launch, open } from "./browser.mjs";

const file = (name) => join(process.env.CLAMBER_PAGES, `${name}.html`);
const SIZES = {
  desktop: { width: 1280, height: 800 },
  telephone: { width: 390, height: 844, isMobile: true, hasTouch: true, deviceScaleFactor: 1 },
};

let browser;
before(async () => { browser = await launch(); });
after(() => browser?.close());

async function visit(name, options, act) {
  const page = await open(browser, file(name), options);
  await settled(page);
  await act(page);
  await page.context().close();
}

/** Two frames later the eye has moved, and when it rests names and numbers have their places. */
async function settled(page) {
  await page.evaluate(() => new Promise((done) => { requestAnimationFrame(() => requestAnimationFrame(done)); }));
  await page.waitForFunction(() => !clamber.rests || clamber.rests());
}

/** Tags of a class that are shown: their words and boxes in pixels of the canvas. */
const tags = (page, kind) => page.evaluate((name) => {
  const { x, y } = document.getElementById("canvas").getBoundingClientRect();
  return [...document.querySelectorAll(`#tags .${name}`)].map((tag, index) => ({ tag, index })).filter(({ tag }) => !tag.hidden).map(({ tag, index }) => {
    const box = tag.getBoundingClientRect();
    return { index, words: tag.textContent, left: box.left - x, top: box.top - y, right: box.right - x, bottom: box.bottom - y };
  });
}, kind);

/** Brightness of the canvas at points of the world, from 0 to 1, without tags and grid. */
async function brightness(page, points) {
  await page.evaluate(() => { document.getElementById("tags").style.visibility = "hidden"; document.getElementById("grid")?.click(); });
  await settled(page);
  const shot = (await page.locator("#canvas").screenshot()).toString("base64");
  return page.evaluate(async ([data, list]) => {
    const image = new Image();
    image.src = `data:image/png;base64,${data}`;
    await image.decode();
    const pen = new OffscreenCanvas(image.width, image.height).getContext("2d");
    pen.drawImage(image, 0, 0);
    return list.map((point) => {
      const [x, y] = clamber.onCanvas(point);
      const [r, g, b] = pen.getImageData(Math.round(x), Math.round(y), 1, 1).data;
      return (0.2126 * r + 0.7152 * g + 0.0722 * b) / 255;
    });
  }, [shot, points]);
}

describe("names of decks", () => {
  for (const [size, options] of Object.entries(SIZES)) {
    for (const [name, least] of [["stand", 1], ["row", size === "desktop" ? 2 : 1], ["crossing", 1], ["scene-slot", 2], ["scene-headwall", 2]]) {
      test(`${name}, ${size}: lie on their decks and cover no module`, async () => {
        await visit(name, options, async (page) => {
          // Places all over a deck's top and walls, as far as they are before the eye; decks of these scenes are convex.
          const decks = await page.evaluate(() => {
            const lowest = Math.min(...clamber.sheet.decks.map((deck) => deck.top)) - 0.12;
            return clamber.sheet.decks.map((deck) => {
              const [xs, ys] = [0, 1].map((k) => deck.outline.map((corner) => corner[k]));
              const at = (list, k) => Math.min(...list) + ((Math.max(...list) - Math.min(...list)) * k) / 60;
              const places = [];
              for (const z of [deck.top, deck.bottom ?? lowest]) for (let i = 0; i <= 60; i += 1) for (let j = 0; j <= 60; j += 1) places.push([at(xs, i), at(ys, j), z]);
              return places.map((place) => clamber.onCanvas(place)).filter(Boolean);
            });
          });
          const shells = await page.evaluate(() => clamber.placed().map((matrix, index) => {
            const place = matrix.slice(12, 15);
            const { shell } = clamber.sheet.kinds[clamber.sheet.modules[index].kind];
            const at = clamber.onCanvas(place);
            const rims = [0, 1, 2].flatMap((k) => [-1, 1].map((way) => clamber.onCanvas(place.map((v, i) => v + (i === k ? way * shell : 0)))));
            return { at, radius: Math.max(...rims.map((rim) => Math.hypot(rim[0] - at[0], rim[1] - at[1]))) };
          }));
          const names = (await tags(page, "deck")).filter(({ index }) => index < decks.length);
          assert.ok(names.length >= least, `${names.length} names of ${least}`);
          for (const { index, words, left, top, right, bottom } of names) {
            const hull = convexHull(decks[index]);
            for (const corner of [[left, top], [right, top], [right, bottom], [left, bottom]]) assert.ok(insideBy(hull, corner) > -3, `${words} leaves its deck at ${corner}`);
            for (const { at, radius } of shells) {
              const far = Math.hypot(Math.max(left - at[0], 0, at[0] - right), Math.max(top - at[1], 0, at[1] - bottom));
              assert.ok(far > 0.9 * radius, `${words} covers a module`);
            }
          }
        });
      });
    }
  }
});

describe("a trench between two decks of one height", () => {
  test("has a dark rim, and its wall darkens with depth, from where one looks at first", async () => {
    await visit("scene-slot", SIZES.desktop, async (page) => {
      // The near deck ends at x = 0; the far one, from x = 0.07, lets its wall be seen down to 0.089 m.
      const [deck, rim, upper, lower] = await brightness(page, [[-0.03, -0.1, 0], [0, -0.1, 0], [0, -0.1, -0.012], [0, -0.1, -0.07]]);
      assert.ok(rim < 0.7 * deck, `rim ${rim}, deck ${deck}`);
      assert.ok(upper < 0.95 * deck && lower < 0.9 * upper, `wall ${upper}, then ${lower}, deck ${deck}`);
    });
  });
  test("is dark at the bottom when it is looked into from above", async () => {
    await visit("scene-slot", SIZES.desktop, async (page) => {
      await page.evaluate(() => { for (let k = 0; k < 12; k += 1) clamber.orbit(0, -0.1); });
      const [deck, floor] = await brightness(page, [[-0.03, -0.1, 0], [0.035, -0.1, -0.12]]);
      assert.ok(floor < 0.6 * deck, `floor ${floor}, deck ${deck}`);
    });
  });
});

test("a roof over the crew is looked through", async () => {
  await visit("scene-ferry", SIZES.desktop, async (page) => {
    // The same spot of the picture with the module there and with it away: what is behind a roof that hides it is the same.
    const { place, name } = await page.evaluate(() => ({ place: clamber.placed().at(-1).slice(12, 15), name: clamber.sheet.modules.at(-1).name }));
    const around = await page.evaluate((p) => { const [x, y] = clamber.onCanvas(p); return { x, y }; }, place);
    const drawn = async () => {
      await settled(page);
      const box = await page.locator("#canvas").boundingBox();
      return (await page.screenshot({ clip: { x: box.x + around.x - 12, y: box.y + around.y - 12, width: 24, height: 24 } })).toString("base64");
    };
    await page.evaluate(() => { document.getElementById("tags").style.visibility = "hidden"; });
    const there = await drawn();
    await page.evaluate(() => { clamber.sheet.modules.at(-1).position = [50, 50, 0]; clamber.clock.seek(0); });
    assert.notEqual(await drawn(), there, `${name} cannot be seen`);
  });
});

describe("coordinates", () => {
  for (const [size, options] of Object.entries(SIZES)) {
    test(`numbers stand where x and y have that value, ${size}`, async () => {
      for (const name of ["stand", "scene-slot", "scene-headwall"]) {
        await visit(name, options, async (page) => {
          const numbers = await tags(page, "number");
          for (const axis of ["x", "y"]) assert.ok(numbers.filter(({ words }) => words.startsWith(axis)).length >= 3, `${name}: few numbers for ${axis}`);
          for (const { words, left, top, right, bottom } of numbers) {
            const [, axis, value] = words.replace("\u2212", "-").match(/^([xy])\s(-?[\d.]+)$/);
            const off = await page.evaluate(([k, v, x, y]) => Math.min(...clamber.sheet.decks.flatMap((deck) => {
              const along = deck.outline.map((corner) => corner[1 - k]);
              return Array.from({ length: 4001 }, (_, n) => {
                const u = Math.min(...along) + ((Math.max(...along) - Math.min(...along)) * n) / 4000;
                const at = clamber.onCanvas(k ? [u, v, deck.top] : [v, u, deck.top]);
                return at ? Math.hypot(at[0] - x, at[1] - y) : Infinity;
              });
            })), [axis === "x" ? 0 : 1, Number(value), (left + right) / 2, (top + bottom) / 2]);
            assert.ok(off < 2.5, `${name}: ${words} is ${off} pixels off its line`);
          }
        });
      }
    });
  }
  test("the arrows of the axes point as the axes do", async () => {
    await visit("stand", SIZES.desktop, async (page) => {
      for (const turn of [[0, 0], [0.7, -0.2], [1.5, 0.1]]) {
        await page.evaluate((by) => clamber.orbit(...by), turn);
        await settled(page);
        const arrows = await page.evaluate(() => {
          const root = clamber.placed()[0].slice(12, 15);
          return [...document.querySelectorAll(".axes path")].map((path, k) => {
            const from = clamber.onCanvas(root);
            const to = clamber.onCanvas(root.map((v, i) => v + (i === k ? 0.01 : 0)));
            const [, x, y] = path.getAttribute("d").match(/L(-?[\d.e-]+) (-?[\d.e-]+)/).map(Number);
            return { drawn: [x, y], seen: [to[0] - from[0], to[1] - from[1]] };
          });
        });
        assert.equal(arrows.length, 3);
        for (const { drawn, seen } of arrows.filter(({ drawn: [x, y] }) => Math.hypot(x, y) > 8)) {
          const cos = (drawn[0] * seen[0] + drawn[1] * seen[1]) / Math.hypot(...drawn) / Math.hypot(...seen);
          assert.ok(cos > 0.9, `${drawn} and ${seen}`);
        }
      }
    });
  });
});

const turn = (o, a, b) => (a[0] - o[0]) * (b[1] - o[1]) - (a[1] - o[1]) * (b[0] - o[0]);

/** How far a point is inside a hull, negative outside. */
function insideBy(hull, p) {
  return Math.min(...hull.map((a, k) => {
    const b = hull[(k + 1) % hull.length];
    return turn(a, b, p) / Math.hypot(b[0] - a[0], b[1] - a[1]);
  }));
}
