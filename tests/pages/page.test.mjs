// Pages in a real browser, against the reference implementation of the model page in ../outside.
import { after, before, describe, test } from "node:test";
import assert from "node:assert/strict";
import { readFileSync, statSync } from "node:fs";
import { join } from "node:path";
import { launch, open } from "./browser.mjs";

const folder = process.env.CLAMBER_PAGES;
const PLANS = ["crossing", "stand", "regroup", "cobbles"];
const file = (name) => join(folder, `${name}.html`);
const expected = (name) => JSON.parse(readFileSync(join(folder, `${name}.expected.json`), "utf8"));
const plan = (name) => JSON.parse(readFileSync(join(folder, `${name}.json`), "utf8"));

let browser;
before(async () => { browser = await launch(); });
after(() => browser?.close());

/** Opens a page, and afterwards holds it to silence: nothing on the console, nothing asked of the network. */
async function visit(name, options, act) {
  const page = await open(browser, file(name), options);
  await act(page);
  // Chromium itself says this when a picture is read back from a software renderer.
  assert.deepEqual(page.trouble.filter((line) => !line.includes("GPU stall due to ReadPixels")), []);
  assert.deepEqual(page.requests.filter((url) => !url.startsWith("file:") && !url.startsWith("data:")), []);
  await page.context().close();
}

describe("a page of a large crew", () => {
  test("puts every module where the plan file has it, and sums up what is too much to say", async () => {
    await visit("fields", {}, async (page) => {
      const { steps } = plan("fields");
      const some = steps.map((_, k) => k).filter((k) => k % 9 === 0);
      const seen = await page.evaluate((times) => times.map((t) => {
        clamber.clock.seek(t);
        const { steps } = clamber.figures(t);
        return { placed: clamber.placed(), count: steps.length, now: document.getElementById("now-text").textContent };
      }), some.map((k) => steps[k].start_s + steps[k].duration_s));
      const { modules } = await page.evaluate(() => ({ modules: clamber.sheet.modules.map(({ name }) => name) }));
      some.forEach((k, row) => {
        const at = seen[row].placed[modules.indexOf(steps[k].module)].slice(12, 15);
        assert.ok(Math.hypot(...at.map((v, i) => v - steps[k].end.position_m[i])) < 1e-6, `step ${k}`);
      });
      const busy = seen.filter(({ count }) => count > 12);
      assert.ok(busy.length > 0);
      for (const { count, now } of busy) assert.match(now, new RegExp(`And ${count - 12} other moves?\\.`));
      const worst = await page.evaluate(() => clamber.sheet.steps.map((step) => [step.worst?.used ?? 0, step.gap?.[2] ?? null]));
      steps.forEach((step, k) => {
        assert.ok(worst[k][0] < step.utilisation + 2.5e-3, `step ${k}: ${worst[k][0]} and ${step.utilisation}`);
        if (step.gap_m !== undefined) assert.ok(Math.abs(worst[k][1] - step.gap_m) < 1e-6, `step ${k}: ${worst[k][1]} and ${step.gap_m}`);
      });
      assert.ok(statSync(file("fields")).size < 3e6);
    });
  });

  test("says of a large structure what is proven of all of its bonds", async () => {
    await visit("pyramid", {}, async (page) => {
      const words = await page.evaluate(() => {
        clamber.clock.seek(clamber.sheet.end_s);
        return [...document.querySelectorAll("#bonds tbody tr")].map((row) => row.cells[3].textContent);
      });
      assert.ok(words.length === 14 && words.every((each) => /^at most \d+\s%$/.test(each)), words.join());
      assert.match(await page.textContent("#now-text"), /No bond uses more than \d+\s% of its hold/);
    });
  });
});

