// When the picture is drawn: once a frame at most, and a large one is moved as it stands.

import { drawCloth } from "./cloth.js";
import { drawMarks } from "./marks.js";
import { canvas, layPen, pen, scene, seenAt, toX, toY, view } from "./scene.js";
import { rule, wadding } from "./shapes.js";
import { drawThread } from "./thread.js";

const MOST_MOVING = 30000;  // more strokes than this in the picture are not drawn anew while it is moved
const REST_MS = 150;

const shownLayers = () =>
  [.../** @type {NodeListOf<HTMLInputElement>} */ (document.querySelectorAll("[data-layer]"))].map((box) => box.checked);

let wanted = false, rest = 0;
/** @type {{copy: HTMLCanvasElement, x: number, y: number, scale: number, wide: number, high: number} | null} */
let still = null; // a large picture as it was drawn

/** Draw all of it now. */
export function draw() {
  wanted = false; clearTimeout(rest);
  const ratio = Math.max(window.devicePixelRatio || 1, scene.onPaper ? 3 : 1), w = canvas.clientWidth, h = canvas.clientHeight;
  if (canvas.width !== Math.round(w * ratio) || canvas.height !== Math.round(h * ratio)) {
    canvas.width = Math.round(w * ratio); canvas.height = Math.round(h * ratio);
  }
  pen.setTransform(ratio, 0, 0, ratio, 0, 0); pen.clearRect(0, 0, w, h);
  pen.save(); layPen();
  wadding(); drawCloth();
  rule(scene.data.outline.map((ring) => [...ring, ring[0], ring[1]]), "#8a8170", 1);
  const drawn = drawThread(shownLayers());
  drawMarks();
  pen.restore(); keep(drawn);
}

/** @param {number} drawn  strokes */
function keep(drawn) {
  if (drawn <= MOST_MOVING) { still = null; return; }
  const copy = document.createElement("canvas");
  copy.width = canvas.width; copy.height = canvas.height;
  /** @type {CanvasRenderingContext2D} */ (copy.getContext("2d")).drawImage(canvas, 0, 0);
  still = { copy, ...view, wide: canvas.clientWidth, high: canvas.clientHeight };
}

function shift() {
  wanted = false;
  if (!still || still.wide !== canvas.clientWidth) { draw(); return; }
  const by = view.scale / still.scale, w = still.wide * by, h = still.high * by;
  pen.clearRect(0, 0, canvas.clientWidth, canvas.clientHeight);
  const [x, y] = seenAt(toX(still.x), toY(still.y));
  pen.drawImage(still.copy, x - w / 2, y - h / 2, w, h);
  clearTimeout(rest); rest = setTimeout(redraw, REST_MS);
}

/** Draw with the next frame, while the picture is being moved. */
export function moving() {
  if (!wanted) { wanted = true; requestAnimationFrame(still && !scene.measure ? shift : draw); }
}

/** Draw with the next frame. */
export function redraw() {
  if (!wanted) { wanted = true; requestAnimationFrame(draw); }
}
