// The runner's picture: all of it put together, and what the rest of a page may ask of it.

import { input } from "../../drawing/page_elements.js";
import { giveShape, litNow, outdateShape, takePrints, takeShape } from "./cloth.js";
import { draw, redraw } from "./frames.js";
import "./hands.js";
import { say } from "./playing.js";
import { canvas, fit, scene, take, toMm, view } from "./scene.js";
import { showPlaces, swatches } from "./sides.js";

/** @typedef {import("./scene.js").Data} Data */
/** @typedef {{form: ImageData, box: [number, number, number, number]}} Raised  a shape, and where it lies in mm */
/** @typedef {(points: import("./scene.js").Points, data: Data) => Raised | null} Guessing */

/**
 * The runner anew. Part 0 brings the lines before they are sewn: while the order is played back,
 * the old stitches stay until the new ones are there.
 * @param {Partial<Data>} fresh
 * @param {number} [partNumber]
 * @param {Guessing} [guessing]  guesses the cloth's shape until it is computed
 */
function show(fresh, partNumber, guessing) {
  const all = scene.upTo >= scene.points.count, size = scene.data.bounds.join();
  const { stitches, ...rest } = fresh, isFirst = partNumber === 0, before = scene.data.relief;
  const willGuess = isFirst && guessing && all, staysLit = willGuess && before && input("lit").checked;
  const flat = isFirst && !staysLit ? { relief: null } : {};
  take({ ...scene.data, ...(isFirst && !all ? rest : fresh), ...flat });
  if (fresh.relief || (isFirst && !staysLit)) takeShape(redraw);
  if (staysLit) outdateShape();
  if (willGuess) guessSoon(guessing);
  if (fresh.photos) takePrints(redraw);
  scene.upTo = all ? scene.points.count : Math.min(scene.upTo, scene.points.count);
  if (size !== scene.data.bounds.join()) fit();
  scene.spot = null;
  swatches();
  if (!isFirst) say();
  draw();
}

// The lines are on the screen first; the guess of the shape comes with a frame after that.
let guess = 0;
/** @param {Guessing} guessing */
function guessSoon(guessing) {
  cancelAnimationFrame(guess);
  guess = requestAnimationFrame(() => {
    guess = requestAnimationFrame(() => {
      const guessed = guessing(scene.points, scene.data), { relief } = scene.data;
      if (!guessed || !relief) return;
      giveShape(guessed.form, { ...relief, box: guessed.box }, true);
      draw();
    });
  });
}

export const picture = {
  show,
  /** The shape comes later than the lines, or not at all. @param {Data["relief"]} relief */
  light(relief) { cancelAnimationFrame(guess); scene.data = { ...scene.data, relief }; takeShape(redraw); },
  lit: litNow,
  far() {
    const { x, y, bends, begins } = scene.points;
    return Array.from(bends, (i, k) => [x[i], y[i], begins[k]]);
  },
  bounds: () => scene.data.bounds,
  redraw,
  showPlaces,
  picture: () => canvas.toDataURL(),
  draw,
  toMm,
  view,
};
Object.assign(window, { quiltpath: picture });

new ResizeObserver(() => { fit(); redraw(); }).observe(/** @type {Element} */ (canvas.parentElement));
// On paper the picture has the shape that it has on the screen, in finer points.
for (const [moment, now] of /** @type {[string, boolean][]} */ ([["beforeprint", true], ["afterprint", false]])) {
  window.addEventListener(moment, () => { scene.onPaper = now; draw(); });
}
swatches();
fit(); say(); showPlaces(); takePrints(redraw); takeShape(redraw); redraw();
