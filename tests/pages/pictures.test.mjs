// Colours mean one thing each, on pages and in the SVG files; coordinates on maps are those of the scene.
import { after, before, describe, test } from "node:test";
import assert from "node:assert/strict";
import { readFileSync } from "node:fs";
import { join } from "node:path";
import { launch, open } from "./browser.mjs";

const folder = process.env.CLAMBER_PAGES;
const text = (name) => readFileSync(join(folder, name), "utf8");
const KINDS = ["slide", "yaw", "hop", "brace", "release"];

let browser;
before(async () => { browser = await launch(); });
after(() => browser?.close());

async function colours(colorScheme) {
  const page = await open(browser, join(folder, "crossing.html"), { colorScheme });
  const found = await page.evaluate(() => {
    const swatches = (id) => [...document.querySelectorAll(`#${id} .swatch`)].map((swatch) => getComputedStyle(swatch).backgroundColor);
    const fill = (selector) => getComputedStyle(document.querySelector(selector)).fill;
    return { uses: swatches("uses"), shells: swatches("shells"), moves: { slide: fill("#moves .slide"), hop: fill("#moves .hop"), yaw: fill("#texture-yaw .over") } };
  });
  await page.context().close();
  return found;
}

describe("colours", () => {
  test("a bar tells the kind of its move by class, letter and title, whatever the bonds bear", async () => {
    const page = await open(browser, join(folder, "crossing.html"));
    const bars = await page.evaluate(() => [...document.querySelectorAll("#tracks .bar")].map((bar, index) => ({ kind: bar.querySelector("rect").getAttribute("class"), move: clamber.sheet.steps[index].move })));
    assert.ok(bars.length > 4);
    for (const { kind, move } of bars) assert.equal(kind, `move ${move}`);
    const signs = await page.evaluate(() => [...document.querySelectorAll("#moves li")].map((item) => item.lastChild.textContent));
    assert.deepEqual(signs.slice(0, KINDS.length + 1), [...KINDS, "braced"]);
    await page.context().close();
  });

  test("the strip of single failures covers the plan's time, higher where it is worse", async () => {
    const page = await open(browser, join(folder, "stand.html"));
    const { pieces, survival, end } = await page.evaluate(() => ({
      pieces: [...document.querySelectorAll("#tracks .strip")].map((piece) => ({ kind: piece.getAttribute("class"), height: +piece.getAttribute("height") })),
      survival: clamber.sheet.survival,
      end: clamber.sheet.end_s,
    }));
    assert.equal(survival[0].from, 0);
    assert.ok(Math.abs(survival.at(-1).to - end) < 1e-6);
    survival.slice(1).forEach((piece, index) => assert.equal(piece.from, survival[index].to));
    assert.deepEqual(pieces.map(({ kind }) => kind), survival.map(({ verdict }) => `strip ${verdict}`));
    const ranks = ["strip stands", "strip uses_margin", "strip falls"];
    const known = pieces.filter(({ kind }) => ranks.includes(kind));
    for (const a of known) for (const b of known) assert.equal(Math.sign(a.height - b.height), Math.sign(ranks.indexOf(a.kind) - ranks.indexOf(b.kind)));
    await page.context().close();
  });

  test("a kind of move looks the same on the page and in the SVG file", async () => {
    const svg = text("stand.timeline.svg");
    for (const scheme of ["light", "dark"]) {
      const { moves } = await colours(scheme);
      for (const kind of ["slide", "hop"]) assert.equal(moves[kind], rgb(svg.match(new RegExp(`\\.${kind}\\{fill:(#\\w+)\\}`))[1]));
      assert.equal(moves.yaw, rgb(svg.match(/id="dots".*?<circle[^>]*fill="(#\w+)"/)[1]));
    }
  });

  test("uses, moves and shells share no colour, uses and moves not for colour-blind eyes either; uses are in order in grey", async () => {
    for (const scheme of ["light", "dark"]) {
      const { uses, shells, moves } = await colours(scheme);
      const sets = { uses, moves: Object.values(moves), shells };
      for (const [eye, matrix] of Object.entries(EYES)) {
        const seen = Object.entries(sets).flatMap(([set, list]) => list.map((colour) => ({ set, colour, lab: labOf(colour, matrix) })));
        seen.forEach((a, k) => seen.slice(k + 1).filter((b) => (b.set !== a.set && (eye === "all" || b.set !== "shells")) || (a.set === b.set && a.set === "uses")).forEach((b) => {
          // More than three times what is just noticed, 2.3 (Mahy and others 1994; from memory).
          const apart = Math.hypot(...a.lab.map((v, i) => v - b.lab[i]));
          assert.ok(apart > 8, `${scheme}, ${eye}: ${a.set} ${a.colour} and ${b.set} ${b.colour} are ${apart.toFixed(1)} apart`);
        }));
      }
      const lightness = uses.slice(0, 4).map((colour) => labOf(colour, EYES.all)[0]);
      const steps = lightness.slice(1).map((v, k) => (scheme === "light" ? lightness[k] - v : v - lightness[k]));
      for (const step of steps) assert.ok(step > 10, `${scheme}: ${lightness}`);
    }
  });
});

