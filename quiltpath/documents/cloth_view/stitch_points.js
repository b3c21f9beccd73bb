// Needle points as a page gets them, unpacked, with what drawing and playing them back needs.

export const STITCH = 0, SECURING = 1, TRAVEL = 2;
export const CHUNK = 128;   // points whose box is looked at together
const STRAIGHT_MM = 0.08;   // from afar, points that lie this close to a straight line are left out

/**
 * Steps of whole units from point to point, packed as text.
 * @typedef {object} Packed
 * @property {number} unit  mm
 * @property {number[]} first  where the first point lies, in units
 * @property {string} steps  16-bit integers, x and y in turn
 * @property {string} kind  a byte a point: STITCH, SECURING, TRAVEL, or a trim
 * @property {string} layer  a byte a point: the set of lines, or 255 in the margin
 * @property {number[]} changes  points before which the bobbin is changed
 */

/**
 * @typedef {object} Timing
 * @property {number} perMinute  stitches
 * @property {number} runMinutes  of a start with its stop
 * @property {number} changeMinutes  of a change of bobbin
 * @property {number} total  minutes in all
 */

/** @typedef {[number, number, number, number]} Box  least x and y, greatest x and y, in mm */

/**
 * @typedef {object} Points
 * @property {number} count
 * @property {Float32Array} x  mm
 * @property {Float32Array} y  mm
 * @property {Uint8Array} kind
 * @property {Uint8Array} layer
 * @property {Uint8Array} sewn  1 where a stitch ends at the point
 * @property {Float32Array} clock  minutes from the beginning
 * @property {number[]} runStart  points at which a run starts
 * @property {number[]} changes
 * @property {number[]} present  layers that are sewn, those sewn last first
 * @property {Box[]} boxes  of each CHUNK points
 * @property {Uint32Array} bends  points at which the thread bends: all that is needed from afar
 * @property {Uint8Array} begins  1 for bends that begin a stretch, one for each of ``bends``
 * @property {Box[]} bendBoxes  of each CHUNK bends
 * @property {Uint8Array} seen  for whoever draws: which points are in view
 */

/** @param {string} text */
function bytes(text) {
  const raw = atob(text), out = new Uint8Array(raw.length);
  for (let i = 0; i < raw.length; i++) out[i] = raw.charCodeAt(i);
  return out;
}

/**
 * @param {Packed} packed
 * @param {Timing} time
 * @returns {Points}
 */
export function unpacked(packed, time) {
  const kind = bytes(packed.kind), layer = bytes(packed.layer), count = kind.length;
  const steps = new Int16Array(bytes(packed.steps).buffer);
  const x = new Float32Array(count), y = new Float32Array(count);
  let [px, py] = packed.first;
  for (let i = 0; i < count; i++) {
    px += steps[2 * i]; py += steps[2 * i + 1];
    x[i] = px * packed.unit; y[i] = py * packed.unit;
  }
  const runStart = [], sewn = new Uint8Array(count);
  for (let i = 0; i < count; i++) {
    if (kind[i] === TRAVEL) runStart.push(i);
    sewn[i] = Number(kind[i] <= SECURING && i > 0 && kind[i - 1] !== TRAVEL);
  }
  const clock = minutes(kind, sewn, packed.changes, time);
  const { bends, begins } = bendsOf(x, y, sewn, layer);
  return {
    count, x, y, kind, layer, sewn, clock, runStart, changes: packed.changes, bends, begins,
    present: [...new Set(layer)].sort((a, b) => b - a),
    boxes: boxesOf(count, x, y, (i) => i),
    bendBoxes: boxesOf(bends.length, x, y, (k) => bends[k]),
    seen: new Uint8Array(count),
  };
}

/**
 * Minutes at each point. Turns with the needle down are part of the whole, spread evenly over it.
 * @param {Uint8Array} kind
 * @param {Uint8Array} sewn
 * @param {number[]} changes
 * @param {Timing} time
 */
function minutes(kind, sewn, changes, time) {
  const clock = new Float32Array(kind.length);
  let minute = 0, change = 0;
  for (let i = 0; i < kind.length; i++) {
    if (kind[i] === TRAVEL) minute += time.runMinutes;
    if (sewn[i]) minute += 1 / time.perMinute;
    clock[i] = minute;
    if (i === changes[change]) { minute += time.changeMinutes; change++; }
  }
  const all = minute > 0 ? time.total / minute : 1;
  return clock.map((each) => each * all);
}

/**
 * @param {number} length
 * @param {Float32Array} x
 * @param {Float32Array} y
 * @param {(k: number) => number} at  the point that the k-th of them is
 */
function boxesOf(length, x, y, at) {
  /** @type {Box[]} */
  const all = [];
  for (let a = 0; a < length; a += CHUNK) {
    const b = Math.min(a + CHUNK, length);
    /** @type {Box} */
    const box = [Infinity, Infinity, -Infinity, -Infinity];
    for (let k = Math.max(a - 1, 0); k < b; k++) {
      const i = at(k);
      box[0] = Math.min(box[0], x[i]); box[1] = Math.min(box[1], y[i]);
      box[2] = Math.max(box[2], x[i]); box[3] = Math.max(box[3], y[i]);
    }
    all.push(box);
  }
  return all;
}

/**
 * The points at which the thread bends. Each stretch of one layer begins with the point before
 * its first stitch.
 * @param {Float32Array} x
 * @param {Float32Array} y
 * @param {Uint8Array} sewn
 * @param {Uint8Array} layer
 */
function bendsOf(x, y, sewn, layer) {
  const kept = [], first = [], count = x.length;
  for (let i = 1; i < count; i++) {
    if (!sewn[i]) continue;
    let from = i - 1;
    kept.push(from); first.push(1);
    let ux = 0, uy = 0, reached = 0, end = i;
    for (; end < count && sewn[end] && layer[end] === layer[i]; end++) {
      const dx = x[end] - x[from], dy = y[end] - y[from], far = Math.hypot(dx, dy);
      const off = Math.abs(dx * uy - dy * ux), along = dx * ux + dy * uy;
      if ((ux || uy) && (off > STRAIGHT_MM || along < reached)) { // aside, or back the way it came
        from = end - 1; kept.push(from); first.push(0);
        const ex = x[end] - x[from], ey = y[end] - y[from], e = Math.hypot(ex, ey) || 1;
        ux = ex / e; uy = ey / e; reached = e;
      } else if (far > 0 && !(ux || uy)) {
        ux = dx / far; uy = dy / far; reached = far;
      } else reached = along;
    }
    kept.push(end - 1); first.push(0);
    i = end - 1;
  }
  return { bends: Uint32Array.from(kept), begins: Uint8Array.from(first) };
}
