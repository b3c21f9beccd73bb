// What the server hands the page at its beginning, and what the page knows at the moment.

import { part } from "../drawing/page_elements.js";

/** @typedef {{at: number, low: number, high: number}} Reach  where a control stands and may go */

/**
 * One [[quilting]] of the file.
 * @typedef {object} Entry
 * @property {number} entry  its number
 * @property {string} name
 * @property {string} kind
 * @property {string} draws  what its kind draws, in words
 * @property {string} region
 * @property {string} pattern  empty where the file tells it by its kind
 * @property {string[]} patterns  what it may be instead
 * @property {string[]} given  figures that the file gives
 * @property {Reach & {key: string, about: boolean}} [spacing]
 * @property {Reach} [angle]
 * @property {Reach[]} [angles]
 * @property {Reach} [clearance]
 */

/**
 * A place of a motif.
 * @typedef {object} Motif
 * @property {number} entry
 * @property {string} name
 * @property {string | number} place  its block, or its number among points
 * @property {[number, number]} at  its middle, in mm
 * @property {[number, number]} [offset]  from the middle of each of its blocks, where it has blocks
 * @property {number} size  mm
 */

/**
 * @typedef {object} State
 * @property {string} base  what the file was when it was read
 * @property {string} file
 * @property {string} title
 * @property {"mm" | "in"} units
 * @property {Entry[]} entries
 * @property {string[]} regions
 * @property {string[]} patterns
 * @property {Record<string, string>} titles  of patterns, by the names that a file has for them
 * @property {Motif[]} motifs
 * @property {{x: [number, number], y: [number, number]}[]} [rooms]  of each motif's middle
 * @property {{along: number[], across: number[]}} grid
 * @property {Reach} stitch
 * @property {{at: string, names: string[]}} wadding
 * @property {{at: string, names: string[]}} paper
 * @property {number} drawn_m
 * @property {import("./changes.js").Change[][]} remedies  of what the page tells at its beginning
 */

const { token, state, missing } = JSON.parse(part("given").textContent);

/** @type {string} */
export const TOKEN = token;
/** Why no photo can be read here, empty where it can. @type {string} */
export const MISSING = missing;
/** What the page was given: a :state of the design, or first answers. */
export const GIVEN = state;

export const now = {
  /** @type {State} */
  state,
  version: 0,     // of the changes: one more with each
  saving: false,
};
