// The order of sewing, played back.

import { button, element, input, part } from "../../drawing/page_elements.js";
import { redraw } from "./frames.js";
import { scene } from "./scene.js";

const MS_PER_MINUTE = 60000, LONGEST_STEP = 0.01; // minutes that pass in one frame at most

let lastTick = 0, minuteNow = 0;

/** How far sewing is, in words. */
export function say() {
  const { count, runStart, layer, clock } = scene.points, line = input("line"), i = Math.max(0, scene.upTo - 1);
  line.max = String(count);
  let run = 0;
  while (run < runStart.length && runStart[run] <= i) run++;
  const minutes = Math.round(scene.data.time.total);
  const set = layer[i] < scene.data.layers.length ? scene.data.layers[layer[i]].name : "margin";
  part("said").textContent = scene.upTo >= count
    ? runStart.length + (runStart.length === 1 ? " start" : " starts") + ", about " + minutes + " minutes at the machine"
    : "Start " + run + " of " + runStart.length + ", " + set + ", about minute " + Math.floor(clock[i]) + " of " + minutes;
  line.value = String(scene.upTo);
  line.setAttribute("aria-valuetext", part("said").textContent);
}

/** @param {number} place  points that are sewn */
function goToPoint(place) {
  scene.upTo = Math.max(0, Math.min(scene.points.count, place));
  say(); redraw();
}

/** @param {number} now  ms */
function tick(now) {
  if (!scene.sewing) return;
  const { count, clock } = scene.points;
  minuteNow += Math.min((now - lastTick) / MS_PER_MINUTE, LONGEST_STEP) * Number(element("speed", HTMLSelectElement).value);
  lastTick = now;
  let next = scene.upTo;
  while (next < count && clock[next] <= minuteNow) next++;
  if (next !== scene.upTo) goToPoint(next);
  if (scene.upTo >= count) play(false); else requestAnimationFrame(tick);
}

/** @param {boolean} on */
export function play(on) {
  scene.sewing = on; button("sew").textContent = on ? "Wait" : "Sew";
  if (!on) return;
  goToPoint(scene.upTo >= scene.points.count ? 0 : scene.upTo);
  minuteNow = scene.upTo > 0 ? scene.points.clock[scene.upTo - 1] : 0;
  lastTick = performance.now(); requestAnimationFrame(tick);
}

function runAt() {
  const { runStart } = scene.points;
  let r = 0;
  while (r + 1 < runStart.length && runStart[r + 1] < scene.upTo) r++;
  return r;
}

button("sew").onclick = () => play(!scene.sewing);
button("next-run").onclick = () => {
  const { runStart, count } = scene.points;
  play(false);
  goToPoint(scene.upTo >= count ? (runStart[1] || count) : (runStart[runAt() + 1] || count - 1) + 1);
};
button("back-run").onclick = () => {
  const { runStart, count } = scene.points;
  play(false);
  goToPoint((runStart[Math.max(0, runAt() - (scene.upTo >= count ? 0 : 1))] || 0) + 1);
};
input("line").oninput = () => { play(false); goToPoint(Number(input("line").value)); };
