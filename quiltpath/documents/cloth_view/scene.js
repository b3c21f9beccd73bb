// What is on the page at the moment: the runner, its needle points, and where a person looks.

import { input, part, element } from "../../drawing/page_elements.js";
import { unpacked } from "./stitch_points.js";

/** @typedef {import("./stitch_points.js").Points} Points */
/** @typedef {[number, number]} Point  in mm, or in pixels of the picture */

/**
 * @typedef {object} Relief  the cloth's shape
 * @property {string} shape  a picture's address: slopes in red and green, open sky in blue
 * @property {[number, number, number, number]} box  where it lies, in mm
 * @property {number} above  degrees of the light over the cloth
 * @property {number} sky  share of the light that comes from all around
 */

/**
 * The runner as a page gets it; rings and lines are flat lists of x and y in mm.
 * @typedef {object} Data
 * @property {[number, number, number, number]} bounds
 * @property {number} margin  mm
 * @property {number[][]} outline
 * @property {number[][]} blocks
 * @property {number[][]} printed
 * @property {number[][]} seams
 * @property {number[][][]} motifs
 * @property {{name: string, colour: string, dash: number[]}[]} layers
 * @property {[number, number, number, string][]} gaps  centre and diameter, and that in words
 * @property {{box: [number, number, number, number], picture: string}[]} [photos]
 * @property {Relief | null} relief
 * @property {import("./stitch_points.js").Packed} stitches
 * @property {import("./stitch_points.js").Timing} time
 */

/** @type {Data} */
const first = JSON.parse(part("data").textContent);

export const scene = {
  data: first,
  points: unpacked(first.stitches, first.time),
  upTo: 0,          // points that are shown as sewn
  sewing: false,    // the order of sewing is being played back
  onPaper: false,   // the page is being printed
  /** @type {Point | null} */
  spot: null,       // a place that is pointed at
  /** @type {{from: Point, to: Point, byKey?: boolean} | null} */
  measure: null,    // the ruler, while it is used
};
scene.upTo = scene.points.count;

export const canvas = element("cloth", HTMLCanvasElement);
const context = canvas.getContext("2d");
if (!context) throw new Error("the browser draws no pictures");
export const pen = context;

// Centre in mm, pixels to the mm.
export const view = { x: 0, y: 0, scale: 1 };

export const behind = () => input("behind").checked;
/** Its left end at the top: a long runner on a screen that is tall. */
export const turned = () => input("turned").checked && !scene.onPaper;
/** Pixels of the picture along the runner and across it. */
export const wide = () => turned() ? canvas.clientHeight : canvas.clientWidth;
export const high = () => turned() ? canvas.clientWidth : canvas.clientHeight;
/** @param {number} x  mm */
export const toX = (x) => wide() / 2 + (behind() ? view.x - x : x - view.x) * view.scale;
/** @param {number} y  mm */
export const toY = (y) => high() / 2 - (y - view.y) * view.scale;

/**
 * Where a place of the picture is seen, in pixels from the canvas's upper left corner.
 * @param {number} x  pixels along the runner
 * @param {number} y  and across it
 * @returns {Point}
 */
export const seenAt = (x, y) => turned() ? [canvas.clientWidth - y, x] : [x, y];

/** What is drawn from now on lies as the picture does. */
export function layPen() {
  if (turned()) { pen.translate(canvas.clientWidth, 0); pen.rotate(Math.PI / 2); }
}

/**
 * A way across the window as one across the picture, both in pixels to the right and down.
 * @param {number} dx
 * @param {number} dy
 * @returns {Point}
 */
export const inPicture = (dx, dy) => turned() ? [dy, -dx] : [dx, dy];

/**
 * Where on the runner something in the window lies.
 * @param {{clientX: number, clientY: number}} event
 * @returns {Point}
 */
export function toMm(event) {
  const box = canvas.getBoundingClientRect();
  const [right, down] = inPicture(
    event.clientX - box.left - canvas.clientLeft - canvas.clientWidth / 2,
    event.clientY - box.top - canvas.clientTop - canvas.clientHeight / 2);
  return [view.x + (behind() ? -right : right) / view.scale, view.y - down / view.scale];
}

/** The whole runner, as large as the picture holds it. */
export function fit() {
  const [x0, y0, x1, y1] = scene.data.bounds, room = Math.min(scene.data.margin, 25) + 5;
  const along = x1 - x0 + 2 * room, across = y1 - y0 + 2 * room;
  const tall = (canvas.clientWidth || 1) * (turned() ? along / across : across / along);
  canvas.style.height = Math.max(130, Math.min(tall + 24, window.innerHeight * (turned() ? 0.66 : 0.56))) + "px";
  view.x = (x0 + x1) / 2; view.y = (y0 + y1) / 2;
  view.scale = Math.min((wide() || 1) / along, (high() || 1) / across);
}

/** @param {Data} fresh */
export function take(fresh) {
  scene.data = fresh;
  scene.points = unpacked(fresh.stitches, fresh.time);
}
