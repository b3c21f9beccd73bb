// Where a printed edge, a line or a corner lies near a place in a picture, to a part of a pixel.

/** @typedef {[number, number]} Place  pixels, x to the right, y down; a pixel's middle is at .5 */
/** @typedef {{slope: (x: number, y: number, channel: number) => Place}} Seen */

const FAINT = 14; // a change of colour from pixel to pixel that is no edge, of 255

/**
 * How the colours of a picture change from pixel to pixel.
 * @param {{data: ArrayLike<number>, width: number, height: number}} picture  red, green, blue, alpha
 * @returns {Seen}
 */
export function slopesOf({ data, width, height }) {
  const inside = (/** @type {number} */ at, /** @type {number} */ size) => Math.min(Math.max(at, 0), size - 1);
  const level = (/** @type {number} */ x, /** @type {number} */ y, /** @type {number} */ c) =>
    data[4 * (inside(y, height) * width + inside(x, width)) + c];
  return {
    slope: (x, y, c) => [(level(x + 1, y, c) - level(x - 1, y, c)) / 2, (level(x, y + 1, c) - level(x, y - 1, c)) / 2],
  };
}

/**
 * The pixels within ``reach`` of a place, with how far their middles are from it.
 * @param {Place} place
 * @param {number} reach
 * @returns {Generator<[number, number, number]>}
 */
function* round([x0, y0], reach) {
  for (let y = Math.floor(y0 - reach); y <= y0 + reach; y++) {
    for (let x = Math.floor(x0 - reach); x <= x0 + reach; x++) {
      const far = Math.hypot(x + 0.5 - x0, y + 0.5 - y0);
      if (far <= reach) yield [x, y, far];
    }
  }
}

/**
 * The clearest edge within ``reach`` pixels, nearer ones first; the place itself where there is none.
 * @param {Seen} seen
 * @param {Place} place
 * @param {number} reach
 * @returns {Place}
 */
export function snapToEdge(seen, place, reach) {
  let best = place, most = FAINT;
  for (const [x, y, far] of round(place, reach)) {
    const strong = Math.max(...[0, 1, 2].map((c) => Math.hypot(...seen.slope(x, y, c)))) * (1 - 0.6 * far / reach);
    if (strong > most) { most = strong; best = [x + 0.5, y + 0.5]; }
  }
  return best;
}

/**
 * The corner within ``reach`` pixels: the place to which the edges round it lead (Foerstner and
 * Gülch 1987, from memory); the place itself where no two edges meet.
 * @param {Seen} seen
 * @param {Place} place
 * @param {number} reach
 * @returns {Place}
 */
export function snapToCorner(seen, place, reach) {
  let at = place;
  for (let turn = 0; turn < 8; turn++) {
    const next = meetingOfEdges(seen, at, reach);
    if (!next || Math.hypot(next[0] - place[0], next[1] - place[1]) > reach) return place;
    const step = Math.hypot(next[0] - at[0], next[1] - at[1]);
    at = next;
    if (step < 0.05) break;
  }
  return at;
}

/** @param {Seen} seen  @param {Place} at  @param {number} reach  @returns {Place | null} */
function meetingOfEdges(seen, at, reach) {
  let xx = 0, xy = 0, yy = 0, bx = 0, by = 0;
  for (const [x, y, far] of round(at, reach)) {
    const weight = 1 - far / (reach + 1);
    for (let c = 0; c < 3; c++) {
      const [gx, gy] = seen.slope(x, y, c);
      if (gx * gx + gy * gy < FAINT * FAINT) continue;
      const along = gx * (x + 0.5) + gy * (y + 0.5);
      xx += weight * gx * gx; xy += weight * gx * gy; yy += weight * gy * gy;
      bx += weight * gx * along; by += weight * gy * along;
    }
  }
  const size = xx * yy - xy * xy, sum = xx + yy;
  if (!(size > 0.02 * sum * sum)) return null; // all slopes point one way, or there are none
  return [(yy * bx - xy * by) / size, (xx * by - xy * bx) / size];
}

/**
 * The edge within ``reach`` pixels that runs right across: an upright line at x, or a level one at y.
 * @param {Seen} seen
 * @param {0 | 1} axis  1 for a level line
 * @param {number} at
 * @param {[number, number]} ends  between which it is looked at along the line
 * @param {number} reach
 */
export function snapToLine(seen, axis, at, [from, to], reach) {
  const first = Math.floor(at - reach) - 1, strength = [];
  for (let i = first; i < at + reach + 2; i++) {
    const sum = [0, 0, 0];
    let count = 0;
    for (let k = Math.ceil(from); k < to; k += 2, count++) {
      for (let c = 0; c < 3; c++) sum[c] += axis ? seen.slope(k, i, c)[1] : seen.slope(i, k, c)[0];
    }
    strength.push(Math.hypot(...sum) / Math.max(1, count));
  }
  let best = 0, most = FAINT / 4;
  for (let i = 1; i < strength.length - 1; i++) {
    const far = Math.abs(first + i + 0.5 - at);
    if (far > reach || strength[i] < strength[i - 1] || strength[i] < strength[i + 1]) continue;
    const weighed = strength[i] * (1 - 0.6 * far / reach);
    if (weighed > most) { most = weighed; best = i; }
  }
  if (!best) return at;
  const [a, b, c] = strength.slice(best - 1, best + 2), bend = a - 2 * b + c;
  return first + best + 0.5 + (bend < 0 ? 0.5 * (a - c) / bend : 0);
}
