// Figures beside the picture: exact ones, and what is reckoned from them while something changes.
// Those that are told in short right under it are kept out of sight in the list of all.

import { made, part } from "../drawing/page_elements.js";
import { about, length } from "./figure_words.js";

/** @typedef {[name: string, text: string, before?: boolean]} Row  before: as it was before the change */

// What follows the length of the lines, nearly.
const FOLLOWS = ["Stitches", "Sewn", "Needle thread", "Time"];
const GAP = "Widest gap";
const BRIEF = [...FOLLOWS, "Starts", GAP];

const listed = (/** @type {Row[]} */ rows) => rows.map(([name, text, before]) =>
  made("div", BRIEF.includes(name) ? { className: "brief" } : {}, made("dt", {}, name), made("dd", before ? { className: "before" } : {}, text)));

export class Figures {
  /** @type {Row[]} */
  #rows;
  #drawnM;
  /** @type {{drawnM: number, of: Map<string, string>}} */
  #exact;

  /** @param {number} drawnM  metres of lines that the figures on the page belong to */
  constructor(drawnM) {
    this.#rows = [...part("figures").children].map((box) =>
      [box.querySelector("dt")?.textContent || "", box.querySelector("dd")?.textContent || ""]);
    this.#drawnM = drawnM;
    this.#exact = { drawnM, of: this.known() };
    part("said").after(part("brief")); // beside the picture, which stays in view
    this.#list();
  }

  /** Each figure's words by its name. */
  known() { return new Map(this.#rows.map(([name, text]) => [name, text])); }

  /**
   * Figures that are not known yet stand as they were, marked as those before the change.
   * @param {Row[]} rows  that are known by now
   * @param {"lines" | "more" | "all"} reached
   * @param {number} [drawnM]
   */
  take(rows, reached, drawnM) {
    const names = new Set(rows.map(([name]) => name));
    this.#rows = [...rows, ...this.#rows.filter(([name]) => !names.has(name)).map(([name, text]) => /** @type {Row} */ ([name, text, true]))];
    if (drawnM) this.#drawnM = drawnM;
    if (reached === "lines") this.#rows = this.#rows.map((row) => this.#reckoned(row));
    if (reached === "all") this.#exact = { drawnM: this.#drawnM, of: this.known() };
    this.#list();
  }

  /** @param {Row} row  @returns {Row} */
  #reckoned([name, text, before]) {
    const was = this.#exact.of.get(name);
    if (!before || !was || !FOLLOWS.includes(name) || !this.#exact.drawnM) return [name, text, before];
    return [name, about(was, this.#drawnM / this.#exact.drawnM), true];
  }

  /**
   * The widest gap until it is known: of it the picture's own guess is told, and the limit as it was.
   * @param {number} mm
   * @param {"mm" | "in"} units
   */
  guessGap(mm, units) {
    this.#rows = this.#rows.map(([name, text, before]) => {
      if (name !== GAP || !before) return [name, text, before];
      const limit = /; limit .*/.exec(text);
      return [name, "about " + length(mm, units) + (limit ? limit[0] : ""), true];
    });
    this.#list();
  }

  #list() {
    part("figures").replaceChildren(...listed(this.#rows));
    part("brief").replaceChildren(...listed(this.#rows.filter(([name]) => BRIEF.includes(name))));
  }
}
