// Dragging adds one change; what is undone comes back; what is new forgets what was undone.

import assert from "node:assert/strict";
import { test } from "node:test";
import { Changes } from "../../../quiltpath/page/changes.js";

test("as long as the hand holds a figure its change takes the new value", () => {
  const changes = new Changes();
  assert.equal(changes.add("spacing", 30, false, { entry: 0 }), true);
  changes.add("spacing", 31, false, { entry: 0 });
  changes.add("spacing", 32, false, { entry: 1 });
  assert.deepEqual(changes.plain(), [
    { entry: 0, key: "spacing", value: 31 }, { entry: 1, key: "spacing", value: 32 },
  ]);
});

test("letting go at the same value is no further change", () => {
  const changes = new Changes();
  changes.add("spacing", 31, false);
  assert.equal(changes.isSettled, false);
  assert.equal(changes.add("spacing", 31, true), false);
  assert.equal(changes.isSettled, true);
  changes.add("spacing", 40, false);
  assert.equal(changes.plain().length, 2);
});

test("undo and redo, and a new change after undo", () => {
  const changes = new Changes();
  changes.add("a", 1, true);
  changes.add("b", 2, true);
  changes.undo();
  assert.deepEqual(changes.plain(), [{ key: "a", value: 1 }]);
  assert.equal(changes.hasUndone, true);
  changes.redo();
  assert.equal(changes.plain().length, 2);
  changes.undo();
  changes.add("c", 3, true);
  assert.equal(changes.hasUndone, false);
  changes.redo();
  assert.deepEqual(changes.plain().map(({ key }) => key), ["a", "c"]);
});

test("a kept design comes back as it was kept, whatever was changed in it since", () => {
  const changes = new Changes();
  changes.add("a", 1, true);
  const kept = changes.plain();
  changes.add("a", 5, true);
  changes.put(kept);
  assert.deepEqual(changes.plain(), [{ key: "a", value: 1 }]);
  changes.add("a", 7, false);
  assert.deepEqual(kept, [{ key: "a", value: 1 }]);
});
