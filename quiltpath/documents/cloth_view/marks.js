// Marks over the thread: starts and stops, where the needle is, gaps, a place that is meant, the ruler.

import { input } from "../../drawing/page_elements.js";
import { canvas, pen, scene, seenAt, toX, toY, turned, view } from "./scene.js";
import { rule } from "./shapes.js";

const MM_PER_INCH = 25.4;
const SHIFTS = [0, 16, -16, 32, -32, 48, -48, 64, -64]; // pixels that a label gives way

/** @type {[number, number, number][]} */
let labels = []; // middle and half the width of each, in pixels

/**
 * Words stand upright, inside the picture and off one another; where there is no room they are left out.
 * @param {string} text
 * @param {number} alongX  pixels
 * @param {number} acrossY  pixels
 * @param {string} colour
 */
function label(text, alongX, acrossY, colour) {
  const [x, y] = seenAt(alongX, acrossY);
  pen.font = "600 13px system-ui, sans-serif"; pen.textAlign = "center";
  const half = pen.measureText(text).width / 2 + 3;
  const middle = Math.max(half, Math.min(canvas.clientWidth - half, x));
  const free = SHIFTS.map((by) => y + by).find((at) => at > 14 && at < canvas.clientHeight - 4 &&
    !labels.some(([lx, ly, lhalf]) => Math.abs(lx - middle) < lhalf + half && Math.abs(ly - at) < 16));
  if (free === undefined) return;
  labels.push([middle, free, half]);
  pen.save();
  if (turned()) { pen.rotate(-Math.PI / 2); pen.translate(-canvas.clientWidth, 0); }
  pen.lineWidth = 4; pen.strokeStyle = "#fff"; pen.strokeText(text, middle, free);
  pen.fillStyle = colour; pen.fillText(text, middle, free);
  pen.restore();
}

function starts() {
  const { x, y, runStart, count, changes } = scene.points;
  runStart.forEach((a, r) => {
    if (a >= scene.upTo) return;
    const b = (runStart[r + 1] || count) - 1;
    pen.beginPath(); pen.arc(toX(x[a]), toY(y[a]), 4, 0, 7); pen.fillStyle = "#00735a"; pen.fill();
    if (b < scene.upTo) { pen.fillStyle = "#a13d00"; pen.fillRect(toX(x[b]) - 3.5, toY(y[b]) - 3.5, 7, 7); }
  });
  changes.forEach((i, n) => {
    if (i < scene.upTo) label("bobbin " + (n + 2), toX(x[i]), toY(y[i]) - 8, "#00558a");
  });
}

function needle() {
  const i = scene.upTo - 1, x = toX(scene.points.x[i]), y = toY(scene.points.y[i]);
  pen.beginPath(); pen.arc(x, y, 9, 0, 7); pen.moveTo(x - 14, y); pen.lineTo(x + 14, y);
  pen.moveTo(x, y - 14); pen.lineTo(x, y + 14);
  pen.strokeStyle = "#fff"; pen.lineWidth = 5; pen.stroke();
  pen.strokeStyle = "#a13d00"; pen.lineWidth = 2; pen.stroke();
}

function widestGaps() {
  scene.data.gaps.forEach(([x, y, across, words], i) => {
    pen.beginPath(); pen.arc(toX(x), toY(y), across / 2 * view.scale, 0, 7);
    pen.strokeStyle = "#a13d00"; pen.lineWidth = 2; pen.setLineDash([7, 4]); pen.stroke(); pen.setLineDash([]);
    label((i + 1) + ": " + words, toX(x), toY(y) + 4, "#8a3400");
  });
}

/** @param {import("./scene.js").Point} place */
function here([x, y]) {
  pen.beginPath(); pen.arc(toX(x), toY(y), 18, 0, 7);
  pen.strokeStyle = "#fff"; pen.lineWidth = 6; pen.stroke();
  pen.strokeStyle = "#a13d00"; pen.lineWidth = 3; pen.stroke();
  label("here", toX(x), toY(y) - 26, "#8a3400");
}

export function drawMarks() {
  const { upTo, spot, measure } = scene;
  labels = [];
  if (input("ends").checked) starts();
  if (upTo < scene.points.count && upTo > 0) needle();
  if (input("gaps").checked) widestGaps();
  if (spot) here(spot);
  if (measure) {
    const { from, to } = measure;
    rule([[...from, ...to]], "#00558a", 2);
    label(inBothUnits(from, to), (toX(from[0]) + toX(to[0])) / 2, (toY(from[1]) + toY(to[1])) / 2 - 8, "#00558a");
  }
}

/**
 * A distance in mm, and in inches to the eighths that a ruler shows.
 * @param {import("./scene.js").Point} from
 * @param {import("./scene.js").Point} to
 */
export function inBothUnits(from, to) {
  const mm = Math.hypot(to[0] - from[0], to[1] - from[1]);
  const eighths = Math.round(mm / MM_PER_INCH * 8), whole = Math.floor(eighths / 8);
  const rest = ["", "1/8", "1/4", "3/8", "1/2", "5/8", "3/4", "7/8"][eighths % 8];
  const inches = [whole || !rest ? String(whole) : "", rest].filter((text) => text !== "").join(" ");
  return mm.toFixed(1) + " mm (" + inches + " in)";
}
