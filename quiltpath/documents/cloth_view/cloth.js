// The cloth: its colours or printed panels, and its relief under the light.

import { input, part } from "../../drawing/page_elements.js";
import { loaded, paint, pixels } from "../../drawing/relief_light.js";
import { behind, pen, scene, toX, toY, view } from "./scene.js";
import { fill, insideTheEdge, rule } from "./shapes.js";

// ---- pictures of printed panels, which lie on the cloth in place of its colours
/** @type {{box: [number, number, number, number], image: HTMLImageElement}[]} */
let prints = [];
let printsFor = "[]";

/** @param {() => void} redraw  when they are there */
export async function takePrints(redraw) {
  const mine = scene.data.photos || [], named = JSON.stringify(mine);
  if (named === printsFor) return;
  printsFor = named;
  const images = await Promise.all(mine.map(({ picture }) => loaded(picture)));
  if (named !== printsFor) return;
  prints = mine.map(({ box }, i) => ({ box, image: images[i] }));
  litFor = ""; redraw();
}

// ---- the shape, and the picture of it under the light; both at the shape's own scale
/** @typedef {import("./scene.js").Relief} Relief */
/** @type {{form: ImageData, relief: Relief, isGuess: boolean} | null} */
let shape = null;
/** @type {HTMLCanvasElement | null} */
let litCloth = null;
let litFor = "";

/** What stands there stays until it is loaded. @param {() => void} redraw  when it is there */
export async function takeShape(redraw) {
  const mine = scene.data.relief;
  if (!mine) { shape = null; litFor = ""; return; }
  part("lighting").hidden = false;
  const image = await loaded(mine.shape);
  if (scene.data.relief !== mine) return;
  giveShape(pixels(image), mine, false);
  redraw();
}

/**
 * @param {ImageData} form
 * @param {Relief} relief  where it lies and how it is lit
 * @param {boolean} isGuess  until it is computed
 */
export function giveShape(form, relief, isGuess) { shape = { form, relief, isGuess }; litFor = ""; }

/** The shape was that of other lines: it does until there is a better one. */
export function outdateShape() { if (shape) shape.isGuess = true; }

const colours = () => ["ground", "block", "motif"].map((id) => input(id).value);

/**
 * The colours of the cloth, as many pixels as its shape has.
 * @param {import("./scene.js").Relief} relief
 * @param {ImageData} size
 */
function flatCloth(relief, size) {
  const flat = document.createElement("canvas"), [lowX, , highX, highY] = relief.box;
  flat.width = size.width; flat.height = size.height;
  const ink = /** @type {CanvasRenderingContext2D} */ (flat.getContext("2d", { willReadFrequently: true }));
  const by = size.width / (highX - lowX), [ground, block, motif] = colours();
  ink.setTransform(by, 0, 0, -by, -lowX * by, highY * by);
  /** @param {number[][]} rings  @param {boolean} close */
  const path = (rings, close) => {
    ink.beginPath();
    rings.forEach((ring) => {
      for (let i = 0; i < ring.length; i += 2) {
        if (i) ink.lineTo(ring[i], ring[i + 1]);
        else ink.moveTo(ring[i], ring[i + 1]);
      }
      if (close) ink.closePath();
    });
  };
  /** @param {number[][]} rings  @param {string} colour */
  const filled = (rings, colour) => { path(rings, true); ink.fillStyle = colour; ink.fill("evenodd"); };
  /** @param {number[][]} lines  @param {string} colour  @param {number} width */
  const ruled = (lines, colour, width) => { path(lines, false); ink.strokeStyle = colour; ink.lineWidth = width; ink.stroke(); };
  filled(scene.data.outline, ground);
  for (const ring of scene.data.blocks) filled([ring], block);
  for (const rings of scene.data.motifs) filled(rings, motif);
  if (prints.length) {
    path(scene.data.outline, true);
    ink.save(); ink.clip("evenodd"); ink.resetTransform();
    for (const { box: [left, foot, right, top], image } of prints) {
      ink.drawImage(image, (left - lowX) * by, (highY - top) * by, (right - left) * by, (top - foot) * by);
    }
    ink.restore();
  } else ruled(scene.data.printed, "#b9a98a", 0.6);
  ruled(scene.data.seams, "#8a8170", 0.7);
  return ink.getImageData(0, 0, flat.width, flat.height);
}

/**
 * The picture under the light, made anew where a colour or the light has changed.
 * @param {import("./scene.js").Relief} relief
 * @param {ImageData} form
 */
function lighted(relief, form) {
  const now = [...colours(), input("light").value].join();
  if (now === litFor && litCloth) return litCloth;
  const flat = flatCloth(relief, form);
  litCloth = litCloth || document.createElement("canvas");
  litCloth.width = flat.width; litCloth.height = flat.height;
  const ink = /** @type {CanvasRenderingContext2D} */ (litCloth.getContext("2d"));
  const picture = ink.createImageData(flat.width, flat.height);
  paint(picture.data, flat.data, form.data, Number(input("light").value), relief.above, relief.sky);
  ink.putImageData(picture, 0, 0);
  litFor = now;
  return litCloth;
}

const isLit = () => input("lit").checked && !behind() && !scene.onPaper;

/** True once the cloth is seen as quilted, by what was computed. */
export const litNow = () => shape !== null && !shape.isGuess && isLit() && litFor !== "";

/** The cloth within the finished edge, without its thread. */
export function drawCloth() {
  const { outline, blocks, printed, motifs, seams } = scene.data;
  if (shape && isLit()) {
    const { form, relief } = shape, [lowX, lowY, highX, highY] = relief.box;
    pen.imageSmoothingQuality = "high";
    pen.drawImage(lighted(relief, form), toX(lowX), toY(highY), (highX - lowX) * view.scale, (highY - lowY) * view.scale);
    return;
  }
  fill(outline, input("ground").value);
  if (behind()) return;
  for (const ring of blocks) fill([ring], input("block").value);
  rule(printed, "#b9a98a", 1);
  for (const rings of motifs) fill(rings, input("motif").value);
  insideTheEdge(() => {
    for (const { box: [left, foot, right, top], image } of prints) {
      pen.drawImage(image, toX(left), toY(top), (right - left) * view.scale, (top - foot) * view.scale);
    }
  });
  rule(seams, "#8a8170", 1, [8, 3]);
}
