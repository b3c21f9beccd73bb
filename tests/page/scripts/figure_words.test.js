// Figures in words: as a ruler shows them, as they are reckoned, as they differ.

import assert from "node:assert/strict";
import { test } from "node:test";
import { about, difference, leastStep, length } from "../../../quiltpath/page/figure_words.js";

test("inches come in the sixteenths of a ruler, in their lowest terms", () => {
  assert.equal(length(25.4, "in"), "1 in (25.4 mm)");
  assert.equal(length(38.1, "in"), "1 1/2 in (38.1 mm)");
  assert.equal(length(6.35, "in"), "1/4 in (6.3 mm)");
  assert.equal(length(0, "in"), "0 in (0.0 mm)");
  assert.equal(length(25.4 * 2.9999, "in"), "3 in (76.2 mm)");
  assert.equal(length(38.1, "mm"), "38.1 mm");
});

test("what lies to the left or below says so", () => {
  assert.equal(length(-12.7, "in"), "−1/2 in (-12.7 mm)");
  assert.equal(length(-0.1, "in"), "0 in (-0.1 mm)");
});

test("a step is a sixteenth of an inch, or half a millimetre", () => {
  assert.equal(leastStep("in") * 16, 25.4);
  assert.equal(leastStep("mm"), 0.5);
});

test("a figure follows the length of the lines, its words stay", () => {
  assert.equal(about("8,106", 1.5), "about 12,159");
  assert.equal(about("23 m", 2), "about 46 m");
  assert.equal(about("51 min", 0.5), "about 26 min");
});

test("a difference is told where both are numbers that differ", () => {
  assert.equal(difference("12,915", "10,343"), " (+2,572)");
  assert.equal(difference("34 min", "51 min"), " (−17)");
  assert.equal(difference("about 40 m", "38.5 m"), " (+1.5)");
  assert.equal(difference("51 min", "51 min"), "");
  assert.equal(difference("none", "3"), "");
  assert.equal(difference(undefined, "3"), "");
});
