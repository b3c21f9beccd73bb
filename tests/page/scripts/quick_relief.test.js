// The cloth's shape while it changes: distances by looking at every site, heights by the strip's formula.

import assert from "node:assert/strict";
import { test } from "node:test";
import { awayFromLines, distances, heights, shapeOf, widestGap } from "../../../quiltpath/page/quick_relief.js";

/** Sites here and there, the same each time (a linear congruence). */
function scattered(count, columns, rows) {
  let seed = 7;
  const next = () => { seed = (seed * 1103515245 + 12345) % 2 ** 31; return seed / 2 ** 31; };
  return Array.from({ length: count }, () => [next() * (columns - 1), next() * (rows - 1)]);
}

test("every pixel's distance is that to the nearest site, nearly", () => {
  const columns = 61, rows = 43, sites = scattered(40, columns, rows), found = distances(columns, rows, sites);
  let worst = 0;
  for (let y = 0; y < rows; y++) {
    for (let x = 0; x < columns; x++) {
      const least = Math.min(...sites.map(([u, v]) => Math.hypot(u - x, v - y)));
      assert.ok(found[y * columns + x] >= least - 1e-4);
      worst = Math.max(worst, found[y * columns + x] - least);
    }
  }
  assert.ok(worst < 0.3, String(worst)); // sweeps may miss a site behind another's corner
});

test("sites beyond the picture count for nothing, and without any all is far", () => {
  assert.ok(distances(4, 3, [[-5, 1], [9, 9]]).every((d) => d > 1e9));
});

test("between parallel lines the middle rises as the strip's formula says: loft x tanh(spacing / width)", () => {
  const spacing = 30, fine = 40, away = Float32Array.from({ length: spacing * fine + 1 },
    (_, i) => Math.min(i, spacing * fine - i) / fine);
  const rise = heights(away, { loft: 7, width: 50 });
  assert.ok(Math.abs(Math.max(...rise) - 7 * Math.tanh(spacing / 50)) < 0.02);
  assert.equal(rise[0], 0);
  // A quarter of the way the membrane x (w - x) / 2 stands at three quarters of its middle.
  assert.ok(Math.abs(rise[spacing * fine / 4] - 7 * Math.tanh(Math.sqrt(0.75) * spacing / 50)) < 0.02);
});

test("an even slope of one in two leans each normal by as much", () => {
  const columns = 7, rows = 5, pxPerMm = 2;
  const height = Float32Array.from({ length: columns * rows }, (_, i) => 0.5 * (i % columns) / pxPerMm);
  const form = shapeOf(height, columns, rows, pxPerMm, 4);
  const middle = 4 * (2 * columns + 3), normal = [-0.5, 0].map((v) => v / Math.sqrt(1.25));
  assert.ok(Math.abs(form[middle] / 127.5 - 1 - normal[0]) < 0.01);
  assert.ok(Math.abs(form[middle + 1] / 127.5 - 1 - normal[1]) < 0.01);
});

/** Points of upright lines at each x, from 0 to high, as a page has them. */
function upright(all, high) {
  const x = all.flatMap((at) => [at, at]), y = all.flatMap(() => [0, high]);
  return { x, y, bends: Uint32Array.from(x.keys()), begins: Uint8Array.from(x, (_, i) => Number(i % 2 === 0)) };
}

test("the widest gap is the widest of the spaces between lines and edges", () => {
  const data = { bounds: [0, 0, 200, 120], outline: [[0, 0, 200, 0, 200, 120, 0, 120]] };
  const field = awayFromLines(upright([30, 75, 160], 120), data);
  assert.ok(Math.abs(widestGap(field, () => true) - 85) < 1.5);
  assert.equal(widestGap(field, () => false), 0);
  const bare = awayFromLines(upright([-9], 120), data); // a line beyond the edge holds nothing
  assert.ok(Math.abs(widestGap(bare, () => true) - 120) < 1.5);
  assert.ok(Math.abs(widestGap(awayFromLines(upright([119], 120), data), () => true) - 119) < 1.5);
});
