// A runner from nothing: the answers, and how it looks with them.

import { button, element, made, part } from "../drawing/page_elements.js";
import { ask, hear, wordsOf } from "./asking.js";
import { GIVEN } from "./given.js";
import { startPhoto } from "./photo.js";

/** @typedef {Record<string, string>} Answers */
/** @typedef {HTMLInputElement | HTMLSelectElement} Question */

/** @type {{first: Answers, metric: Answers}} */
const { first, metric } = GIVEN;
const form = element("answers", HTMLFormElement);
const AT_REST_MS = 350;

const file = () => /** @type {HTMLInputElement} */ (form.elements.namedItem("file"));
const questions = () => /** @type {Question[]} */ ([...form.elements]
  .filter((each) => (each instanceof HTMLInputElement || each instanceof HTMLSelectElement) && each.name && !("apart" in each.dataset)));
const isRadio = (/** @type {Question} */ each) => each.type === "radio";

// ---- the answers as they stand; what does not belong to a choice is hidden
/** @param {Answers} values */
function fill(values) {
  for (const each of questions()) {
    if (!(each.name in values)) continue;
    if (each instanceof HTMLInputElement && isRadio(each)) each.checked = each.value === values[each.name];
    else each.value = values[each.name];
  }
}
function answers() {
  /** @type {Answers} */
  const said = {};
  for (const each of questions()) {
    if (!(each instanceof HTMLInputElement && isRadio(each)) || each.checked) said[each.name] = each.value;
  }
  return said;
}
function fold() {
  const said = answers(), parts = /** @type {NodeListOf<HTMLElement>} */ (document.querySelectorAll("[data-when]"));
  parts.forEach((each) => {
    const [key, value] = (each.dataset.when || "").split("=");
    each.hidden = said[key] !== value;
  });
}
// Measures that nobody has changed go over into the other unit's usual figures.
let units = first.units;
function turnUnits() {
  const said = answers();
  if (said.units === units) return;
  const before = units === "mm" ? metric : first, after = said.units === "mm" ? metric : first;
  fill(Object.fromEntries(Object.keys(metric).filter((key) => said[key] === before[key]).map((key) => [key, after[key]])));
  units = said.units;
}

// ---- how it looks: asked for at rest, the last question counts
const reached = { settled: -1, version: () => version };
let version = 0, waiting = 0, busy = false, fileTouched = false;
async function look() {
  if (busy) { waiting = setTimeout(look, AT_REST_MS); return; }
  busy = true;
  const asked = version;
  try {
    const said = await ask("/begin", { answers: answers() });
    if (asked === version) show(said);
  } catch (fault) {
    if (asked === version) { hear(wordsOf(fault), true); part("begin").classList.add("stale"); }
  }
  busy = false;
  if (asked === version) reached.settled = asked;
}
/** @param {{picture: string, shows: string, figures: [string, string][], warnings: string[]}} told */
function show({ picture, shows, figures, warnings }) {
  hear("", false);
  part("begin").classList.remove("stale");
  Object.assign(element("picture", HTMLImageElement), { src: picture, alt: shows });
  part("figures").replaceChildren(...figures.map(([name, text]) => made("div", {}, made("dt", {}, name), made("dd", {}, text))));
  part("warnings").hidden = !warnings.length;
  part("warnings").replaceChildren(...warnings.map((text) => made("li", {}, text)));
}
/** @param {string} title */
const fileOf = (title) => title.trim().toLowerCase().replace(/[^\p{L}\p{N}]+/gu, "-").replace(/^-|-$/g, "") || "runner";
function changed() {
  turnUnits(); fold();
  if (!fileTouched) file().value = fileOf(answers().title) + ".toml";
  version++;
  clearTimeout(waiting); waiting = setTimeout(look, AT_REST_MS);
}
form.addEventListener("input", (event) => {
  if (event.target === file()) { fileTouched = true; return; }
  changed();
});
form.addEventListener("submit", async (event) => {
  event.preventDefault();
  button("create").disabled = true;
  try {
    await ask("/create", { answers: answers(), file: file().value });
    location.reload();
  } catch (fault) { hear(wordsOf(fault), true); button("create").disabled = false; }
});
const photo = startPhoto({
  units: () => (answers().units === "mm" ? "mm" : "in"), file: () => file().value, used: () => location.reload(),
});
Object.assign(window, { quiltpath: Object.assign(reached, { photo }) });
fill(first); fold(); changed();
button("create").disabled = false;
