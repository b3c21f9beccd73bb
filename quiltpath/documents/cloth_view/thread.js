// The thread on the picture: each stitch from near, lines from bend to bend from afar.

import { input } from "../../drawing/page_elements.js";
import { behind, high, pen, scene, toX, toY, view, wide } from "./scene.js";
import { CHUNK } from "./stitch_points.js";

const MOST_THREAD = 4000;   // more stitches in view than this are drawn as lines, however near
const TRUE_STITCH_PX = 1.6; // from so many pixels to the mm each stitch is drawn as thread

/** @param {string} colour  #rrggbb  @param {number} at */
const channel = (colour, at) => parseInt(colour.slice(at, at + 2), 16);

/** @param {string} colour  @param {number} by  from -255 to 255 */
function shade(colour, by) {
  const part = (/** @type {number} */ at) => Math.max(0, Math.min(255, channel(colour, at) + by));
  return "rgb(" + part(1) + "," + part(3) + "," + part(5) + ")";
}

/** An edge of shade, or of light on dark thread: seen on cloth of the same colour too. */
function edgeOf(/** @type {string} */ colour) {
  const dark = 0.3 * channel(colour, 1) + 0.59 * channel(colour, 3) + 0.11 * channel(colour, 5) < 70;
  return dark ? "rgba(255, 255, 255, 0.34)" : "rgba(30, 26, 20, 0.34)";
}

/** @param {number} number  of the set of lines */
const ownColour = (number) => number < scene.data.layers.length && input("by-layer").checked;

/** @param {number} number */
function threadColour(number) {
  if (ownColour(number)) return scene.data.layers[number].colour;
  return input(behind() ? "bobbin" : "thread").value;
}

/** @param {number} number */
const threadDash = (number) =>
  (ownColour(number) ? scene.data.layers[number].dash : []).map((mm) => Math.max(2, mm * view.scale * 2));

/** @param {import("./stitch_points.js").Box[]} all */
function inView(all) {
  const halfW = wide() / view.scale / 2 + 5, halfH = high() / view.scale / 2 + 5;
  return all.map((b) => b[0] <= view.x + halfW && b[2] >= view.x - halfW &&
                        b[1] <= view.y + halfH && b[3] >= view.y - halfH);
}

/** Stitches in view, counted in full: ``seen`` marks them for drawing. */
function within(/** @type {boolean[]} */ near) {
  const { x, y, count, seen } = scene.points;
  const halfW = wide() / view.scale / 2 + 5, halfH = high() / view.scale / 2 + 5;
  let many = 0;
  near.forEach((is, c) => {
    if (!is) return;
    for (let i = c * CHUNK; i < Math.min((c + 1) * CHUNK, count); i++) {
      seen[i] = Math.abs(x[i] - view.x) < halfW && Math.abs(y[i] - view.y) < halfH ? 1 : 0;
      many += seen[i];
    }
  });
  return many;
}

/**
 * @param {boolean[]} visible  a mark for each set of lines
 * @returns {number} strokes that were drawn from afar
 */
export function drawThread(visible) {
  let close = view.scale >= TRUE_STITCH_PX, drawn = 0;
  /** @type {boolean[]} */
  let near = [];
  if (close) { near = inView(scene.points.boxes); close = within(near) <= MOST_THREAD; }
  if (!close) near = inView(scene.points.bendBoxes);
  for (const number of scene.points.present) {
    if (number < visible.length && !visible[number]) continue;
    const colour = threadColour(number);
    if (close) {
      strokes(number, near, edgeOf(colour), 0.62 * view.scale, 0.2, -0.12 * view.scale);
      strokes(number, near, shade(colour, -38), 0.5 * view.scale, 0.22, 0);
      strokes(number, near, colour, 0.36 * view.scale, 0.25, 0);
      strokes(number, near, shade(colour, 70), 0.1 * view.scale, 0.7, 0.1 * view.scale);
    } else drawn += linesFromAfar(number, near, colour);
  }
  return drawn;
}

/**
 * Each stitch short of its needle holes, as thread dips into the cloth there.
 * @param {number} number
 * @param {boolean[]} near  chunks that are in view
 * @param {string} colour
 * @param {number} width  pixels
 * @param {number} gap  mm at either end
 * @param {number} lift  pixels upwards
 */
function strokes(number, near, colour, width, gap, lift) {
  const { x, y, seen, sewn, layer } = scene.points;
  pen.beginPath(); pen.lineCap = "round"; pen.strokeStyle = colour; pen.lineWidth = width;
  for (let c = 0; c < near.length; c++) {
    if (!near[c]) continue;
    for (let i = c * CHUNK; i < Math.min((c + 1) * CHUNK, scene.upTo); i++) {
      if (!seen[i] || !sewn[i] || layer[i] !== number) continue;
      const dx = x[i] - x[i - 1], dy = y[i] - y[i - 1], d = Math.hypot(dx, dy) || 1;
      const g = Math.min(gap, d / 3) / d;
      pen.moveTo(toX(x[i - 1] + dx * g) - lift / 2, toY(y[i - 1] + dy * g) - lift);
      pen.lineTo(toX(x[i] - dx * g) - lift / 2, toY(y[i] - dy * g) - lift);
    }
  }
  pen.stroke();
}

/**
 * From bend to bend, bends closer than a pixel passed over.
 * @param {number} number
 * @param {boolean[]} near
 * @param {string} colour
 */
function linesFromAfar(number, near, colour) {
  const { x, y, bends, begins, layer } = scene.points;
  const path = new Path2D(), least = 1 / view.scale;
  let lastX = 0, lastY = 0, drawn = -2, many = 0;
  for (let c = 0; c < near.length; c++) {
    if (!near[c]) continue;
    const end = Math.min((c + 1) * CHUNK, bends.length);
    for (let k = c * CHUNK; k < end; k++) {
      if (begins[k] || layer[bends[k]] !== number) continue;
      const from = bends[k - 1], to = Math.min(bends[k], scene.upTo - 1);
      if (to <= from) continue;
      if (begins[k - 1] || drawn !== k - 1) { lastX = x[from]; lastY = y[from]; path.moveTo(toX(lastX), toY(lastY)); }
      drawn = k;
      const last = k + 1 >= end || begins[k + 1] || to < bends[k];
      if (last || Math.abs(x[to] - lastX) + Math.abs(y[to] - lastY) >= least) {
        path.lineTo(toX(x[to]), toY(y[to])); many++; lastX = x[to]; lastY = y[to];
      }
    }
  }
  const width = Math.max(0.9, 0.45 * view.scale), apart = Math.min(0.6, 0.3 * view.scale);
  pen.lineCap = "butt"; pen.lineJoin = "round"; pen.setLineDash(threadDash(number));
  pen.strokeStyle = edgeOf(colour); pen.lineWidth = width + 1;
  pen.translate(apart / 2, apart); pen.stroke(path); pen.translate(-apart / 2, -apart);
  pen.strokeStyle = colour; pen.lineWidth = width; pen.stroke(path);
  pen.setLineDash([]);
  return many;
}
