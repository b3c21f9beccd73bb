// The design: changes, how they come to the screen, and the file that they go into.

import { picture } from "../documents/cloth_view/picture.js";
import { button, element, input, made, part } from "../drawing/page_elements.js";
import { ask, hear, isStopped, parts, Refusal, wordsOf } from "./asking.js";
import { Changes } from "./changes.js";
import { Figures } from "./figures.js";
import { GIVEN, now } from "./given.js";
import { listMade } from "./made_files.js";
import { awayFromLines, insideOf, raised, widestGap } from "./quick_relief.js";
import { tell } from "./signals.js";

const LAST_PART = 2;    // lines, then stitches and figures, then gaps and warnings
const AT_REST_MS = 400; // after the last change the cloth is shown as quilted
const WATCH_MS = 1500, PROGRESS_MS = 300;

const changes = new Changes(), figures = new Figures(GIVEN.drawn_m);
let saved = 0;
/** Where the page is: what waits for it looks here. */
export const reached = {
  settled: 0,
  /** @type {{part: number, ms: number}[]} */
  waited: [],
};

// ---- drawing: one question under way; a later change waits for the lines of the one before,
// then takes the place of the rest of its answer
/** @type {{stop: AbortController, shown: boolean} | null} */
let under = null;
let again = false, changedAt = 0;
let standing = "[]", refused = false; // changes as last drawn; the last change could not be drawn
let cloth = "";   // names the one that the picture holds: it is not sent again
let kept = false; // the reason stays to be read until the next change
const plain = () => JSON.stringify(changes.plain());

async function draw() {
  if (under) { again = true; if (under.shown) under.stop.abort(); return; }
  const mine = { stop: new AbortController(), shown: false };
  under = mine;
  const asked = now.version, since = changedAt, sent = plain();
  /** @type {import("./figures.js").Row[]} */
  let known = [];
  let fault = null;
  try {
    for await (const fresh of parts("/draw", { changes: JSON.parse(sent), cloth }, mine.stop.signal)) {
      if (fresh.base !== now.state.base) break;
      standing = sent;
      known = take(fresh, known, asked);
      await new Promise((ready) => { requestAnimationFrame(ready); });
      reached.waited.push({ part: fresh.part, ms: performance.now() - since });
      mine.shown = true;
      if (again) { mine.stop.abort(); break; }
      if (fresh.part === LAST_PART) reached.settled = asked;
    }
  } catch (error) { fault = error; }
  under = null;
  if (again) { again = false; draw(); return; }
  if (fault && !isStopped(fault)) {
    hear(wordsOf(fault), true); reached.settled = asked; refused = fault instanceof Refusal;
    if (refused && !changes.isEmpty && changes.isSettled) takeBack();
  } else if (!fault && !kept) hear("", false);
  if (!fault) lightSoon();
}

// What cannot be drawn does not stay among the changes, where it would spoil all later ones:
// the last ones that could be are what is on the screen.
function takeBack() {
  refused = false;
  if (plain() === standing) return;
  changes.put(JSON.parse(standing));
  moved(true);
}

/**
 * @param {any} fresh  a part of the answer
 * @param {import("./figures.js").Row[]} before  figures of the parts before it
 * @param {number} asked  the version it answers
 */
function take(fresh, before, asked) {
  const { data, figures: rows, warnings, places, remedies, lying, part: number, drawn_m: drawnM, cloth: shown, ...rest } = fresh;
  const isNew = asked === now.version;
  // What the hand has moved on since is not put back to where this answer found it.
  if (isNew) now.state = { ...now.state, ...rest };
  picture.show(data, number, guessed);
  if (shown) cloth = shown;
  document.title = now.state.title;
  const heading = document.querySelector("h1");
  if (heading) heading.textContent = now.state.title;
  // A machine's parts take other figures than the whole did in one piece: in the same place.
  const known = [...new Map([...before, ...rows].map((row) => [row[0], row])).values()];
  figures.take(known, number === 0 ? "lines" : number === LAST_PART ? "all" : "more", drawnM);
  if (warnings) listWarnings(warnings, places, remedies);
  if (lying) {
    Object.assign(element("lying-picture", HTMLImageElement), { src: lying.picture, alt: lying.shows });
    part("lying-words").textContent = lying.words;
  }
  if (isNew && warnings) tell("all");
  if (isNew && number === 0) tell("lines");
  return known;
}

/**
 * @param {string[]} warnings
 * @param {([number, number] | null)[]} places
 * @param {import("./changes.js").Change[][]} remedies
 */
function listWarnings(warnings, places, remedies) {
  part("warnings").replaceChildren(...(warnings.length ? warnings : ["none"]).map((text, n) => {
    const li = made("li", {}, text), place = places[n];
    if (place) li.dataset.at = place.join();
    return li;
  }));
  picture.showPlaces();
  offerRemedies(remedies);
}
/**
 * What can be mended by changing figures gets a button that does.
 * @param {import("./changes.js").Change[][]} remedies  one for each thing that is told
 */
