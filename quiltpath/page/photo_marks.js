// What was found in a photo and what a hand has made of it: corners, lines and motifs in mm from the
// panel's lower left corner, y upwards. Every change leaves the state before it as it was, for undo.

/** @typedef {[number, number]} Place  mm */
/** @typedef {{error: number, sure: number, by_hand?: boolean}} Sure  mm, and 0 to 1 */
/** @typedef {Sure & {at: Place}} Corner */
/** @typedef {Sure & {at: number}} Line */
/** @typedef {{outline: Place[], holes: Place[][]}} Piece  from the middle of the block it lies in */
/** @typedef {{at: Place, turned: number}} Where  a motif's place, turned by 0 or 180 degrees */
/** @typedef {Sure & {pieces: Piece[], places: Where[]}} FoundMotif */
/** @typedef {{name: string, box: [number, number, number, number], middle: Place}} Block */
/**
 * @typedef {object} Marks
 * @property {number} found  the measurement that they come from
 * @property {[number, number]} size
 * @property {boolean} moved  whether corners lie elsewhere than it took them
 * @property {Corner[]} corners  lower left, lower right, upper right, upper left
 * @property {Line[]} along
 * @property {Line[]} across
 * @property {FoundMotif[]} motifs
 * @property {{block: string, why: string, at: Place}[]} missing
 */
/** @typedef {"along" | "across"} Way  upright lines, level lines */
/** @typedef {{kind: "point", motif: number, place: number, piece: number, ring: number, i: number}} PointMark */
/** @typedef {{kind: "corner", i: number} | {kind: Way, i: number} | PointMark} Mark */

export const CORNERS = ["lower left", "lower right", "upper right", "upper left"];
const BY_HAND = { error: 0.5, sure: 1, by_hand: true };
const LEAST_BETWEEN = 1; // mm from line to line

/** @param {Place} a  @param {Place} b */
const apart = (a, b) => Math.hypot(a[0] - b[0], a[1] - b[1]);
/** @template T  @param {T[]} list  @param {number} i  @param {T} value */
const swapped = (list, i, value) => list.map((each, k) => (k === i ? value : each));
const rounded = (/** @type {number} */ mm) => Math.round(100 * mm) / 100;

/** @param {any} said  what the program found  @returns {Marks} */
export function marksOf(said) {
  /** @type {Place[]} */
  const at = [[0, 0], [said.length, 0], [said.length, said.width], [0, said.width]];
  return {
    found: said.found, size: [said.length, said.width], moved: false,
    corners: said.corners.map((/** @type {Sure} */ each, /** @type {number} */ i) => ({ ...each, at: at[i] })),
    along: said.along, across: said.across, motifs: said.motifs, missing: said.not_found,
  };
}

// ---- outlines: one for all places of a motif, turned and moved to each
/** @param {Where} where  @param {Place} point  @returns {Place} */
export function put({ at, turned }, [x, y]) { return turned ? [at[0] - x, at[1] - y] : [at[0] + x, at[1] + y]; }
/** @param {Where} where  @param {Place} point  @returns {Place} */
export function putBack({ at, turned }, [x, y]) { return turned ? [at[0] - x, at[1] - y] : [x - at[0], y - at[1]]; }
/** @param {Piece} piece */
export const ringsOf = (piece) => [piece.outline, ...piece.holes];
/** Every point of every outline, where it lies. @param {Marks} marks @returns {Generator<{mark: PointMark, at: Place}>} */
export function* pointsOf(marks) {
  for (const [motif, one] of marks.motifs.entries()) {
    for (const [place, where] of one.places.entries()) {
      for (const [piece, part] of one.pieces.entries()) {
        for (const [ring, list] of ringsOf(part).entries()) {
          for (const [i, point] of list.entries()) yield { mark: { kind: "point", motif, place, piece, ring, i }, at: put(where, point) };
        }
      }
    }
  }
}
/** @param {Mark} mark  @returns {0 | 1} */
export const axisOf = (mark) => (mark.kind === "across" ? 1 : 0);
/** Where a mark lies, if there is one. @param {Marks} marks @param {Mark | null} mark @returns {Place | undefined} */
export function placeOf(marks, mark) {
  if (!mark) return undefined;
  if (mark.kind === "corner") return marks.corners[mark.i]?.at;
  if (mark.kind === "point") {
    const motif = marks.motifs[mark.motif], where = motif?.places[mark.place], piece = motif?.pieces[mark.piece];
    const point = piece && ringsOf(piece)[mark.ring]?.[mark.i];
    return where && point && put(where, point);
  }
  const line = marks[mark.kind][mark.i], middle = marks.size[1 - axisOf(mark)] / 2;
  return line && (axisOf(mark) ? [middle, line.at] : [line.at, middle]);
}

