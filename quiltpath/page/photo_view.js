// The straightened photo with what was found over it, at any size; and the loupe.
//
// Colours of Okabe and Ito, as in the overlay that the command line writes: edges are thick, lines
// thin, motifs have dots, and what is unsure is drawn in strokes.

import { axisOf, blockAt, placeOf, put, ringsOf } from "./photo_marks.js";

/** @typedef {import("./photo_marks.js").Marks} Marks */
/** @typedef {import("./photo_marks.js").Mark} Mark */
/** @typedef {import("./photo_marks.js").Place} Place */
/** @typedef {{x: number, y: number, scale: number}} Part  mm in the middle of the canvas, px a mm */
/** @typedef {{points: Place[], radius: number, adds: boolean}} Stroke */
/**
 * @typedef {object} Shown
 * @property {Marks | null} marks
 * @property {HTMLImageElement | null} image
 * @property {[number, number, number, number]} box  mm that the image shows
 * @property {Mark | null} chosen
 * @property {Place | null} under  the place under the hand, for the loupe
 * @property {Stroke | null} stroke
 */

const EDGE = "#56b4e9", LINE = "#e69f00", MOTIF = "#cc79a7", DOUBT = "#d55e00", INK = "#1d1d1b", SURE = 0.6;
const LOUPE = 64, LARGER = 4;      // px from its middle to its rim; times as large
const DOTS_FROM = 3, CLOSEST = 40; // px a mm
const WORDS_FROM = 420, APART = 48; // px of the panel, and from line to line, that have room for words

/** @param {{sure: number}} one  @param {string} colour */
const colourOf = (one, colour) => (one.sure >= SURE ? colour : DOUBT);
/** @param {{sure: number, by_hand?: boolean}} one */
const sureness = (one) => (one.by_hand ? "by hand" : Math.round(100 * one.sure) + " %");

export class PhotoView {
  /** @type {Part} */
  #part = { x: 0, y: 0, scale: 1 };
  /** @type {Shown} */
  #shown = { marks: null, image: null, box: [0, 0, 1, 1], chosen: null, under: null, stroke: null };
  #isDue = false;
  #pen;

