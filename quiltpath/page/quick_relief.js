// The cloth's shape and its widest gap while its lines change: guessed from how far each place is from
// the nearest line, as the exact ones take too long for a hand that moves.

/** @typedef {import("../documents/cloth_view/scene.js").Point} Point */
/**
 * @typedef {object} Raised
 * @property {ImageData} form  slopes in red and green, open sky in blue, as in a relief's picture
 * @property {[number, number, number, number]} box  where it lies, in mm
 */
/** @typedef {{loft: number, width: number}} Loft  mm: the most that cloth rises; lines that let it rise by tanh 1 of that */

const MOST_PIXELS = 120_000;
const BEYOND = 1e30; // no site is known
const STEPS = 1000;  // of distance, in the table of heights
const SHADE = 0.3; // of the sky that a crease does not see

/**
 * Pixels to the nearest of the sites, each of which is an exact place: Danielsson's sweeps, by which
 * every pixel learns the nearest site from its neighbours.
 * @param {number} columns
 * @param {number} rows
 * @param {Iterable<Point>} sites  in pixels; the middle of the first pixel is 0, 0
 */
export function distances(columns, rows, sites) {
  const count = columns * rows, far = new Float32Array(count).fill(BEYOND);
  const siteX = new Float32Array(count), siteY = new Float32Array(count);
  for (const [u, v] of sites) {
    if (u < -1 || v < -1 || u > columns || v > rows) continue;
    const x = Math.min(Math.max(Math.round(u), 0), columns - 1), y = Math.min(Math.max(Math.round(v), 0), rows - 1);
    const at = y * columns + x, d = (u - x) ** 2 + (v - y) ** 2;
    if (d < far[at]) { far[at] = d; siteX[at] = u; siteY[at] = v; }
  }
  /** The row asks the neighbours that lie so many places before it, from x to x.
   * @param {number} y  @param {number} first  @param {number} last  @param {number} before */
  const ask = (y, first, last, before) => {
    const step = first <= last ? 1 : -1;
    for (let x = first, at = y * columns + first; x !== last + step; x += step, at += step) {
      const u = siteX[at + before], v = siteY[at + before], d = (u - x) * (u - x) + (v - y) * (v - y);
      if (far[at + before] < BEYOND && d < far[at]) { far[at] = d; siteX[at] = u; siteY[at] = v; }
    }
  };
  const end = columns - 1;
  /** @param {number} y */
  const sideways = (y) => { if (end > 0) { ask(y, 1, end, -1); ask(y, end - 1, 0, 1); } };
  /** @param {number} y  @param {number} before */
  const across = (y, before) => {
    ask(y, 0, end, before);
    if (end > 0) { ask(y, 1, end, before - 1); ask(y, 0, end - 1, before + 1); }
  };
  for (let y = 0; y < rows; y++) { if (y > 0) across(y, -columns); sideways(y); }
  for (let y = rows - 2; y >= 0; y--) { across(y, columns); sideways(y); }
  return far.map(Math.sqrt);
}

/**
 * Places a pixel apart along lines.
 * @param {Iterable<[number, number, number, number]>} pieces  from x, y to x, y in pixels
 * @returns {Generator<Point>}
 */
function* along(pieces) {
  for (const [x0, y0, x1, y1] of pieces) {
    const steps = Math.max(1, Math.ceil(Math.hypot(x1 - x0, y1 - y0)));
    for (let i = 0; i <= steps; i++) yield [x0 + (x1 - x0) * i / steps, y0 + (y1 - y0) * i / steps];
  }
}

/**
 * Height of the cloth so far from its lines. A strip's membrane is d (w - d) / 2; what the width is
 * here nobody knows, so it is taken as usual, and more where a place is farther from any line.
 * @param {Float32Array} away  mm
 * @param {Loft} loft
 */
export function heights(away, { loft, width }) {
  let sum = 0, most = 0;
  for (let i = 0; i < away.length; i++) { sum += away[i]; if (away[i] > most) most = away[i]; }
  const usual = 2 * sum / (away.length || 1); // half of a strip is twice its mean distance
  const rise = Float32Array.from({ length: STEPS + 1 }, (_, i) => {
    const d = i * most / STEPS, half = Math.max(usual, d);
    return loft * Math.tanh(Math.sqrt(4 * d * (2 * half - d)) / width);
  });
  const by = most ? STEPS / most : 0;
  return away.map((d) => rise[Math.round(d * by)]);
}

/**
 * @param {Float32Array} height  mm
 * @param {number} columns
 * @param {number} rows
 * @param {number} pxPerMm
 * @param {number} loft  mm
 */
