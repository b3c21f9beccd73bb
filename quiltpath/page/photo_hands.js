// Mouse, finger, pen and keys on the photo.

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
/**
 * @typedef {{kind: "drag", off: Place} | {kind: "pan", from: Place} | {kind: "paint", points: Place[]}
 *   | {kind: "pinch", middle: Place, apart: number}} Doing
 */

const FINGER = 22, MOUSE = 10; // px within which a mark is taken hold of
const FAR = 10;                // steps of a key with Shift

/** @param {Place} a  @param {Place} b  @returns {Place} */
const less = (a, b) => [a[0] - b[0], a[1] - b[1]];

/** @param {import("./photo_view.js").PhotoView} view  @param {Acts} acts */
export function layHandsOn(view, acts) {
  const { canvas } = view;
  /** @type {Map<number, Place>} */
  const down = new Map();
  /** @type {Doing | null} */
  let doing = null;

  /** @param {MouseEvent} event  @returns {Place} */
  function at(event) {
    const box = canvas.getBoundingClientRect();
    return [event.clientX - box.left - canvas.clientLeft, event.clientY - box.top - canvas.clientTop];
  }
  function pinch() {
    const [a, b] = [...down.values()];
    /** @type {Place} */
    const middle = [(a[0] + b[0]) / 2, (a[1] + b[1]) / 2];
    return { middle, apart: Math.hypot(...less(a, b)) };
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
    const place = at(event), mm = view.mm(place);
    if (acts.isBrush()) { acts.paint([mm]); return { kind: "paint", points: [mm] }; }
    const held = acts.grab(mm, (event.pointerType === "mouse" ? MOUSE : FINGER) / view.scale);
    return held ? { kind: "drag", off: less(held, mm) } : { kind: "pan", from: place };
  }

  canvas.addEventListener("pointerdown", (event) => {
    if (event.button || down.size > 1) return;
    canvas.focus({ preventScroll: true });
    canvas.setPointerCapture(event.pointerId);
    down.set(event.pointerId, at(event));
    if (down.size === 1) { doing = begun(event); return; }
    end(true); // a second finger zooms: the first has moved nothing
    doing = { kind: "pinch", ...pinch() };
  });
  canvas.addEventListener("pointermove", (event) => {
    if (!down.has(event.pointerId) || !doing) return;
    const place = at(event), mm = view.mm(place);
    down.set(event.pointerId, place);
    if (doing.kind === "drag") acts.drag([mm[0] + doing.off[0], mm[1] + doing.off[1]]);
    else if (doing.kind === "paint") { doing.points.push(mm); acts.paint(doing.points); }
    else if (doing.kind === "pan") { view.pan(less(view.mm(doing.from), mm)); doing.from = place; }
    else if (down.size === 2) {
      const now = pinch();
      view.pan(less(view.mm(doing.middle), view.mm(now.middle)));
      view.zoom(now.apart / (doing.apart || 1), now.middle);
      doing = { kind: "pinch", ...now };
    }
  });
  for (const name of /** @type {const} */ (["pointerup", "pointercancel"])) {
    canvas.addEventListener(name, (event) => { if (down.delete(event.pointerId)) end(name === "pointercancel"); });
  }
  canvas.addEventListener("wheel", (event) => {
    event.preventDefault();
    view.zoom(Math.exp(-event.deltaY / 500), at(event));
  }, { passive: false });

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
