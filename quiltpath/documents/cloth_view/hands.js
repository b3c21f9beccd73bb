// Hands on the picture: moved, brought nearer and measured by mouse, touch and keyboard.

import { Gesture } from "../../drawing/gestures.js";
import { button, input, part } from "../../drawing/page_elements.js";
import { moving, redraw } from "./frames.js";
import { inBothUnits } from "./marks.js";
import { play, say } from "./playing.js";
import { behind, canvas, fit, inPicture, scene, toMm, view } from "./scene.js";

const STEP_PX = 40;   // that an arrow key moves the picture
const WHEEL_PX = 500; // of a wheel make it e times as large

/**
 * @param {number} by
 * @param {import("./scene.js").Point} [held]  what stays where it is, in mm; else the middle
 */
function zoom(by, held) {
  const [x, y] = held || [view.x, view.y];
  const scale = Math.max(0.05, Math.min(60, view.scale * by)), kept = view.scale / scale;
  view.x = x + (view.x - x) * kept; view.y = y + (view.y - y) * kept;
  view.scale = scale; moving();
}

/** @param {number} dx  pixels  @param {number} dy  downwards */
function move(dx, dy) {
  const [right, down] = inPicture(dx, dy);
  view.x -= (behind() ? -1 : 1) * right / view.scale;
  view.y += down / view.scale;
}

const sayMeasured = () => {
  if (scene.measure) part("said").textContent = inBothUnits(scene.measure.from, scene.measure.to);
};

// ---- mouse and touch
new Gesture(canvas, {
  onDrag({ event, first, pinching, cancel, delta: [dx, dy] }) {
    if (pinching) { cancel(); return; }
    if (input("ruler").checked) {
      if (first || !scene.measure) scene.measure = { from: toMm(event), to: toMm(event) };
      scene.measure.to = toMm(event); sayMeasured();
    } else move(dx, dy);
    moving();
  },
  onPinch({ origin: [x, y], movement: [apart], memo }) {
    const before = memo || { x, y, apart: 1 };
    move(x - before.x, y - before.y);
    zoom(apart / before.apart, toMm({ clientX: x, clientY: y }));
    return { x, y, apart };
  },
  onWheel({ event, delta: [, dy] }) {
    if (event.ctrlKey) return; // two fingers on a pad: a pinch
    event.preventDefault(); zoom(Math.exp(-dy / WHEEL_PX), toMm(event));
  },
}, { drag: { pointer: { keys: false } }, wheel: { eventOptions: { passive: false } } });

// ---- keyboard
canvas.addEventListener("keydown", (event) => {
  /** @type {Record<string, () => void>} */
  const acts = {
    ArrowLeft: () => move(STEP_PX, 0), ArrowRight: () => move(-STEP_PX, 0),
    ArrowUp: () => move(0, STEP_PX), ArrowDown: () => move(0, -STEP_PX),
    "+": () => zoom(1.25), "=": () => zoom(1.25), "-": () => zoom(0.8),
    "0": fit, " ": () => play(!scene.sewing),
  };
  // The ruler by keys: from the middle of the picture to wherever that is moved.
  if (input("ruler").checked) {
    acts.Enter = () => { scene.measure = { from: [view.x, view.y], to: [view.x, view.y], byKey: true }; };
  }
  if (!acts[event.key]) return;
  event.preventDefault(); acts[event.key]();
  if (scene.measure?.byKey) { scene.measure.to = [view.x, view.y]; sayMeasured(); }
  moving();
});
button("nearer").onclick = () => zoom(1.4);
button("further").onclick = () => zoom(1 / 1.4);
button("whole").onclick = () => { fit(); redraw(); };
part("wishes").addEventListener("input", redraw);
input("turned").addEventListener("input", () => { fit(); redraw(); });
input("ruler").addEventListener("input", () => {
  if (!input("ruler").checked) { scene.measure = null; say(); }
});
