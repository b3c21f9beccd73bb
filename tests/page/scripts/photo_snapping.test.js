// Marks on made-up pictures, where the true place is known to a part of a pixel.

import assert from "node:assert/strict";
import test from "node:test";
import { slopesOf, snapToCorner, snapToEdge, snapToLine } from "../../../quiltpath/page/photo_snapping.js";

const WIDE = 80, HIGH = 60;

/**
 * A light picture with a dark half plane or quarter, each pixel as dark as much of it is covered.
 * @param {(x: number, y: number) => boolean} isDark
 */
function picture(isDark, fine = 8) {
  const data = new Uint8ClampedArray(4 * WIDE * HIGH);
  for (let y = 0; y < HIGH; y++) {
    for (let x = 0; x < WIDE; x++) {
      let dark = 0;
      for (let i = 0; i < fine; i++) for (let j = 0; j < fine; j++) if (isDark(x + (i + 0.5) / fine, y + (j + 0.5) / fine)) dark++;
      data.set([0, 1, 2].map(() => 220 - 150 * dark / fine ** 2), 4 * (y * WIDE + x));
    }
  }
  return slopesOf({ data, width: WIDE, height: HIGH });
}
const off = (a, b) => Math.hypot(a[0] - b[0], a[1] - b[1]);

test("a corner is found to a quarter of a pixel, also where the panel lies a little askew", () => {
  for (const [x0, y0, turn] of [[40, 30, 0], [41.3, 28.6, 0.06], [38.7, 31.4, -0.09]]) {
    const seen = picture((x, y) => {
      const u = Math.cos(turn) * (x - x0) + Math.sin(turn) * (y - y0), v = -Math.sin(turn) * (x - x0) + Math.cos(turn) * (y - y0);
      return u < 0 && v < 0;
    });
    for (const [dx, dy] of [[4, 3], [-5, 2], [0, -6]]) assert.ok(off(snapToCorner(seen, [x0 + dx, y0 + dy], 12), [x0, y0]) < 0.25);
  }
});

test("a line is found to a tenth of a pixel, either way round", () => {
  for (const at of [30, 30.4, 33.75]) {
    assert.ok(Math.abs(snapToLine(picture((x) => x < at), 0, at + 3.4, [5, HIGH - 5], 8) - at) < 0.1);
    assert.ok(Math.abs(snapToLine(picture((_, y) => y > at), 1, at - 2.6, [5, WIDE - 5], 8) - at) < 0.1);
  }
});

test("a point comes to the edge of a round print", () => {
  const seen = picture((x, y) => Math.hypot(x - 40, y - 30) < 14);
  for (const angle of [0, 1, 2.5, 4]) {
    const found = snapToEdge(seen, [40 + 17.5 * Math.cos(angle), 30 + 17.5 * Math.sin(angle)], 8);
    assert.ok(Math.abs(off(found, [40, 30]) - 14) < 0.8);
  }
});

test("where nothing is printed a mark stays under the hand", () => {
  const seen = picture(() => false);
  assert.deepEqual(snapToCorner(seen, [20.2, 20.7], 8), [20.2, 20.7]);
  assert.deepEqual(snapToEdge(seen, [20.2, 20.7], 8), [20.2, 20.7]);
  assert.equal(snapToLine(seen, 0, 20.2, [0, HIGH], 8), 20.2);
  const straight = picture((x) => x < 40);
  assert.deepEqual(snapToCorner(straight, [43, 30], 8), [43, 30], "one edge makes no corner");
});
