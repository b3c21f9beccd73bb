// Mouse, finger, pen and keys on the photo.

import { Gesture } from "../drawing/gestures.js";

/** @typedef {import("./photo_marks.js").Place} Place */
/**
 * What the hand can do; places in mm.
 * @typedef {object} Acts
 * @property {() => boolean} isBrush
 * @property {(at: Place, reach: number) => Place | null} grab  a mark there, if any: where it lies
 * @property {(at: Place) => void} drag
 * @property {(isCancelled: boolean) => void} drop
 * @property {(points: Place[]) => void} paint  so far
 * @property {(points: Place[] | null) => void} painted  all of it; null where it is given up
 * @property {(by: Place) => void} step  pixels, y upwards
 * @property {(by: number) => void} next
 * @property {() => void} remove
 */
/** @typedef {{kind: "drag", off: Place} | {kind: "pan", from: Place} | {kind: "paint", points: Place[]}} Doing */

const FINGER = 22, MOUSE = 10; // px within which a mark is taken hold of
const FAR = 10;                // steps of a key with Shift
const WHEEL_PX = 500;          // of a wheel make it e times as large

/** @param {Place} a  @param {Place} b  @returns {Place} */
const less = (a, b) => [a[0] - b[0], a[1] - b[1]];

/** @param {import("./photo_view.js").PhotoView} view  @param {Acts} acts */
export function layHandsOn(view, acts) {
  const { canvas } = view;
  /** @type {Doing | null} */
  let doing = null;

  /** @param {[number, number]} client  @returns {Place} */
  function at([x, y]) {
    const box = canvas.getBoundingClientRect();
    return [x - box.left - canvas.clientLeft, y - box.top - canvas.clientTop];
  }
  /** @param {boolean} isCancelled */
  function end(isCancelled) {
    const was = doing;
    doing = null;
    if (was?.kind === "drag") acts.drop(isCancelled);
    if (was?.kind === "paint") acts.painted(isCancelled ? null : was.points);
  }
  /** @param {PointerEvent} event  @returns {Doing} */
  function begun(event) {
    const place = at([event.clientX, event.clientY]), mm = view.mm(place);
    if (acts.isBrush()) { acts.paint([mm]); return { kind: "paint", points: [mm] }; }
    const held = acts.grab(mm, (event.pointerType === "mouse" ? MOUSE : FINGER) / view.scale);
    return held ? { kind: "drag", off: less(held, mm) } : { kind: "pan", from: place };
  }
  /** @param {Place} place */
  function goOn(place) {
    const mm = view.mm(place);
    if (doing?.kind === "drag") acts.drag([mm[0] + doing.off[0], mm[1] + doing.off[1]]);
    else if (doing?.kind === "paint") { doing.points.push(mm); acts.paint(doing.points); }
    else if (doing?.kind === "pan") { view.pan(less(view.mm(doing.from), mm)); doing.from = place; }
  }

  new Gesture(canvas, {
    onDrag({ event, first, last, canceled, pinching, cancel, xy }) {
      if (pinching) { end(true); cancel(); return; } // a second finger zooms: the first has moved nothing
      if (first) { canvas.focus({ preventScroll: true }); doing = begun(event); }
      else goOn(at(xy));
      if (last) end(canceled || event.type === "pointercancel");
    },
    onPinch({ origin, movement: [apart], first, memo }) {
      const middle = at(origin), before = memo || { middle, apart: 1 };
      if (first) end(true);
      view.pan(less(view.mm(before.middle), view.mm(middle)));
      view.zoom(apart / before.apart, middle);
      return { middle, apart };
    },
    onWheel({ event, delta: [, dy] }) {
      if (event.ctrlKey) return; // two fingers on a pad: a pinch
      event.preventDefault();
      view.zoom(Math.exp(-dy / WHEEL_PX), at([event.clientX, event.clientY]));
    },
  }, { drag: { pointer: { keys: false } }, wheel: { eventOptions: { passive: false } } });

  canvas.addEventListener("keydown", (event) => {
    if (event.ctrlKey || event.metaKey || event.altKey) return;
    const far = event.shiftKey ? FAR : 1;
    /** @type {Record<string, () => void>} */
    const keys = {
      ArrowLeft: () => acts.step([-far, 0]), ArrowRight: () => acts.step([far, 0]),
      ArrowUp: () => acts.step([0, far]), ArrowDown: () => acts.step([0, -far]),
      n: () => acts.next(far), N: () => acts.next(far), p: () => acts.next(-far), P: () => acts.next(-far),
      Delete: acts.remove, Backspace: acts.remove,
      "+": () => view.zoom(1.25), "=": () => view.zoom(1.25), "-": () => view.zoom(0.8), "0": () => view.fit(),
    };
    if (!keys[event.key]) return;
    event.preventDefault();
    keys[event.key]();
  });
  // All steps of a key that is held down are one change.
  canvas.addEventListener("keyup", (event) => { if (event.key.startsWith("Arrow")) acts.drop(false); });
  canvas.addEventListener("blur", () => { if (!doing) acts.drop(false); });
}