test("an unsolved plan says so in words, not in those of the file", async () => {
  const page = await open(browser, join(folder, "unsolved.html"));
  const words = await page.evaluate(() => document.body.innerText);
  assert.doesNotMatch(words, /budget.spent/);
  assert.match(words, /the search ended before it found a way; that is no proof that there is none/);
  await page.context().close();
});

test("coordinates beside a deck on a map lead to the place that the scene gives", () => {
  const scene = readFileSync("fixtures/stand.toml", "utf8");
  const [x, y] = JSON.parse(scene.match(/name = "m3"[^[]*?at_m = (\[.*?\])/s)[1]);
  // The panel of the deck is the first group.
  const [panel] = text("stand.map.svg").match(/<g transform[\s\S]*?<\/g>/);
  const ticks = (kind, k) => [...panel.matchAll(new RegExp(`<text x="(.*?)" y="(.*?)" class="${kind}">(-?[\\d.]+)</text>`, "g"))].map((found) => [Number(found[1 + k]), Number(found[3])]);
  const [, cx, cy] = panel.match(/<circle cx="(.*?)" cy="(.*?)" r="6" class="start"/).map(Number);
  const read = (list, at) => {
    assert.ok(list.length >= 5, "few numbers");
    const [[a, from], [b, to]] = [list[0], list.at(-1)];
    return from + ((at - a) / (b - a)) * (to - from);
  };
  assert.ok(Math.abs(read(ticks("centred", 0), cx) - x) < 1e-3);
  // The text of a number on the left sits 4 pixels below its tick.
  assert.ok(Math.abs(read(ticks("right", 1), cy + 4) - y) < 1e-3);
});

const rgb = (hex) => `rgb(${[1, 3, 5].map((k) => parseInt(hex.slice(k, k + 2), 16)).join(", ")})`;

/** Machado, Oliveira and Fernandes 2009, severity 1, on linear RGB; the figures are from memory, rows sum to one as white stays white. */
const EYES = {
  all: [[1, 0, 0], [0, 1, 0], [0, 0, 1]],
  protanopia: [[0.152286, 1.052583, -0.204868], [0.114503, 0.786281, 0.099216], [-0.003882, -0.048116, 1.051998]],
  deuteranopia: [[0.367322, 0.860646, -0.227968], [0.280085, 0.672501, 0.047413], [-0.01182, 0.04294, 0.968881]],
  tritanopia: [[1.255528, -0.076749, -0.178779], [-0.078411, 0.930809, 0.147602], [0.004733, 0.691367, 0.3039]],
};

/** CIE 1976 L*a*b* under D65 of an sRGB colour as an eye sees it. */
function labOf(colour, eye) {
  const linear = colour.match(/\d+/g).slice(0, 3).map((v) => v / 255).map((v) => (v <= 0.04045 ? v / 12.92 : ((v + 0.055) / 1.055) ** 2.4));
  const seen = eye.map((row) => Math.min(1, Math.max(0, row.reduce((sum, v, k) => sum + v * linear[k], 0))));
  const XYZ = [[0.4124564, 0.3575761, 0.1804375], [0.2126729, 0.7151522, 0.072175], [0.0193339, 0.119192, 0.9503041]];
  const white = [0.95047, 1, 1.08883];
  const [fx, fy, fz] = XYZ.map((row, k) => row.reduce((sum, v, i) => sum + v * seen[i], 0) / white[k]).map((v) => (v > 216 / 24389 ? Math.cbrt(v) : (24389 / 27 * v + 16) / 116));
  return [116 * fy - 16, 500 * (fx - fy), 200 * (fy - fz)];
}
