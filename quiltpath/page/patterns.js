// Patterns by picture: a small one of each on this very runner, of which a click tries one.

import { made } from "../drawing/page_elements.js";
import { isStopped, parts, wordsOf } from "./asking.js";
import { change, changesNow } from "./design.js";
import { now } from "./given.js";
import { tell } from "./signals.js";

/** @typedef {import("./given.js").Entry} Entry */
/** @typedef {{spacing?: {mm: number, about: boolean}, angle?: number}} Kept */

const SVG = "http://www.w3.org/2000/svg";

// ---- what a person gave the layer, kept while patterns are tried, also through those that have none
/** @type {Map<number, Kept>} */
const given = new Map();
/** @param {Entry} e */
function remember(e) {
  const known = given.get(e.entry) || {};
  if (e.given.includes("spacing") && e.spacing) known.spacing = { mm: e.spacing.at, about: e.spacing.about };
  if (e.given.includes("angle") && e.angle) known.angle = e.angle.at;
  given.set(e.entry, known);
  return known;
}
/** @param {Entry} e */
export const choosePattern = (e) => (/** @type {string} */ name, /** @type {boolean} */ settled) =>
  change("pattern", name, settled, { entry: e.entry, keep: remember(e) });

// ---- the pictures, one after the other
/** @type {{entry: number, box: HTMLElement, stop: AbortController} | null} */
let open = null; // the layer whose patterns are shown, and the box that they are in

/** @param {string} tag  @param {Record<string, string>} attributes */
function drawn(tag, attributes) {
  const fresh = document.createElementNS(SVG, tag);
  Object.entries(attributes).forEach(([key, value]) => { fresh.setAttribute(key, value); });
  return fresh;
}
/**
 * @param {Entry} e
 * @param {{name: string, title: string, about: string, starts: number, minutes: number, box: number[], pale: string, lines: string}} told
 */
function pictureOf(e, told) {
  const size = told.box[2], starts = told.starts + (told.starts === 1 ? " start, " : " starts, ") + told.minutes + " min";
  const svg = drawn("svg", { viewBox: told.box.join(" "), "aria-hidden": "true" });
  svg.append(drawn("path", { class: "pale", d: told.pale, "stroke-width": String(size / 300) }),
    drawn("path", { d: told.lines, "stroke-width": String(size / 150) }));
  const one = made("button", {
    type: "button", title: told.about, ariaLabel: told.title + ": " + starts, onclick: () => choosePattern(e)(told.name, true),
  }, svg, made("strong", {}, told.title), made("span", {}, starts));
  one.dataset.name = told.name;
  return one;
}
/** @param {HTMLElement} box  @param {Entry} e */
function mark(box, e) {
  box.querySelectorAll("button").forEach((one) => { one.ariaPressed = String(one.dataset.name === e.pattern); });
}
/** @param {Entry} e */
async function show(e) {
  const heard = made("p", {}, "drawing the patterns …"), box = made("div", { className: "patterns" }, heard);
  const stop = new AbortController();
  heard.setAttribute("role", "status");
  open = { entry: e.entry, box, stop };
  tell("replace");
  let use = "";
  try {
    const content = { changes: changesNow(), entry: e.entry, keep: remember(e) };
    for await (const told of parts("/pictures", content, stop.signal)) {
      if (!told.name) continue;
      if (told.use !== use) { use = told.use; box.insertBefore(made("h3", {}, use), heard); }
      box.insertBefore(pictureOf(e, told), heard);
      mark(box, now.state.entries.find((each) => each.entry === e.entry) || e);
    }
    heard.textContent = "";
  } catch (fault) { if (!isStopped(fault)) heard.textContent = wordsOf(fault); }
}
/** @param {Entry} e  @param {number} n */
function opener(e, n) {
  const isOpen = open?.entry === e.entry, text = isOpen ? "Put the pictures away" : "Choose by picture";
  return made("button", {
    type: "button", id: "pictures-" + n, ariaExpanded: String(isOpen), ariaLabel: text + ": " + e.name,
    onclick: () => {
      open?.stop.abort();
      open = null;
      if (isOpen) tell("replace"); else show(e);
    },
  }, text);
}
/** What stands below the choice of a layer's pattern. */
export function belowChoice(/** @type {Entry} */ e, /** @type {number} */ n) {
  remember(e);
  if (!open || open.entry !== e.entry) return [opener(e, n)];
  mark(open.box, e);
  return [opener(e, n), open.box];
}
