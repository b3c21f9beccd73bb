// Motifs on the cloth: dragged, or moved by their controls, all alike or one alone.

import { canvas, toMm } from "../documents/cloth_view/scene.js";
import { input, made } from "../drawing/page_elements.js";
import { change, settle } from "./design.js";
import { now } from "./given.js";
import { on, tell } from "./signals.js";
import { choice, group, put, range, said, step } from "./sliders.js";

/** @typedef {import("./given.js").Motif} Motif */
/** @typedef {[number, number]} Point */

const ALL = "in all its blocks alike", ALONE = "this one alone";
const AXES = /** @type {const} */ (["x", "y"]);

/** What is being moved, until it is let go: from where, and what the file says then. */
/** @typedef {{key: string, place: object, from: Point, at: Point, to?: Point}} Held */

let chosen = 0; // number of the motif at the controls
/** @type {{name: string, entry: number, at: Point, all: Motif[]} | null} */
let last = null; // what it was
let moves = ALL;
/** @type {Held | null} */
let held = null;

const named = (/** @type {Motif} */ m) => m.name + (m.offset ? " in " + m.place : " at point " + (Number(m.place) + 1));
const mates = (/** @type {Motif} */ m) => now.state.motifs.filter((each) => each.entry === m.entry && each.offset);

/**
 * What a move says: a point of its own, or how far from the middle of all its blocks.
 * @param {Motif} m
 * @param {boolean} alone
 * @returns {Held}
 */
function taken(m, alone) {
  const place = { entry: m.entry, place: m.place };
  if (!m.offset) return { key: "motif.at", place, from: m.at, at: m.at };
  if (!alone) return { key: "motif.offset", place: { entry: m.entry }, from: m.at, at: m.offset };
  const others = mates(m).map((each) => each.place).filter((name) => name !== m.place);
  return { key: "motif.at", place: { ...place, others }, from: m.at, at: m.at };
}
/** @param {Held} what  @param {Point} to  @param {boolean} settled */
function move(what, to, settled) {
  if (last) last.at = to;
  change(what.key, [0, 1].map((axis) => what.at[axis] + to[axis] - what.from[axis]), settled, what.place);
}

// ---- dragged on the cloth
/** @type {Point | null} */
let grip = null;
/** @param {PointerEvent} event */
function under(event) {
  const [x, y] = toMm(event), near = (/** @type {Motif} */ m) => Math.hypot(m.at[0] - x, m.at[1] - y);
  return now.state.motifs.filter((m) => near(m) < m.size / 2).sort((a, b) => near(a) - near(b))[0];
}
canvas.addEventListener("pointerdown", (event) => {
  if (input("ruler").checked || grip) return;
  const motif = under(event);
  if (!motif) return;
  settle();
  chosen = now.state.motifs.indexOf(motif); tell("stand");
  held = taken(motif, event.shiftKey || moves === ALONE); grip = toMm(event);
  event.stopImmediatePropagation(); canvas.setPointerCapture(event.pointerId);
}, true);
canvas.addEventListener("pointermove", (event) => {
  if (!grip || !held) { canvas.style.cursor = !input("ruler").checked && under(event) ? "move" : ""; return; }
  const [x, y] = toMm(event);
  move(held, [held.from[0] + x - grip[0], held.from[1] + y - grip[1]], false);
});
const drop = () => { if (grip) { grip = null; settle(); } };
canvas.addEventListener("pointerup", drop);
canvas.addEventListener("pointercancel", drop);

// ---- by its controls
/**
 * How far its middle may go along one axis: where all of them go, as far as the first that reaches
 * the finished edge.
 * @param {Motif} m
 * @param {number} axis
 */
function reach(m, axis) {
  const at = m.at[axis], all = now.state.motifs, rooms = now.state.rooms || [];
  if (rooms.length !== all.length) return { at, low: at, high: at };
  const along = m.offset && moves === ALL ? mates(m) : [m];
  const ways = along.map((each) => rooms[all.indexOf(each)][AXES[axis]].map((end) => end - each.at[axis]));
  return { at, low: at + Math.max(...ways.map((w) => w[0])), high: at + Math.min(...ways.map((w) => w[1])) };
}
/** @param {string} name  @param {number} axis */
function slider(name, axis) {
  return range("motif-" + AXES[axis], name, reach(now.state.motifs[chosen], axis), step(), said, (mm, settled) => {
    held = held || taken(now.state.motifs[chosen], moves === ALONE);
    const to = /** @type {Point} */ ([...(held.to || held.from)]); // an answer may meanwhile have told the motifs anew
    to[axis] = mm; held.to = to;
    move(held, to, settled);
  });
}
export function motifControls() {
  const all = now.state.motifs, m = all[chosen];
  if (!m) return [];
  const names = all.map(named);
  /** @type {Node[]} */
  const inside = [choice("motif-chosen", "Motif", names, names[chosen], "", (value) => {
    settle(); chosen = names.indexOf(value); tell("stand");
  })];
  if (m.offset && mates(m).length > 1) {
    inside.push(choice("motif-moves", "Moves", [ALL, ALONE], moves, "", (value) => { settle(); moves = value; motifsStand(); }),
      made("p", { className: "hint" }, "Hold Shift to move this one alone."));
  }
  return [group("Place of a motif", ...inside, slider("From the left", 0), slider("From below", 1))];
}
/**
 * Taken out of its block a motif is told in another place of the list: it is found again.
 * @param {{name: string, entry: number, at: Point}} it
 */
function found(it) {
  const all = now.state.motifs, same = all.findIndex((m) => named(m) === it.name && m.entry === it.entry);
  if (same >= 0) return same;
  const away = (/** @type {Motif} */ m) => (m.entry === it.entry ? 0 : 1e9) + Math.hypot(m.at[0] - it.at[0], m.at[1] - it.at[1]);
  return all.reduce((best, m, i) => (away(m) < away(all[best]) ? i : best), 0);
}
let shape = "";
/** What the controls of motifs depend on. Nothing is replaced under the hand that moves it. */
export function motifsShape() {
  if (held) return shape;
  const all = now.state.motifs;
  if (last && last.all !== all && all.length) chosen = found(last);
  const m = all[chosen];
  if (!m) last = null;
  else if (!last || last.all !== all || last.name !== named(m)) last = { name: named(m), entry: m.entry, at: m.at, all };
  shape = JSON.stringify([all.map(named), chosen, Boolean(m?.offset && mates(m).length > 1)]);
  return shape;
}
export function motifsStand() {
  const m = now.state.motifs[chosen], select = document.getElementById("motif-chosen");
  if (!m || held) return;
  put("motif-x", reach(m, 0)); put("motif-y", reach(m, 1));
  if (select instanceof HTMLSelectElement) select.selectedIndex = chosen;
}
on("let go", () => {
  if (!held) return;
  held = null;
  tell("stand");
});