function offerRemedies(remedies) {
  [...part("warnings").children].forEach((li, n) => {
    const all = remedies[n] || [];
    if (!all.length) return;
    const mend = made("button", { type: "button", className: "mend" }, "Change it so");
    mend.onclick = () => {
      settle();
      for (const { key, value, ...place } of all) change(key, value, true, place);
      button("undo").focus();
    };
    li.append(" ", mend);
  });
}

// ---- the cloth as quilted, where that is wished: about so while something changes, exact at rest
let resting = 0;
/** @type {import("./quick_relief.js").Loft | null} */
let raisedBy = null;
/** @type {import("../documents/cloth_view/picture.js").Guessing} */
function guessed(points, data) {
  const field = awayFromLines(points, data);
  figures.guessGap(widestGap(field, insideOf(field, data)), now.state.units);
  return input("lit").checked && raisedBy ? raised(field, data, raisedBy) : null;
}
function lightSoon() {
  clearTimeout(resting);
  if (input("lit").checked) resting = setTimeout(light, AT_REST_MS);
}
async function light() {
  const asked = now.version;
  try {
    const { base, relief, loft } = await ask("/lit", { changes: JSON.parse(standing) });
    if (asked !== now.version || base !== now.state.base) return;
    raisedBy = loft;
    picture.light(relief);
  } catch { /* the cloth stays as it is; why is told where lines are drawn */ }
}

// ---- changes
/**
 * @param {string} key
 * @param {unknown} value
 * @param {boolean} settled  the hand has let go
 * @param {object} [more]  where it belongs
 */
export function change(key, value, settled, more) {
  if (!now.saving && changes.add(key, value, settled, more)) moved(false);
}
export function settle() {
  changes.settle();
  if (refused) takeBack();
  tell("let go");
}
/** @param {boolean} back  what could not be drawn was taken back */
function moved(back) {
  clearTimeout(resting);
  kept = back; refused = false; now.version++; changedAt = performance.now();
  buttons(); draw();
}
/** A design that was kept is taken up again; what was undone before it stays undone. */
export function goTo(/** @type {import("./changes.js").Change[]} */ all) {
  settle(); changes.put(all); changes.forgetUndone(); moved(false);
}
export const changesNow = () => changes.plain();
export const figuresNow = () => figures.known();

// ---- buttons
function buttons() {
  const { saving, version } = now;
  button("undo").disabled = saving || changes.isEmpty;
  button("redo").disabled = saving || !changes.hasUndone;
  button("save").disabled = saving || saved === version;
  button("make").disabled = saving || saved !== version;
  button("make").title = saved !== version ? "save first" : "";
}
/**
 * The keyboard keeps a place although the button may be disabled the moment it is used up.
 * @param {string} id
 * @param {string} other
 */
function used(id, other) { if (button(id).disabled && !button(other).disabled) button(other).focus(); }

button("undo").onclick = () => {
  const wasRefused = refused;
  settle();
  if (wasRefused) return;
  changes.undo(); moved(false); used("undo", "redo");
};
button("redo").onclick = () => { changes.redo(); settle(); moved(false); used("redo", "undo"); };
button("save").onclick = async () => {
  settle(); now.saving = true; buttons(); hear("saving", false);
  try {
    await ask("/save", { changes: changes.plain() });
    saved = now.version; hear("saved " + now.state.file, false);
  } catch (fault) { hear(wordsOf(fault), true); }
  now.saving = false; buttons(); used("save", "make");
};
button("make").onclick = async () => {
  hear("making", false); button("make").disabled = true; part("made").hidden = true;
  const watch = setInterval(async () => {
    const at = await ask("/progress").catch(() => null);
    if (at?.running) hear("making: " + at.what, false);
  }, PROGRESS_MS);
  try {
    listMade("set", await ask("/make"));
  } catch (fault) { hear(wordsOf(fault), true); }
  clearInterval(watch); buttons(); button("make").focus();
};
async function load() {
  try {
    now.state.base = (await ask("/load")).base;
    changes.put([]); changes.forgetUndone(); standing = "[]"; saved = now.version + 1;
    button("load").hidden = true; moved(false);
  } catch (fault) { hear(wordsOf(fault), true); button("load").hidden = false; }
}
button("load").onclick = load;
document.addEventListener("keydown", (event) => {
  if (!(event.ctrlKey || event.metaKey) || event.altKey || event.key.toLowerCase() !== "z") return;
  const asked = button(event.shiftKey ? "redo" : "undo");
  if (!asked.disabled) { event.preventDefault(); asked.click(); }
});
element("design", HTMLFormElement).onsubmit = (event) => { event.preventDefault(); };

// ---- the file may change on disk
setInterval(async () => {
  const at = await ask("/progress").catch(() => null);
  if (!at?.changed || !button("load").hidden || now.saving) return;
  if (saved === now.version && !under) load();
  else { button("load").hidden = false; hear(now.state.file + " has changed on disk", true); }
}, WATCH_MS);

part("lighting").hidden = false;
input("lit").addEventListener("change", lightSoon);
lightSoon();
offerRemedies(GIVEN.remedies);
buttons();
