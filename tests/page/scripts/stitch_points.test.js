// Needle points unpacked: where they lie, what is sewn, when, and where the thread bends.

import assert from "node:assert/strict";
import { test } from "node:test";
import { SECURING, STITCH, TRAVEL, unpacked } from "../../../quiltpath/documents/cloth_view/stitch_points.js";

const packed = (bytes) => Buffer.from(bytes.buffer).toString("base64");
const TIME = { perMinute: 100, runMinutes: 0.5, changeMinutes: 1, total: 10 };

/** Points in mm as a page gets them, steps of a twentieth of a mm. */
function given(points, kinds, layers, changes = []) {
  const unit = 0.05, whole = points.map(([x, y]) => [Math.round(x / unit), Math.round(y / unit)]);
  const steps = whole.flatMap(([x, y], i) => (i ? [x - whole[i - 1][0], y - whole[i - 1][1]] : [0, 0]));
  return {
    unit, first: whole[0], steps: packed(Int16Array.from(steps)),
    kind: packed(Uint8Array.from(kinds)), layer: packed(Uint8Array.from(layers)), changes,
  };
}

const L = given(
  [[0, 0], [0, 0], [3, 0], [6, 0], [6, 3], [6, 6], [20, 20], [20, 20], [23, 20]],
  [TRAVEL, SECURING, STITCH, STITCH, STITCH, STITCH, TRAVEL, STITCH, STITCH],
  [0, 0, 0, 0, 0, 0, 1, 1, 1], [7]);

test("points lie where they were packed, and a stitch ends at all but where the needle comes down", () => {
  const points = unpacked(L, TIME);
  assert.equal(points.count, 9);
  assert.ok(Math.abs(points.x[8] - 23) < 1e-5 && Math.abs(points.y[5] - 6) < 1e-5);
  assert.deepEqual([...points.sewn], [0, 0, 1, 1, 1, 1, 0, 0, 1]);
  assert.deepEqual(points.runStart, [0, 6]);
  assert.deepEqual(points.present, [1, 0]);
});

test("five stitches, two starts and a change come to the whole time, in their shares", () => {
  const points = unpacked(L, TIME), plain = 5 / 100 + 2 * 0.5 + 1;
  assert.ok(Math.abs(points.clock[0] - 0.5 * 10 / plain) < 1e-5);
  assert.ok(Math.abs(points.clock[8] - 10) < 1e-5);
  for (let i = 1; i < points.count; i++) assert.ok(points.clock[i] >= points.clock[i - 1]);
});

test("a straight stretch bends at its ends alone, a corner is kept", () => {
  const points = unpacked(L, TIME);
  const bends = [...points.bends].map((i) => [Math.round(points.x[i]), Math.round(points.y[i])]);
  assert.deepEqual(bends, [[0, 0], [6, 0], [6, 6], [20, 20], [23, 20]]);
  assert.deepEqual([...points.begins], [1, 0, 0, 1, 0]);
});

test("the way back over the same line is kept", () => {
  const there = given([[0, 0], [0, 0], [3, 0], [6, 0], [3, 0], [0, 0]],
    [TRAVEL, STITCH, STITCH, STITCH, STITCH, STITCH], [0, 0, 0, 0, 0, 0]);
  const points = unpacked(there, TIME);
  assert.deepEqual([...points.bends].map((i) => Math.round(points.x[i])), [0, 6, 0]);
});

test("boxes hold the points of their stretch and the one before it", () => {
  const many = Array.from({ length: 300 }, (_, i) => [i, i % 2]);
  const points = unpacked(given(many, many.map(() => STITCH), many.map(() => 0)), TIME);
  assert.equal(points.boxes.length, 3);
  assert.deepEqual(points.boxes[1].map(Math.round), [127, 0, 255, 1]);
});
