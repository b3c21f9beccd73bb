// Rings and lines of the runner on the picture.

import { pen, scene, toX, toY, view } from "./scene.js";

/**
 * @param {number[]} flat  x and y in turn, in mm
 * @param {boolean} close
 */
function trace(flat, close) {
  for (let i = 0; i < flat.length; i += 2) {
    if (i) pen.lineTo(toX(flat[i]), toY(flat[i + 1]));
    else pen.moveTo(toX(flat[0]), toY(flat[1]));
  }
  if (close) pen.closePath();
}

/**
 * @param {number[][]} rings
 * @param {string} colour
 */
export function fill(rings, colour) {
  pen.beginPath();
  for (const ring of rings) trace(ring, true);
  pen.fillStyle = colour; pen.fill("evenodd");
}

/**
 * @param {number[][]} lines
 * @param {string} colour
 * @param {number} width  pixels
 * @param {number[]} [dash]
 */
export function rule(lines, colour, width, dash) {
  pen.beginPath();
  for (const flat of lines) trace(flat, false);
  pen.strokeStyle = colour; pen.lineWidth = width; pen.setLineDash(dash || []);
  pen.stroke(); pen.setLineDash([]);
}

/** What is drawn by ``act`` is seen within the finished edge alone. */
export function insideTheEdge(/** @type {() => void} */ act) {
  pen.save(); pen.beginPath();
  for (const ring of scene.data.outline) trace(ring, true);
  pen.clip("evenodd"); act(); pen.restore();
}

/** Beyond the finished edge thread runs on wadding, which is light whatever the page is. */
export function wadding() {
  pen.beginPath();
  for (const ring of scene.data.outline) trace(ring, true);
  pen.lineJoin = "round"; pen.strokeStyle = "#f7f6f2"; pen.lineWidth = 2 * scene.data.margin * view.scale;
  pen.stroke();
}