describe("a page of a crew that strides", () => {
  test("names the phase, the parts of the machine and what each stands on, in every stride", async () => {
    await visit("cobbles", {}, async (page) => {
      const strides = plan("cobbles").steps.filter((step) => step.move === "stride").sort((a, b) => a.start_s - b.start_s);
      assert.ok(strides.length > 1);
      const seen = await page.evaluate((times) => times.map((t) => {
        clamber.clock.seek(t);
        const rows = [...document.querySelectorAll("#bonds tbody tr")].map((row) => [...row.cells].map((cell) => cell.textContent));
        return { rows, phase: document.getElementById("phase").textContent, now: document.getElementById("now-text").textContent };
      }), strides.map((step) => step.start_s + step.duration_s / 2));
      strides.forEach((step, k) => {
        const { rows, phase, now } = seen[k];
        assert.equal(phase, `Walking, stride ${k + 1} of ${strides.length}: the machine strides`);
        assert.ok(now.includes(`${step.module} (hub) strides`), now);
        const row = (part) => rows.filter(([name]) => name.endsWith(`(${part})`));
        assert.deepEqual(row("hub").map(([name, on]) => [name, on]), [[`${step.module} (hub)`, "the air"]]);
        assert.deepEqual(row("end").map(([name]) => name).sort(), step.planted.map((name) => `${name} (end)`).sort());
        const knees = row("knee").map(([name]) => name.split(" ")[0]);
        assert.deepEqual(row("end").map(([, on]) => on).sort(), knees.sort());
        assert.ok(row("knee").every(([, on]) => on === step.module));
      });
    });
  });

  test("says of each leg that is off the deck where it comes down", async () => {
    await visit("cobbles", {}, async (page) => {
      const { legs, far } = await page.evaluate(() => {
        const { sheet } = clamber;
        // How far the shell of a module is above a deck, from its place in the picture.
        const above = (module, deck, t) => {
          clamber.clock.seek(t);
          return clamber.placed()[module][14] - sheet.kinds[sheet.modules[module].kind].shell - sheet.decks[deck].top;
        };
        const legs = sheet.legs.filter(({ swings, onto }) => swings && onto !== null).map((leg) => {
          const at = (share) => leg.from + (leg.to - leg.from) * share;
          const rises = [0.1, 0.25, 0.5, 0.75, 0.9].map((share) => above(leg.end, leg.off, at(share)));
          const words = document.getElementById("what-for").textContent;
          return { ...leg, words, rise: Math.max(...rises), fall: above(leg.end, leg.onto, leg.to) };
        });
        clamber.clock.seek(sheet.end_s);
        return { legs, far: document.getElementById("now-text").textContent };
      });
      assert.ok(legs.length > 3);
      const { deck, module } = plan("cobbles").scenario;
      const [decks, modules] = [deck, module].map((list) => list.map(({ name }) => name));
      for (const { knee, end, off, onto, words, rise, fall } of legs) {
        const lifted = words.includes("is lifted and set");
        assert.ok(lifted ? rise > 1e-3 : words.includes("just over the deck"), `${words} ${rise}`);
        assert.ok(Math.abs(fall) < 2e-3, `${fall}`);
        const [from, to] = [decks[off], decks[onto]];
        assert.ok(words.includes(`${modules[knee]}\u2013${modules[end]}`), words);
        assert.ok(words.includes(off === onto ? `away on ${from}` : `from ${from} to ${to}`), words);
      }
      assert.ok(far.startsWith("Done"), far);
    });
  });

  test("the view keeps the crew in the window and fills it", async () => {
    await visit("cobbles", {}, async (page) => {
      const shares = await page.evaluate(() => [0, 0.25, 0.5, 0.75, 1].map((share) => {
        clamber.clock.seek(share * clamber.sheet.end_s);
        const { clientWidth: width, clientHeight: height } = document.getElementById("canvas");
        const at = clamber.placed().map((matrix) => clamber.onCanvas(matrix.slice(12, 15)));
        const [xs, ys] = [at.map(([x]) => x), at.map(([, y]) => y)];
        return [Math.min(...xs) / width, Math.max(...xs) / width, Math.min(...ys) / height, Math.max(...ys) / height];
      }));
      for (const [left, right, top, bottom] of shares) {
        assert.ok(left > 0 && right < 1 && top > 0 && bottom < 1, `${shares}`);
        assert.ok(Math.max(right - left, bottom - top) > 0.2, `${shares}`);
      }
    });
  });
});