/**
 * The mark within ``reach`` mm of a place: corners before points, points before lines.
 * @param {Marks} marks
 * @param {Place} at
 * @param {number} reach
 * @returns {Mark | null}
 */
export function nearest(marks, at, reach) {
  /** @type {Mark | null} */
  let best = null;
  let least = reach;
  const take = (/** @type {Mark} */ mark, /** @type {number} */ far) => { if (far < least) { least = far; best = mark; } };
  marks.corners.forEach((corner, i) => { take({ kind: "corner", i }, apart(corner.at, at)); });
  if (best) return best;
  for (const one of pointsOf(marks)) take(one.mark, apart(one.at, at));
  if (best || marks.size.some((size, axis) => at[axis] < -reach || at[axis] > size + reach)) return best;
  marks.along.forEach((line, i) => { take({ kind: "along", i }, Math.abs(line.at - at[0])); });
  marks.across.forEach((line, i) => { take({ kind: "across", i }, Math.abs(line.at - at[1])); });
  return best;
}

// ---- changes
/**
 * A point of a ring takes its neighbours within ``soft`` mm of it along, less and less.
 * @param {Place[]} ring
 * @param {number} i
 * @param {Place} to
 * @param {number} soft
 * @returns {Place[]}
 */
function bent(ring, i, to, soft) {
  const n = ring.length, by = [to[0] - ring[i][0], to[1] - ring[i][1]], share = new Float64Array(n);
  share[i] = 1;
  for (const way of [1, -1]) {
    for (let k = 1, far = 0; k < n; k++) {
      const here = (i + way * k + n * n) % n, before = (here - way + n) % n;
      far += apart(ring[here], ring[before]);
      if (far >= soft) break;
      share[here] = Math.max(share[here], Math.cos(Math.PI / 2 * far / soft) ** 2);
    }
  }
  return ring.map(([x, y], k) => [rounded(x + share[k] * by[0]), rounded(y + share[k] * by[1])]);
}

/**
 * @param {Marks} marks
 * @param {Mark} mark
 * @param {Place} to
 * @param {number} soft  mm to either side within which neighbours of a point go along
 * @returns {Marks}
 */
export function moveMark(marks, mark, to, soft) {
  if (mark.kind === "corner") {
    /** @type {Place} */
    const at = [rounded(to[0]), rounded(to[1])];
    return { ...marks, moved: true, corners: swapped(marks.corners, mark.i, { ...BY_HAND, at }) };
  }
  if (mark.kind === "point") {
    const motif = marks.motifs[mark.motif], piece = motif.pieces[mark.piece], rings = ringsOf(piece);
    const ring = bent(rings[mark.ring], mark.i, putBack(motif.places[mark.place], to), soft);
    const [outline, ...holes] = swapped(rings, mark.ring, ring);
    return withMotif(marks, mark.motif, { ...motif, ...BY_HAND, pieces: swapped(motif.pieces, mark.piece, { outline, holes }) });
  }
  const axis = axisOf(mark), list = marks[mark.kind], before = list[mark.i - 1], after = list[mark.i + 1];
  const low = before ? before.at + LEAST_BETWEEN : 0, high = after ? after.at - LEAST_BETWEEN : marks.size[axis];
  const at = rounded(Math.min(Math.max(to[axis], low), high));
  return { ...marks, [mark.kind]: swapped(list, mark.i, { ...BY_HAND, at }) };
}

