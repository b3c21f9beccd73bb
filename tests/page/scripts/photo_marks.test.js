// Marks are changed one at a time, and what was before stays as it was.

import assert from "node:assert/strict";
import test from "node:test";
import { addLine, blocksOf, marksOf, motifAt, moveMark, nearest, placeOf, pointsOf, put, putBack, without } from "../../../quiltpath/page/photo_marks.js";

const sure = { error: 0.2, sure: 0.9 };
const lines = (...places) => places.map((at) => ({ at, ...sure }));
const circle = (n, r) => Array.from({ length: n }, (_, i) => [r * Math.cos(2 * Math.PI * i / n), r * Math.sin(2 * Math.PI * i / n)]);
const marks = () => marksOf({
  found: 1, length: 400, width: 200, corners: [sure, sure, sure, sure],
  along: lines(20, 190, 210, 380), across: lines(20, 180), not_found: [],
  motifs: [{ ...sure, pieces: [{ outline: circle(40, 30), holes: [circle(12, 8)] }],
    places: [{ at: [105, 100], turned: 0 }, { at: [295, 104], turned: 180 }] }],
});

test("blocks are named row by row from the lower left", () => {
  assert.deepEqual(blocksOf(marks()).map((block) => block.name), ["A1", "B1"]);
  assert.deepEqual(blocksOf(marks())[1].box, [210, 20, 380, 180]);
});

test("a turned place is put and put back alike", () => {
  const where = { at: [295, 104], turned: 180 };
  assert.deepEqual(put(where, [30, 5]), [265, 99]);
  assert.deepEqual(putBack(where, put(where, [30, 5])), [30, 5]);
});

test("corners are taken hold of before points, points before lines", () => {
  assert.deepEqual(nearest(marks(), [3, 4], 10), { kind: "corner", i: 0 });
  assert.equal(nearest(marks(), [134, 100], 4).kind, "point");
  assert.deepEqual(nearest(marks(), [23, 60], 4), { kind: "along", i: 0 });
  assert.deepEqual(nearest(marks(), [60, 183], 4), { kind: "across", i: 1 });
  assert.equal(nearest(marks(), [60, 60], 4), null);
});

test("a point takes its neighbours along, in all places of its motif, and leaves the rest", () => {
  const before = marks(), mark = { kind: "point", motif: 0, place: 1, piece: 0, ring: 0, i: 10 };
  const at = placeOf(before, mark), after = moveMark(before, mark, [at[0] + 6, at[1]], 12);
  assert.ok(Math.abs(placeOf(after, mark)[0] - at[0] - 6) < 0.02);
  const moved = [...pointsOf(after)].filter((one, i) => Math.hypot(one.at[0] - [...pointsOf(before)][i].at[0], one.at[1] - [...pointsOf(before)][i].at[1]) > 0.05);
  assert.deepEqual([...new Set(moved.map((one) => one.mark.i))].sort((a, b) => a - b), [8, 9, 10, 11, 12]);
  assert.equal(moved.length, 10, "five points, in both places");
  assert.equal(after.motifs[0].by_hand, true);
  assert.deepEqual(before, marks(), "what was before stays");
});

test("lines stay in their order and on the panel", () => {
  const far = moveMark(marks(), { kind: "along", i: 1 }, [390, 0], 0);
  assert.equal(far.along[1].at, 209);
  assert.equal(moveMark(marks(), { kind: "along", i: 0 }, [-30, 0], 0).along[0].at, 0);
});

test("a line is added in the widest room, and taken away again", () => {
  const { marks: more, mark } = addLine(marks(), "along");
  assert.equal(more.along.length, 5);
  assert.equal(more.along[mark.i].at, 105);
  assert.deepEqual(without(more, mark), marks());
});

test("the brush is for the motif in the block under it, or for a new one", () => {
  assert.equal(motifAt(marks(), [60, 60]).i, 0);
  const bare = without(marks(), { kind: "point", motif: 0, place: 0, piece: 0, ring: 0, i: 0 });
  assert.deepEqual(motifAt(bare, [250, 60]).where, { at: [295, 100], turned: 0 });
  assert.equal(motifAt(marks(), [200, 100]), null, "between the blocks");
});