describe("a page of a plan", () => {
  for (const name of PLANS) {
    test(`${name}: things on the stage are where the reference has them, in the middle of every kind of move`, async () => {
      await visit(name, {}, async (page) => {
        const { instants, poses } = expected(name);
        const seen = await page.evaluate((times) => times.map((t) => { clamber.clock.seek(t); return clamber.placed(); }), instants);
        let worst = 0;
        instants.forEach((t, k) => poses[k].forEach((pose, m) => {
          const matrix = seen[k][m]; // by columns
          const [px, py, pz, ...rotation] = pose; // by rows
          [px, py, pz].forEach((v, i) => { worst = Math.max(worst, Math.abs(v - matrix[12 + i])); });
          rotation.forEach((v, i) => { worst = Math.max(worst, Math.abs(v - matrix[4 * (i % 3) + Math.floor(i / 3)])); });
        }));
        assert.ok(instants.length >= 200);
        assert.ok(worst < 2e-6, `off by ${worst}`);
      });
    });
  }

  for (const name of PLANS) test(`${name}: the worst bond and the centre of mass at an instant are the reference's`, async () => {
    await visit(name, {}, async (page) => {
      const { instants, centres, used } = expected(name);
      const seen = await page.evaluate((times) => times.map((t) => {
        const weigh = (cluster) => cluster.members.reduce((sum, member) => sum + clamber.sheet.modules[member].mass, 0);
        const clusters = clamber.clusters(t);
        const mass = clusters.reduce((sum, cluster) => sum + weigh(cluster), 0);
        const centre = [0, 1, 2].map((k) => clusters.reduce((sum, cluster) => sum + weigh(cluster) * cluster.centre[k], 0) / mass);
        return { centre, used: clamber.figures(t).worst?.used ?? 0 };
      }), instants);
      let compared = 0;
      instants.forEach((t, k) => {
        centres[k].forEach((v, i) => assert.ok(Math.abs(v - seen[k].centre[i]) < 1e-9, `centre at ${t}`));
        if (used[k] === null) return;
        compared += 1;
        // Between the instants of the sheet figures go straight. These are close enough for 0.25 % of the hold in their middles; elsewhere, where
        // a bond begins to be used at all, it is a little more.
        assert.ok(Math.abs(used[k] - seen[k].used) < 5e-3, `at ${t}: ${seen[k].used}, the reference has ${used[k]}`);
      });
      assert.ok(compared >= 40);
    });
  });

  for (const name of PLANS) test(`${name}: the words and figures of a step are those of the plan file`, async () => {
    await visit(name, {}, async (page) => {
      const { steps, summary } = plan(name);
      const rows = await page.evaluate(() => [...document.querySelectorAll("#steps tr[data-step]")].map((row) => [...row.cells].map((cell) => cell.textContent)));
      assert.equal(rows.length, steps.length);
      const worst = await page.evaluate(() => clamber.sheet.steps.map((step) => [step.worst?.used ?? 0, step.gap?.[2] ?? null]));
      // The table goes by starts, the file by its own order.
      const order = steps.map((_, k) => k).sort((a, b) => steps[a].start_s - steps[b].start_s);
      steps.forEach((step, k) => {
        // Of what else stands beside it the page knows samples, between which figures go straight.
        assert.ok(Math.abs(worst[k][0] - step.utilisation) < 2.5e-3, `step ${k}: ${worst[k][0]} and ${step.utilisation}`);
        if (step.gap_m !== undefined) assert.ok(Math.abs(worst[k][1] - step.gap_m) < 1e-6, `step ${k}: ${worst[k][1]} and ${step.gap_m}`);
        assert.ok(rows[order.indexOf(k)][3].startsWith(`${step.module} `));
      });
      assert.ok((await page.textContent("#block")).includes(`${summary.moves} in ${summary.makespan_s.toFixed(1)} s`));
    });
  });

  test("it plays, stops at the end, and what moves is drawn elsewhere", async () => {
    await visit("crossing", {}, async (page) => {
      const spot = (index) => page.evaluate((i) => clamber.onCanvas(clamber.placed()[i].slice(12, 15)), index);
      const drawn = async () => (await page.locator("#canvas").screenshot()).toString("base64");
      const [first, from] = [await drawn(), await spot(0)];
      await page.selectOption("#speed", "1");
      await page.click("#play");
      await page.waitForFunction(() => clamber.clock.t > 1.4);
      assert.match(await page.textContent("#now-text"), /m4 turns against \d\.\d\d of 0\.50/);
      assert.equal(await page.textContent("#play"), "Pause");
      assert.match(await page.textContent("#now-text"), /m1 slides .* carrying m2 and m3\.m4 yaws/);
      await page.selectOption("#speed", "8");
      await page.waitForFunction(() => !clamber.clock.playing);
      assert.equal(await page.evaluate(() => clamber.clock.t === clamber.sheet.end_s), true);
      const to = await spot(0);
      assert.ok(Math.hypot(from[0] - to[0], from[1] - to[1]) > 40);
      assert.notEqual(first, await drawn());
    });
  });

  test("the pixel where a mover's shell is has the mover's colour, and the ground where it was", async () => {
    await visit("crossing", {}, async (page) => {
      await page.evaluate(() => { document.getElementById("tags").style.display = "none"; clamber.clock.seek(3); });
      await page.waitForTimeout(200);
      // Right of the middle: the stripe runs through the middle.
      const hue = async (point) => {
        const box = await page.locator("#canvas").boundingBox();
        const at = await page.evaluate((p) => clamber.onCanvas(p), point);
        const clip = { x: box.x + at[0] - 1, y: box.y + at[1] - 1, width: 3, height: 3 };
        const shot = (await page.screenshot({ clip })).toString("base64");
        return page.evaluate(async (data) => {
          const image = new Image();
          image.src = `data:image/png;base64,${data}`;
          await image.decode();
          const pen = new OffscreenCanvas(3, 3).getContext("2d");
          pen.drawImage(image, 0, 0);
          const [r, , b] = pen.getImageData(1, 1, 1, 1).data;
          return (r - b) / r;
        }, shot);
      };
      const place = await page.evaluate(() => clamber.placed()[3].slice(12, 15));
      assert.ok((await hue([place[0], place[1] - 0.05, place[2]])) > 0.4, "m4 is saffron");
      assert.ok((await hue([place[0] + 0.2, place[1], 0])) < 0.25, "the deck is not");
    });
  });

  test("scrubbing, keys, steps, the timeline and the table all lead to instants", async () => {
    await visit("crossing", {}, async (page) => {
      const now = () => page.evaluate(() => clamber.clock.t);
      await page.locator("#scrub").fill("5");
      assert.equal(await now(), 5);
      await page.keyboard.press("Escape");
      await page.locator("#canvas").focus();
      await page.keyboard.press("ArrowRight");
      assert.equal(await now(), 5.5);
      await page.keyboard.press("ArrowLeft");
      assert.equal(await now(), 5);
      await page.keyboard.press(".");
      assert.ok(Math.abs((await now()) - 5.1) < 1e-9);
      await page.keyboard.press("End");
      assert.ok(Math.abs((await now()) - 11.4) < 1e-6);
      await page.keyboard.press("Home");
      assert.equal(await now(), 0);
      await page.keyboard.press(" ");
      assert.equal(await page.evaluate(() => clamber.clock.playing), true);
      await page.keyboard.press(" ");
      assert.equal(await page.evaluate(() => clamber.clock.playing), false);
      await page.click("#steps button[aria-label='To step 3']");
      assert.equal(await now(), 2.5);
      assert.match(await page.textContent("#now-spoken"), /m6 hops from floor to m7/);
      const { width } = await page.locator("#tracks svg").boundingBox();
      await page.locator("#tracks").click({ position: { x: width / 2, y: 80 } });
      assert.ok(Math.abs((await now()) - 5.7) < 0.1, "half of the timeline is half of the plan");
    });
  });

  test("light and dark follow the system until somebody chooses", async () => {
    for (const colorScheme of ["light", "dark"]) {
      await visit("crossing", { colorScheme }, async (page) => {
        const theme = () => page.evaluate(() => document.documentElement.dataset.theme);
        assert.equal(await theme(), colorScheme);
        await page.click("#theme");
        assert.equal(await theme(), colorScheme === "light" ? "dark" : "light");
      });
    }
  });

  test("a telephone shows it without scrolling sideways", async () => {
    await visit("stand", { width: 360, height: 740, isMobile: true, hasTouch: true, deviceScaleFactor: 2 }, async (page) => {
      const [wide, room] = await page.evaluate(() => [document.documentElement.scrollWidth, innerWidth]);
      assert.ok(wide <= room, `${wide} of ${room}`);
      const box = await page.locator("#canvas").boundingBox();
      const play = await page.locator("#play").boundingBox();
      assert.ok(box.width > 300 && play.y + play.height <= 740, "view and play button are on the first screen");
      await page.tap("#play");
      await page.waitForFunction(() => clamber.clock.t > 0);
    });
  });

  test("on paper it is a storyboard with the table of steps, and afterwards all is as before", async () => {
    await visit("stand", { colorScheme: "dark" }, async (page) => {
      await page.evaluate(() => { window.stills = 0; addEventListener("beforeprint", () => { window.stills = document.querySelectorAll("#stills img").length; }); clamber.clock.seek(12); });
      const pdf = await page.pdf({ format: "A4", landscape: true, printBackground: true });
      assert.ok(pdf.length > 100_000, "there are pictures in it");
      assert.equal(await page.evaluate(() => window.stills), 9);
      await page.waitForFunction(() => document.querySelectorAll("#stills img").length === 0);
      assert.equal(await page.evaluate(() => clamber.clock.t), 12);
      assert.equal(await page.evaluate(() => document.documentElement.dataset.theme), "dark");
    });
  });

  test("without WebGL a message stands there, and words, timeline and tables work", async () => {
    const context = await browser.newContext();
    const page = await context.newPage();
    await page.addInitScript(() => { HTMLCanvasElement.prototype.getContext = () => null; });
    await page.goto(`file://${file("crossing")}`);
    await page.waitForFunction(() => window.clamber);
    assert.equal(await page.isVisible("#no-view"), true);
    await page.click("#steps button[aria-label='To step 3']");
    assert.match(await page.textContent("#now-text"), /m6 hops from floor to m7/);
    await context.close();
  });

  test("without scripts the table of steps and the cautions are there", async () => {
    const context = await browser.newContext({ javaScriptEnabled: false });
    const page = await context.newPage();
    await page.goto(`file://${file("stand")}`);
    assert.equal(await page.locator("#steps tr[data-step]").count(), plan("stand").steps.length);
    assert.match(await page.textContent("#cautions"), /no risk assessment/);
    await context.close();
  });

  test("it is under 2 MB, and every control has a name", async () => {
    for (const name of [...PLANS, "sixty"]) assert.ok(statSync(file(name)).size < 2e6);
    await visit("stand", {}, async (page) => {
      const nameless = await page.evaluate(() => [...document.querySelectorAll("button, input, select, canvas")].filter((element) =>
        !(element.getAttribute("aria-label") || element.textContent.trim() || element.labels?.[0]?.textContent.trim())).map((element) => element.outerHTML));
      assert.deepEqual(nameless, []);
    });
  });
});

describe("a page of a scene", () => {
  test("shows start, goal and the deck to gather on, and no player", async () => {
    await visit("scene-stand", {}, async (page) => {
      assert.equal(await page.isVisible("#transport"), false);
      assert.equal(await page.isVisible("#timeline"), false);
      assert.equal(await page.evaluate(() => clamber.sheet.slots.length), 7);
      assert.equal(await page.locator(".tag.ghost:visible").count(), 7);
    });
    await visit("crossing", {}, async (page) => {
      assert.match(await page.textContent("#tags"), /floor \(steel, sealable\): 4 to gather here/);
    });
  });
});

describe("a page of a plan that is not sound", () => {
  test("says so at the top, with every finding", async () => {
    await visit("unsound", {}, async (page) => {
      assert.match(await page.textContent("#verdict"), /Not sound/);
      assert.match(await page.textContent("#findings"), /overlaps|peels|slips|tips|claims/);
    });
  });
  test("names and messages cannot break out of the page", async () => {
    await visit("hostile", {}, async (page) => {
      assert.equal(await page.evaluate(() => window.broken), undefined);
      assert.equal(await page.textContent("h1"), '</script><script>window.broken = 1</script><b>"&');
    });
  });
});