export function shapeOf(height, columns, rows, pxPerMm, loft) {
  const form = new Uint8ClampedArray(4 * height.length);
  for (let y = 0, at = 0; y < rows; y++) {
    const up = y > 0 ? -columns : 0, down = y < rows - 1 ? columns : 0;
    for (let x = 0; x < columns; x++, at++) {
      const left = x > 0 ? -1 : 0, right = x < columns - 1 ? 1 : 0;
      const slopeX = (height[at + right] - height[at + left]) * pxPerMm / (right - left || 1);
      const slopeY = (height[at + up] - height[at + down]) * pxPerMm / ((down - up) / columns || 1);
      const steep = 127.5 / Math.sqrt(1 + slopeX * slopeX + slopeY * slopeY);
      form[4 * at] = 127.5 - slopeX * steep;
      form[4 * at + 1] = 127.5 - slopeY * steep;
      form[4 * at + 2] = 255 * (1 - SHADE * (1 - height[at] / loft) ** 2);
      form[4 * at + 3] = 255;
    }
  }
  return form;
}

/**
 * How far each place of the cloth is from the nearest line or edge.
 * @typedef {object} Field
 * @property {Float32Array} away  mm, row by row from the top
 * @property {number} columns
 * @property {number} rows
 * @property {number} by  pixels to the mm
 */

/**
 * @param {import("../documents/cloth_view/scene.js").Points} points
 * @param {import("../documents/cloth_view/scene.js").Data} data
 * @returns {Field}
 */
export function awayFromLines(points, { bounds, outline }) {
  const [lowX, lowY, highX, highY] = bounds, wide = highX - lowX, high = highY - lowY;
  const by = Math.min(1, Math.sqrt(MOST_PIXELS / (wide * high)));
  const columns = Math.max(1, Math.round(wide * by)), rows = Math.max(1, Math.round(high * by));
  const px = (/** @type {number} */ x) => (x - lowX) * by - 0.5, py = (/** @type {number} */ y) => (highY - y) * by - 0.5;
  /** @returns {Generator<[number, number, number, number]>} */
  function* pieces() {
    const { x, y, bends, begins } = points;
    for (let k = 1; k < bends.length; k++) {
      if (!begins[k]) yield [px(x[bends[k - 1]]), py(y[bends[k - 1]]), px(x[bends[k]]), py(y[bends[k]])];
    }
    for (const ring of outline) {
      for (let i = 0; i < ring.length; i += 2) {
        const next = (i + 2) % ring.length;
        yield [px(ring[i]), py(ring[i + 1]), px(ring[next]), py(ring[next + 1])];
      }
    }
  }
  const away = distances(columns, rows, along(pieces()));
  for (let i = 0; i < away.length; i++) away[i] /= by;
  return { away, columns, rows, by };
}

/**
 * The widest place that no line holds, in mm: a circle is twice as wide as its middle is far from
 * any line. What lies beyond the edge does not count.
 * @param {Field} field
 * @param {(row: number, column: number) => boolean} isInside
 */
export function widestGap({ away, columns }, isInside) {
  let most = 0;
  for (let i = 0; i < away.length; i++) {
    if (away[i] > most && isInside(Math.floor(i / columns), i % columns)) most = away[i];
  }
  return 2 * most;
}

/**
 * Which places of a field lie within the edge.
 * @param {Field} field
 * @param {import("../documents/cloth_view/scene.js").Data} data
 */
export function insideOf({ columns, rows, by }, { bounds, outline }) {
  const canvas = document.createElement("canvas"), [lowX, , , highY] = bounds;
  canvas.width = columns; canvas.height = rows;
  const ink = /** @type {CanvasRenderingContext2D} */ (canvas.getContext("2d", { willReadFrequently: true }));
  ink.beginPath();
  for (const ring of outline) {
    for (let i = 0; i < ring.length; i += 2) ink.lineTo((ring[i] - lowX) * by, (highY - ring[i + 1]) * by);
    ink.closePath();
  }
  ink.fill("evenodd");
  const { data } = ink.getImageData(0, 0, columns, rows);
  return (/** @type {number} */ row, /** @type {number} */ column) => data[4 * (row * columns + column) + 3] > 127;
}

/**
 * The cloth's shape between its lines and its edge.
 * @param {Field} field
 * @param {import("../documents/cloth_view/scene.js").Data} data
 * @param {Loft} loft
 * @returns {Raised}
 */
export function raised({ away, columns, rows, by }, { bounds: [lowX, , , highY] }, loft) {
  const form = shapeOf(heights(away, loft), columns, rows, by, loft.loft);
  return { form: new ImageData(form, columns, rows), box: [lowX, highY - rows / by, lowX + columns / by, highY] };
}
