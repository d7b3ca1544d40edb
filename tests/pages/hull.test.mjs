// The viewer's plane geometry against closed forms.
import { test } from "node:test";
import assert from "node:assert/strict";
import { convexHull, insetOf, nearestOnDeck } from "../../planner-cli/viewer/src/hull.js";

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

test("the nearest point of a deck: above it, beside it, under it, in the notch of an L", () => {
  const deck = { outline: [[0, 0], [2, 0], [2, 1], [1, 1], [1, 2], [0, 2]], top: 0.5, bottom: 0 };
  assert.deepEqual(nearestOnDeck(deck, [0.5, 0.5, 3]), [0.5, 0.5, 0.5]);
  assert.deepEqual(nearestOnDeck(deck, [-1, 1.5, 0.2]), [0, 1.5, 0.2]);
  assert.deepEqual(nearestOnDeck(deck, [0.5, 0.5, -4]), [0.5, 0.5, 0]);
  assert.deepEqual(nearestOnDeck(deck, [1.2, 1.9, 0.1]), [1, 1.9, 0.1]);
  assert.deepEqual(nearestOnDeck({ ...deck, bottom: null }, [0.5, 0.5, -4]), [0.5, 0.5, -4]);
});
