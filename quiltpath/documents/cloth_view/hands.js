// Hands on the picture: moved, brought nearer and measured by mouse, touch and keyboard.

import { button, input, part } from "../../drawing/page_elements.js";
import { moving, redraw } from "./frames.js";
import { inBothUnits } from "./marks.js";
import { play, say } from "./playing.js";
import { behind, canvas, fit, scene, toMm, view } from "./scene.js";

const STEP_PX = 40; // that an arrow key moves the picture

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

const sayMeasured = () => {
  if (scene.measure) part("said").textContent = inBothUnits(scene.measure.from, scene.measure.to);
};

// ---- mouse and touch
/** @type {Map<number, import("./scene.js").Point>} */
const fingers = new Map();
let spread = 0;
canvas.addEventListener("pointerdown", (event) => {
  canvas.setPointerCapture(event.pointerId);
  fingers.set(event.pointerId, [event.clientX, event.clientY]);
  if (input("ruler").checked && fingers.size === 1) scene.measure = { from: toMm(event), to: toMm(event) };
});
canvas.addEventListener("pointermove", (event) => {
  const before = fingers.get(event.pointerId);
  if (!before) return;
  if (scene.measure && input("ruler").checked && fingers.size === 1) {
    scene.measure.to = toMm(event); sayMeasured();
  } else if (fingers.size === 1) {
    view.x -= (behind() ? -1 : 1) * (event.clientX - before[0]) / view.scale;
    view.y += (event.clientY - before[1]) / view.scale;
  }
  fingers.set(event.pointerId, [event.clientX, event.clientY]);
  if (fingers.size === 2) {
    const [a, b] = [...fingers.values()], apart = Math.hypot(a[0] - b[0], a[1] - b[1]);
    if (spread) zoom(apart / spread, toMm({ clientX: (a[0] + b[0]) / 2, clientY: (a[1] + b[1]) / 2 }));
    spread = apart;
  }
  moving();
});
const lift = (/** @type {PointerEvent} */ event) => { fingers.delete(event.pointerId); spread = 0; };
canvas.addEventListener("pointerup", lift);
canvas.addEventListener("pointercancel", lift);
canvas.addEventListener("wheel", (event) => {
  event.preventDefault(); zoom(Math.exp(-event.deltaY / 500), toMm(event));
}, { passive: false });

// ---- keyboard
canvas.addEventListener("keydown", (event) => {
  const far = STEP_PX / view.scale, side = behind() ? -1 : 1;
  /** @type {Record<string, () => void>} */
  const acts = {
    ArrowLeft: () => { view.x -= far * side; }, ArrowRight: () => { view.x += far * side; },
    ArrowUp: () => { view.y += far; }, ArrowDown: () => { view.y -= far; },
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
input("ruler").addEventListener("input", () => {
  if (!input("ruler").checked) { scene.measure = null; say(); }
});
