// Designs that are kept as cards: what each has, and how it differs from the design as it stands.

import { button, made, part } from "../drawing/page_elements.js";
import { picture } from "../documents/cloth_view/picture.js";
import { ask, hear, wordsOf } from "./asking.js";
import { changesNow, figuresNow, goTo } from "./design.js";
import { difference } from "./figure_words.js";
import { now } from "./given.js";
import { listMade } from "./made_files.js";
import { on } from "./signals.js";
import { said } from "./sliders.js";

/**
 * @typedef {object} Card
 * @property {string} name
 * @property {string} picture
 * @property {Map<string, string>} figures
 * @property {import("./changes.js").Change[]} changes
 */

const TOLD = ["Starts", "Stitches", "Needle thread", "Time", "Widest gap"];
/** @type {Card[]} */
let cards = [];
let number = 0;

/** @param {Card} card */
function shown(card) {
  const standing = figuresNow();
  const rows = TOLD.filter((name) => card.figures.has(name)).map((name) => {
    const text = card.figures.get(name), by = name === "Widest gap" ? "" : difference(text, standing.get(name));
    const said = (text || "").replace(/;|$/, (after) => by + after); // beside the figure that differs
    return made("div", {}, made("dt", {}, name), made("dd", {}, said));
  });
  const putAway = () => {
    cards = cards.filter((other) => other !== card);
    listCards(); button("keep").focus();
  };
  return made("article", { ariaLabel: card.name }, made("strong", {}, card.name),
    made("img", { src: card.picture, alt: card.name + ", as it was kept" }), made("dl", {}, ...rows),
    made("div", { className: "row" },
      made("button", { type: "button", ariaLabel: "Go back to it: " + card.name, onclick: () => goTo(card.changes) }, "Go back to it"),
      made("button", { type: "button", ariaLabel: "Put it away: " + card.name, onclick: putAway }, "Put it away")));
}
function listCards() {
  part("cards").hidden = !cards.length;
  button("compare").hidden = cards.length < 2;
  part("cards").replaceChildren(...cards.map(shown));
}
/** Words for what makes it what it is: pattern and spacing of each set of lines. */
function called() {
  const parts = now.state.entries.map((e) =>
    (now.state.titles[e.pattern] || e.draws) + (e.spacing ? " " + said(e.spacing.at).replace(/ \(.*/, "") : ""));
  return "Kept " + (++number) + ": " + parts.join(", ");
}
button("keep").onclick = () => {
  cards.push({ name: called(), picture: picture.picture(), figures: figuresNow(), changes: changesNow() });
  listCards();
  hear("kept as a card below", false);
};
button("compare").onclick = async () => {
  hear("setting the cards side by side", false); button("compare").disabled = true;
  try {
    listMade("compare", await ask("/compare", { cards: cards.map(({ name, changes }) => ({ name, changes })) }));
  } catch (fault) { hear(wordsOf(fault), true); }
  button("compare").disabled = false; button("compare").focus();
};
on("all", listCards);
