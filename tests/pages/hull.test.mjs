// The viewer's plane geometry against closed forms.
import { test } from "node:test";
import assert from "node:assert/strict";
import { convexHull, insetOf, leastRise, nearestOnDeck } from "../../planner-cli/viewer/src/hull.js";

const near = (a, b) => assert.ok(Math.abs(a - b) < 1e-12, `${a} is not ${b}`);
const disc = (x, y, radius, sides) =>
  Array.from({ length: sides }, (_, k) => [x + radius * Math.cos((2 * Math.PI * k) / sides), y + radius * Math.sin((2 * Math.PI * k) / sides)]);

test("the hull of a square with points inside and on its edges is the square, counter-clockwise", () => {
  const points = [[0, 0], [2, 2], [1, 1], [2, 0], [1, 0], [0, 2], [0.3, 1.9]];
  assert.deepEqual(convexHull(points), [[0, 0], [2, 0], [2, 2], [0, 2]]);
});

test("inset is the distance to the nearest side, negative outside, to corners too", () => {
  const square = [[0, 0], [2, 0], [2, 2], [0, 2]];
  near(insetOf(square, [1, 0.25]), 0.25);
  near(insetOf(square, [1, -0.25]), -0.25);
  near(insetOf(square, [5, 6]), -5);
});

test("between two feet the support is a stadium: a foot's radius wide from the middle line, ends at its caps", () => {
  const hull = convexHull([...disc(0, 0, 0.04, 32), ...disc(0.3, 0, 0.04, 32)]);
  near(insetOf(hull, [0.15, 0]), 0.04);
  near(insetOf(hull, [0.35, 0]), -0.01);
});

// The stance of the worked cycle of docs/theory.md: ends at these places, the hub at the height of its centre, all balls alike.
test("margins of a machine that strides: to the nearest edge, and the energy that tips it over the easiest", () => {
  const [radius, crank, aside] = [0.06, 0.048, Math.sqrt(0.12 ** 2 - 0.048 ** 2)];
  const knees = [[180, 1], [50, 1], [-90, -1]].map(([azimuth, side]) => [(azimuth * Math.PI) / 180, side]);
  const level = Math.sqrt(0.12 ** 2 - 0.024 ** 2);
  const weight = 7 * 0.5 * 9.80665;
  const start = { angle: -Math.PI / 3, inset: 0.04242, tips: 0.4125 };
  const middle = { angle: 0, inset: 0.05213, tips: 0.5130 };
  const end = { angle: Math.PI / 3, inset: 0.02727, tips: 0.1786 };
  for (const { angle, inset, tips } of [start, middle, end]) {
    const ends = knees.map(([azimuth, side]) => [level * Math.cos(azimuth) - crank * Math.sin(angle), level * Math.sin(azimuth) + side * aside, radius]);
    const rise = crank * Math.cos(angle) - 0.024;
    const balls = [[0, 0, radius + rise - 0.01]];
    knees.forEach(([azimuth, side], k) => {
      const up = [level * Math.cos(azimuth), level * Math.sin(azimuth), 0.024].map((v) => v / 0.12);
      const knee = [level * Math.cos(azimuth), level * Math.sin(azimuth), radius + rise + 0.024];
      balls.push(knee.map((v, i) => v - 0.01 * up[i]));
      const out = ends[k].map((v, i) => (v - knee[i]) / 0.12);
      balls.push(ends[k].map((v, i) => v - 0.01 * out[i]));
    });
    const centre = [0, 1, 2].map((i) => balls.reduce((sum, ball) => sum + ball[i], 0) / 7);
    const hull = convexHull(ends.map(([x, y]) => [x, y, 0]));
    assert.ok(Math.abs(insetOf(hull, centre) - inset) < 1e-5, `${insetOf(hull, centre)}`);
    assert.ok(Math.abs(weight * leastRise(hull, centre) - tips) < 1e-3, `${weight * leastRise(hull, centre)}`);
  }
});

test("a support whose corners differ in height: a point over the middle of a ridge rises as over level ground along the ridge", () => {
  const hull = [[-1, -1, 0], [1, -1, 0], [1, 1, 0.5], [-1, 1, 0.5]];
  near(leastRise(hull, [0, 0.9, 1]), Math.hypot(0.1, 0.5) - 0.5);
});

test("the nearest point of a deck: above it, beside it, under it, in the notch of an L", () => {
  const deck = { outline: [[0, 0], [2, 0], [2, 1], [1, 1], [1, 2], [0, 2]], top: 0.5, bottom: 0 };
  assert.deepEqual(nearestOnDeck(deck, [0.5, 0.5, 3]), [0.5, 0.5, 0.5]);
  assert.deepEqual(nearestOnDeck(deck, [-1, 1.5, 0.2]), [0, 1.5, 0.2]);
  assert.deepEqual(nearestOnDeck(deck, [0.5, 0.5, -4]), [0.5, 0.5, 0]);
  assert.deepEqual(nearestOnDeck(deck, [1.2, 1.9, 0.1]), [1, 1.9, 0.1]);
  assert.deepEqual(nearestOnDeck({ ...deck, bottom: null }, [0.5, 0.5, -4]), [0.5, 0.5, -4]);
});
