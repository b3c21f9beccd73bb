// Controls of the page: sliders that tell what they stand at, choices, and groups of them.

import { made } from "../drawing/page_elements.js";
import { settle } from "./design.js";
import { leastStep, length } from "./figure_words.js";
import { now } from "./given.js";

/** @typedef {import("./given.js").Reach} Reach */
/** @typedef {(value: number) => string} Words */

/** A length in the project's words. @type {Words} */
export const said = (mm) => length(mm, now.state.units);
/** @type {Words} */
export const degrees = (angle) => angle + "°";
/** The least by which a length is changed, in mm. */
export const step = () => leastStep(now.state.units);

/** @type {Map<HTMLInputElement, Words>} */
const words = new Map();

/** @param {HTMLInputElement} slider  @param {number} value */
function tellValue(slider, value) {
  const text = (words.get(slider) || String)(value), out = slider.parentElement?.querySelector("output");
  if (out) out.textContent = text;
  slider.setAttribute("aria-valuetext", text);
}

/**
 * Ends are whole steps inside the model's own; what the file says is shown as it is, also where it
 * lies between two steps.
 * @param {HTMLInputElement} slider
 * @param {Reach} reach
 */
function place(slider, { at, low, high }) {
  const one = Number(slider.step);
  slider.min = String(Math.min(at, one * Math.ceil(low / one - 1e-6)));
  slider.max = String(Math.max(at, one * Math.floor(high / one + 1e-6)));
  slider.value = String(at); tellValue(slider, at);
}

/** @typedef {(value: number, settled: boolean) => number | void} Act  may answer with another value */

/**
 * @param {HTMLInputElement} slider
 * @param {Words} text
 * @param {Act} act
 */
export function bind(slider, text, act) {
  words.set(slider, text);
  slider.oninput = () => {
    const value = act(Number(slider.value), false);
    if (value !== undefined) slider.value = String(value);
    tellValue(slider, Number(slider.value));
  };
  // Keys change a figure step by step: it is settled when the keyboard goes on elsewhere.
  let byKey = false;
  slider.onkeydown = () => { byKey = true; };
  slider.onpointerdown = () => { byKey = false; };
  slider.onchange = () => { if (!byKey) { act(Number(slider.value), true); settle(); } };
  slider.onblur = settle;
}

/**
 * @param {string} id
 * @param {string} name
 * @param {Reach} reach
 * @param {number} one  step
 * @param {Words} text
 * @param {Act} act
 */
export function range(id, name, reach, one, text, act) {
  const slider = made("input", { type: "range", id, step: String(one) }), out = made("output", {});
  const heading = made("span", { id: id + "-name" }, name);
  out.htmlFor.value = id;
  // A label would be that of the output, which comes first in it.
  slider.setAttribute("aria-labelledby", heading.id);
  const box = made("label", { className: "figure", htmlFor: id }, heading, out, slider);
  bind(slider, text, act); place(slider, reach);
  return box;
}

/**
 * @param {string} id
 * @param {string} name
 * @param {string[]} names
 * @param {string} value
 * @param {string} own  words for a value that is not among the names
 * @param {(value: string, settled: boolean) => void} act
 * @param {Record<string, string>} words  what is shown of a name, where that is not itself
 */
export function choice(id, name, names, value, own, act, words = {}) {
  const select = made("select", { id },
    ...names.map((each) => new Option(words[each] || each, each, false, each === value)));
  if (!names.includes(value)) select.prepend(Object.assign(new Option(own, value, false, true), { disabled: true }));
  select.onchange = () => act(select.value, true);
  return made("label", { className: "choice" }, made("span", {}, name), select);
}

/** @param {string} name  @param {...(Node | string)} inside */
export const group = (name, ...inside) => made("fieldset", {}, made("legend", {}, name), ...inside);

/**
 * @param {string} id
 * @param {string} text
 * @param {string} of  what it is about, for those who hear it alone
 * @param {() => void} act
 */
export const act = (id, text, of, act) =>
  made("button", { type: "button", id, onclick: act, ariaLabel: text + ": " + of }, text);

// The slider under the hand follows the hand, not the answer.
/** @type {EventTarget | null} */
let pressed = null;
document.addEventListener("pointerdown", (event) => { pressed = event.target; }, true);
document.addEventListener("pointerup", () => { pressed = null; }, true);

/** @param {string} id  @param {Reach} [reach] */
export function put(id, reach) {
  const slider = document.getElementById(id);
  if (slider instanceof HTMLInputElement && reach && slider !== pressed) place(slider, reach);
}
