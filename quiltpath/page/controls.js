// The controls of the design: each set of quilting lines, wadding, paper, and the motifs' places.

import { element, input, part, made } from "../drawing/page_elements.js";
import { change } from "./design.js";
import { now } from "./given.js";
import { motifControls, motifsStand, motifsShape } from "./motifs.js";
import { belowChoice, choosePattern } from "./patterns.js";
import { on } from "./signals.js";
import { act, bind, choice, degrees, group, put, range, said, step } from "./sliders.js";

/** @typedef {import("./given.js").Entry} Entry */

const capital = (/** @type {string} */ text) => text[0].toUpperCase() + text.slice(1);

/** @param {Entry} e  @param {import("./given.js").Reach[]} angles  @param {number} n  @param {number} i */
function direction(e, angles, n, i) {
  return range("angles-" + n + "-" + i, "Angle " + (i + 1), angles[i], 1, degrees, (wished, settled) => {
    const all = now.state.entries[n].angles || angles, before = all[i].at, fixed = all[1 - i].at, along = wished < before ? -1 : 1;
    // Two families cannot run the same way: that one direction is passed over.
    const passes = (wished - fixed) % 180 === 0;
    const angle = passes ? wished + (Math.abs(wished + along) > 90 ? -along : along) : wished;
    all[i] = { ...all[i], at: angle };
    change("angles", all.map((each) => each.at), settled, { entry: e.entry });
    return angle;
  });
}

/** @param {Entry} e  @param {number} n */
function layer(e, n) {
  const says = (/** @type {string} */ key) => (/** @type {unknown} */ value, /** @type {boolean} */ settled) =>
    change(key, value, settled, { entry: e.entry });
  const once = (/** @type {string} */ key) => () => change(key, true, true, { entry: e.entry });
  const set = group((n + 1) + ". " + e.name,
    choice("pattern-" + n, "Pattern", e.patterns, e.pattern, e.draws, choosePattern(e), now.state.titles),
    ...belowChoice(e, n),
    choice("region-" + n, "Where", now.state.regions, e.region, e.region, says("region")));
  if (e.spacing) {
    const { key, about } = e.spacing;
    set.append(range("spacing-" + n, capital(key), e.spacing, step(), said,
      (mm, settled) => change(key, { mm, about }, settled, { entry: e.entry })));
  }
  if (e.angle) set.append(range("angle-" + n, "Angle", e.angle, 1, degrees, says("angle")));
  const { angles } = e;
  if (angles) set.append(...angles.map((_, i) => direction(e, angles, n, i)));
  if (e.clearance) set.append(range("clearance-" + n, "Kept free round motifs", e.clearance, step(), said, says("clearance")));
  const row = made("div", { className: "row" });
  if (n) row.append(act("earlier-" + n, "Sew it earlier", e.name, once("layer.earlier")));
  row.append(act("remove-" + n, "Leave it out", e.name, once("layer.remove")));
  set.append(row);
  return set;
}

/** What else there is to choose: further quilting, the wadding, the paper in the printer. */
function more() {
  const { patterns, titles, wadding, paper } = now.state;
  const add = choice("add", "Quilting", patterns, patterns[0], "", () => {}, titles);
  return [
    group("Further quilting", add, act("add-it", "Add it", "further quilting",
      () => change("layer.add", element("add", HTMLSelectElement).value, true))),
    group("Wadding and paper",
      choice("wadding", "Wadding", wadding.names, wadding.at, wadding.at || "not said", (kind) => change("wadding.kind", kind, true)),
      choice("paper", "Paper", paper.names, paper.at, paper.at, (size) => change("paper.size", size, true))),
  ];
}

// ---- all of them
let shape = "";
/** @param {boolean} anyway  made anew although they look the same */
function stand(anyway) {
  const { entries, regions, patterns, wadding, paper } = now.state;
  const fresh = JSON.stringify([
    entries.map((e) => [e.name, e.kind, e.pattern, e.patterns, Object.keys(e), e.spacing?.key]),
    regions, patterns, wadding, paper, motifsShape()]);
  const held = document.activeElement?.id;
  // While a figure is dragged its control must not be replaced under the hand.
  if (anyway || fresh !== shape) {
    shape = fresh;
    part("entries").replaceChildren(...entries.map(layer), ...more(), ...motifControls());
    const same = held ? document.getElementById(held) : null;
    if (same && document.activeElement !== same) same.focus();
  }
  refresh();
}
function refresh() {
  put("stitch", now.state.stitch);
  now.state.entries.forEach((e, n) => {
    put("spacing-" + n, e.spacing); put("angle-" + n, e.angle); put("clearance-" + n, e.clearance);
    e.angles?.forEach((reach, i) => { put("angles-" + n + "-" + i, reach); });
    if (now.state.regions.includes(e.region)) element("region-" + n, HTMLSelectElement).value = e.region;
  });
  motifsStand();
}
bind(input("stitch"), (mm) => mm.toFixed(1) + " mm", (mm, settled) => change("stitch.length", mm, settled));
on("lines", () => stand(false));
on("stand", () => stand(false));
on("replace", () => stand(true));
on("all", refresh);
stand(false);
