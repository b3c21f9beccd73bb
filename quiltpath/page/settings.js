// Every setting of the file, folded away: what it is called, where it stands, what it takes.

import { made, part } from "../drawing/page_elements.js";
import { parts } from "./asking.js";
import { change, changesNow } from "./design.js";
import { now } from "./given.js";
import { on } from "./signals.js";

/** @typedef {{name: string, value: string, meaning: string, takes: string, default: string, options: string[]}} Key */
/** @typedef {{section: string, entry?: number, kind?: string, called?: string, further?: boolean, about: string, keys: Key[]}} Table */

/** @param {Table} one */
function titleOf(one) {
  if (one.further) return "A further " + one.section;
  const words = one.section ? one.section.replaceAll("_", " ").replaceAll(".", ": ") : "The whole project";
  const number = one.entry === undefined ? "" : " " + (one.entry + 1);
  return words[0].toUpperCase() + words.slice(1) + number + (one.called ? ": " + one.called : "");
}
/** @param {Table} one  @param {Key} key */
const idOf = (one, key) =>
  ["set", one.section || "project", one.further ? "further" : one.entry === undefined ? "" : one.entry, key.name].join("-");

/** @param {Key} key */
function entryOf(key) {
  const usual = key.default ? "usually " + key.default : "not said";
  if (!key.options.length) return made("input", { placeholder: usual, autocomplete: "off" });
  const own = key.value && !key.options.includes(key.value) ? [key.value] : [];
  return made("select", {}, new Option(usual, ""), ...own.concat(key.options).map((word) => new Option(word, word)));
}
/** @param {Table} one  @param {Key} key */
function field(one, key) {
  const id = idOf(one, key), hint = made("small", { id: id + "-means" },
    key.meaning + (key.meaning ? ". " : "") + "Takes " + key.takes + ".");
  const entry = Object.assign(entryOf(key), { id, value: key.value });
  entry.setAttribute("aria-describedby", hint.id);
  if (one.further) entry.dataset.key = key.name;
  else {
    entry.onchange = () => {
      const { section, entry: number, kind } = one;
      change("setting", entry.value, true,
        { section, name: key.name, ...(number === undefined ? {} : { entry: number }), ...(kind ? { kind } : {}) });
    };
  }
  return made("label", {}, made("span", {}, key.name.replaceAll("_", " ")), entry, hint);
}
/** What was typed for a further entry becomes one when all of it is there. @param {Table} one */
function adder(one) {
  const add = made("button", { type: "button", ariaLabel: "Add it: " + titleOf(one) }, "Add it");
  add.onclick = () => {
    const fields = /** @type {NodeListOf<HTMLInputElement>} */ (add.parentElement?.querySelectorAll("[data-key]"));
    change("entry.add", Object.fromEntries([...fields].filter((each) => each.value.trim())
      .map((each) => [each.dataset.key, each.value])), true, { section: one.section });
  };
  return add;
}
/** @param {Table} one */
const remover = (one) => made("button", {
  type: "button", ariaLabel: "Leave it out: " + titleOf(one),
  onclick: () => change("entry.remove", true, true, { section: one.section, entry: one.entry }),
}, "Leave it out");
/** @param {Table} one */
function table(one) {
  const box = made("details", {}, made("summary", {}, titleOf(one)),
    made("p", { className: "hint" }, one.about), ...one.keys.map((key) => field(one, key)));
  if (one.further) box.append(adder(one));
  else if (one.entry !== undefined && !one.kind) box.append(remover(one));
  return box;
}

let shape = "", asked = -1;
async function refresh() {
  const settings = /** @type {HTMLDetailsElement} */ (part("settings"));
  if (!settings.open || asked === now.version) return;
  asked = now.version;
  const mine = asked;
  /** @type {Table[]} */
  let told = [];
  try {
    for await (const answer of parts("/settings", { changes: changesNow() })) told = answer.settings;
  } catch { return; } // why is told where the lines are drawn
  if (mine !== now.version) return;
  const fresh = JSON.stringify(told.map((one) => [titleOf(one), one.keys.map((key) => key.name)]));
  if (fresh !== shape) replace(told, fresh);
  else stand(told);
}
/** @param {Table[]} told  @param {string} fresh */
function replace(told, fresh) {
  const boxes = () => /** @type {HTMLDetailsElement[]} */ ([...part("tables").children]);
  const opened = new Set(boxes().filter((box) => box.open).map((box) => box.firstChild?.textContent));
  const held = document.activeElement?.id;
  shape = fresh;
  part("tables").replaceChildren(...told.map(table));
  boxes().forEach((box) => { box.open = opened.has(box.firstChild?.textContent); });
  if (held) document.getElementById(held)?.focus();
}
/** @param {Table[]} told */
function stand(told) {
  for (const one of told.filter(({ further }) => !further)) {
    for (const key of one.keys) {
      const entry = document.getElementById(idOf(one, key));
      if (entry && entry !== document.activeElement) Object.assign(entry, { value: key.value });
    }
  }
}
part("settings").addEventListener("toggle", refresh);
on("all", refresh);