/** @param {Marks} marks  @param {number} i  one more than there are for a new one  @param {FoundMotif} motif  @returns {Marks} */
export function withMotif(marks, i, motif) {
  return { ...marks, motifs: i < marks.motifs.length ? swapped(marks.motifs, i, motif) : [...marks.motifs, motif] };
}

/**
 * A further line in the middle of the widest room between two.
 * @param {Marks} marks
 * @param {Way} kind
 * @returns {{marks: Marks, mark: Mark}}
 */
export function addLine(marks, kind) {
  const list = marks[kind], ends = [0, ...list.map((line) => line.at), marks.size[kind === "along" ? 0 : 1]];
  let i = 0;
  ends.forEach((at, k) => { if (k && at - ends[k - 1] > ends[i + 1] - ends[i]) i = k - 1; });
  const line = { ...BY_HAND, at: rounded((ends[i] + ends[i + 1]) / 2) };
  return { marks: { ...marks, [kind]: [...list.slice(0, i), line, ...list.slice(i)] }, mark: { kind, i } };
}

/** Without a line, or without the whole motif that a point belongs to. @param {Marks} marks @param {Mark} mark @returns {Marks} */
export function without(marks, mark) {
  if (mark.kind === "corner") return marks;
  if (mark.kind === "point") return { ...marks, motifs: marks.motifs.filter((_, i) => i !== mark.motif) };
  return { ...marks, [mark.kind]: marks[mark.kind].filter((_, i) => i !== mark.i) };
}

// ---- blocks, and the motif that a brush is for
/** @param {Line[]} lines  @returns {[number, number][]} */
const pairsOf = (lines) => lines.flatMap((line, i) => (i % 2 ? [[lines[i - 1].at, line.at]] : []));
/** @param {number} i  0 as A, 26 as AA  @returns {string} */
const letters = (i) => (i >= 26 ? letters(Math.floor(i / 26) - 1) : "") + String.fromCharCode(65 + i % 26);

/** Row by row from the lowest, from the left: A1, B1, ... @param {Marks} marks @returns {Block[]} */
export function blocksOf(marks) {
  const columns = pairsOf(marks.along);
  return pairsOf(marks.across).flatMap(([y0, y1], row) => columns.map(([x0, x1], column) => (
    { name: letters(column) + (row + 1), box: [x0, y0, x1, y1], middle: [(x0 + x1) / 2, (y0 + y1) / 2] })));
}
/** @param {Block} block  @param {Place} at */
const holds = ({ box: [x0, y0, x1, y1] }, [x, y]) => x >= x0 && x <= x1 && y >= y0 && y <= y1;
/** @param {Marks} marks  @param {Place} at */
export const blockAt = (marks, at) => blocksOf(marks).find((block) => holds(block, at));

/**
 * The motif in the block under a place, the nearest of several; a new one where there is none.
 * @param {Marks} marks
 * @param {Place} at
 * @returns {{i: number, motif: FoundMotif, where: Where} | null}  null where there is no block
 */
export function motifAt(marks, at) {
  const block = blockAt(marks, at);
  if (!block) return null;
  let best = null, least = Infinity;
  for (const { mark, at: point } of pointsOf(marks)) {
    const motif = marks.motifs[mark.motif], where = motif.places[mark.place], far = apart(point, at);
    if (holds(block, where.at) && far < least) { least = far; best = { i: mark.motif, motif, where }; }
  }
  const where = { at: block.middle, turned: 0 };
  return best || { i: marks.motifs.length, motif: { ...BY_HAND, pieces: [], places: [where] }, where };
}