  /** @param {HTMLCanvasElement} canvas */
  constructor(canvas) {
    this.canvas = canvas;
    this.#pen = /** @type {CanvasRenderingContext2D} */ (canvas.getContext("2d"));
    new ResizeObserver(() => { if (this.#shown.marks) this.zoom(1); }).observe(canvas);
  }

  get #wide() { return this.canvas.clientWidth || 1; }
  get #high() { return this.canvas.clientHeight || 1; }
  get #whole() {
    const [x0, y0, x1, y1] = this.#shown.box;
    return Math.min(this.#wide / (x1 - x0), this.#high / (y1 - y0));
  }
  get scale() { return this.#part.scale; }

  /** Pixels of the page, y downwards, of a place in mm. @param {Place} at @returns {Place} */
  screen([x, y], by = this.#part) {
    return [this.#wide / 2 + (x - by.x) * by.scale, this.#high / 2 - (y - by.y) * by.scale];
  }
  /** @param {Place} px  @returns {Place} */
  mm([x, y]) {
    const { x: midX, y: midY, scale } = this.#part;
    return [midX + (x - this.#wide / 2) / scale, midY - (y - this.#high / 2) / scale];
  }
  fit() {
    const [x0, y0, x1, y1] = this.#shown.box;
    this.#part = { x: (x0 + x1) / 2, y: (y0 + y1) / 2, scale: this.#whole };
    this.draw();
  }
  /** @param {number} by  @param {Place} [at]  px that stay where they are */
  zoom(by, at = [this.#wide / 2, this.#high / 2]) {
    const [x, y] = this.mm(at);
    this.#part.scale = Math.min(Math.max(this.#part.scale * by, this.#whole), CLOSEST);
    const [u, v] = this.mm(at);
    this.pan([x - u, y - v]);
  }
  /** @param {Place} by  mm */
  pan([x, y]) {
    const [x0, y0, x1, y1] = this.#shown.box;
    this.#part.x = Math.min(Math.max(this.#part.x + x, x0), x1);
    this.#part.y = Math.min(Math.max(this.#part.y + y, y0), y1);
    this.draw();
  }
  /** @param {Partial<Shown>} more */
  show(more) { Object.assign(this.#shown, more); this.draw(); }
  draw() {
    if (this.#isDue) return;
    this.#isDue = true;
    requestAnimationFrame(() => { this.#isDue = false; this.#paint(); });
  }

  #paint() {
    const fine = window.devicePixelRatio || 1, size = [Math.round(this.#wide * fine), Math.round(this.#high * fine)];
    if (this.canvas.width !== size[0] || this.canvas.height !== size[1]) [this.canvas.width, this.canvas.height] = size;
    this.#pen.setTransform(fine, 0, 0, fine, 0, 0);
    this.#pen.clearRect(0, 0, this.#wide, this.#high);
    const { marks, under } = this.#shown;
    if (!marks) return;
    this.#scene(marks, this.#part);
    this.#labels(marks);
    if (under) this.#loupe(marks, under);
  }
  /** @param {Marks} marks  @param {Part} by */
  #scene(marks, by) {
    const { image, box: [x0, y0, x1, y1], stroke, chosen } = this.#shown, pen = this.#pen;
    const [left, top] = this.screen([x0, y1], by);
    pen.imageSmoothingEnabled = by.scale < 6;
    if (image) pen.drawImage(image, left, top, (x1 - x0) * by.scale, (y1 - y0) * by.scale);
    for (const motif of marks.motifs) {
      for (const where of motif.places) {
        for (const ring of motif.pieces.flatMap(ringsOf)) this.#outline(ring.map((point) => this.screen(put(where, point), by)), motif, by);
      }
    }
    const [long, up] = marks.size;
    for (const line of marks.along) this.#line([[line.at, 0], [line.at, up]], colourOf(line, LINE), 1.8, line.sure >= SURE, by);
    for (const line of marks.across) this.#line([[0, line.at], [long, line.at]], colourOf(line, LINE), 1.8, line.sure >= SURE, by);
    const least = { sure: Math.min(...marks.corners.map((corner) => corner.sure)) };
    this.#line([...marks.corners, marks.corners[0]].map((corner) => corner.at), colourOf(least, EDGE), 3, least.sure >= SURE, by);
    for (const corner of marks.corners) this.#ring(this.screen(corner.at, by), 8, colourOf(corner, EDGE));
    if (stroke) this.#brushed(stroke, by);
    if (chosen) this.#chosen(marks, chosen, by);
  }
  /** @param {Place[]} points  px  @param {string} colour  @param {number} width  @param {boolean} isSure */
  #stroke(points, colour, width, isSure) {
    const pen = this.#pen;
    pen.beginPath();
    points.forEach((point, i) => { if (i) pen.lineTo(...point); else pen.moveTo(...point); });
    pen.setLineDash(isSure ? [] : [7, 5]);
    pen.strokeStyle = "#ffffffb0"; pen.lineWidth = width + 2; pen.stroke();
    pen.strokeStyle = colour; pen.lineWidth = width; pen.stroke();
    pen.setLineDash([]);
  }
  /** @param {Place[]} way  mm  @param {string} colour  @param {number} width  @param {boolean} isSure  @param {Part} by */
  #line(way, colour, width, isSure, by) { this.#stroke(way.map((at) => this.screen(at, by)), colour, width, isSure); }
  /** @param {Place[]} ring  px  @param {{sure: number}} motif  @param {Part} by */
  #outline(ring, motif, by) {
    this.#stroke([...ring, ring[0]], colourOf(motif, MOTIF), 1.8, motif.sure >= SURE);
    if (by.scale < DOTS_FROM) return;
    this.#pen.fillStyle = colourOf(motif, MOTIF);
    for (const [x, y] of ring) { this.#pen.beginPath(); this.#pen.arc(x, y, 3, 0, 7); this.#pen.fill(); }
  }
  /** @param {Place} at  px  @param {number} radius  @param {string} colour */
  #ring([x, y], radius, colour) {
    const pen = this.#pen;
    pen.beginPath(); pen.arc(x, y, radius, 0, 7);
    pen.strokeStyle = "#ffffff"; pen.lineWidth = 4.5; pen.stroke();
    pen.strokeStyle = colour; pen.lineWidth = 2.5; pen.stroke();
  }
  /** @param {Marks} marks  @param {Mark} mark  @param {Part} by */
  #chosen(marks, mark, by) {
    const at = placeOf(marks, mark);
    if (!at) return;
    if (mark.kind === "corner" || mark.kind === "point") { this.#ring(this.screen(at, by), mark.kind === "point" ? 6 : 12, INK); return; }
    const axis = axisOf(mark), long = marks.size[1 - axis];
    this.#line(axis ? [[0, at[1]], [long, at[1]]] : [[at[0], 0], [at[0], long]], INK, 3.5, true, by);
  }
  /** @param {Stroke} stroke  @param {Part} by */
  #brushed({ points, radius, adds }, by) {
    const pen = this.#pen;
    pen.beginPath();
    pen.moveTo(...this.screen(points[0], by));
    for (const [x, y] of points) pen.lineTo(...this.screen([x + 0.01, y], by));
    pen.strokeStyle = adds ? "#009e7380" : "#d55e0080"; pen.lineWidth = 2 * radius * by.scale;
    pen.lineCap = pen.lineJoin = "round"; pen.stroke(); pen.lineCap = "butt"; pen.lineJoin = "miter";
  }

  // ---- words beside the marks: how sure each is
  /** @param {Place} at  px  @param {string} text  @param {string} colour  @param {"center" | "left"} align */
  #label([x, y], text, colour, align = "center") {
    const pen = this.#pen;
    pen.font = "13px system-ui, sans-serif"; pen.textAlign = align; pen.textBaseline = "middle";
    const wide = pen.measureText(text).width + 8, left = align === "center" ? x - wide / 2 : x - 4;
    pen.fillStyle = "#ffffff"; pen.fillRect(left, y - 9, wide, 18);
    pen.fillStyle = colour; pen.fillRect(left, y + 8, wide, 2);
    pen.fillStyle = "#1a1a1a"; pen.fillText(text, x, y);
  }
  /** @param {Marks} marks */
  #labels(marks) {
    marks.corners.forEach((corner, i) => {
      const [x, y] = this.screen(corner.at);
      this.#label([x, y + (i < 2 ? 22 : -22)], sureness(corner), colourOf(corner, EDGE));
    });
    const [long, up] = marks.size, px = long * this.scale;
    const isRoomy = marks.along.every((line, i) => !i || (line.at - marks.along[i - 1].at) * this.scale > APART);
    for (const line of marks.along) {
      const [x, y] = this.screen([line.at, up]);
      if (isRoomy || line.sure < SURE) this.#label([x, y - 14], sureness(line), colourOf(line, LINE));
    }
    for (const line of marks.across) {
      const [x, y] = this.screen([0, line.at]);
      if (px > WORDS_FROM || line.sure < SURE) this.#label([x + 8, y], sureness(line), colourOf(line, LINE), "left");
    }
    if (px > WORDS_FROM) this.#labelBlocks(marks);
  }
  /** @param {Marks} marks */
  #labelBlocks(marks) {
    const has = new Set();
    for (const motif of marks.motifs) {
      for (const where of motif.places) {
        const block = blockAt(marks, where.at);
        if (!block) continue;
        has.add(block.name);
        const [x, y] = this.screen([block.middle[0], block.box[1]]);
        this.#label([x, y - 12], block.name + " " + sureness(motif), colourOf(motif, MOTIF));
      }
    }
    for (const one of marks.missing) if (!has.has(one.block)) this.#label(this.screen(one.at), one.block + " not found", DOUBT);
  }

  // ---- the loupe: what lies under the finger, in the corner that is farther from it
  /** @param {Marks} marks  @param {Place} at */
  #loupe(marks, at) {
    const pen = this.#pen, y = LOUPE + 8, x = this.screen(at)[0] > this.#wide / 2 ? y : this.#wide - y, scale = this.scale * LARGER;
    const rim = () => { pen.beginPath(); pen.arc(x, y, LOUPE, 0, 7); };
    pen.save();
    rim(); pen.fillStyle = "#808080"; pen.fill(); pen.clip();
    this.#scene(marks, { scale, x: at[0] - (x - this.#wide / 2) / scale, y: at[1] + (y - this.#high / 2) / scale });
    pen.strokeStyle = INK; pen.lineWidth = 1; pen.beginPath();
    pen.moveTo(x - LOUPE, y); pen.lineTo(x + LOUPE, y); pen.moveTo(x, y - LOUPE); pen.lineTo(x, y + LOUPE); pen.stroke();
    pen.restore();
    rim();
    pen.strokeStyle = "#ffffff"; pen.lineWidth = 5; pen.stroke(); pen.strokeStyle = INK; pen.lineWidth = 2; pen.stroke();
  }
}
