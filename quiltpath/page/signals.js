// What one part of the page tells the others, which need not know each other.

/**
 * "lines": new lines are on the screen. "all": all is known of them. "let go": the hand has let go.
 * "stand": controls are to stand where the design does. "replace": they are to be made anew.
 * @typedef {"lines" | "all" | "let go" | "stand" | "replace"} Signal
 */

/** @type {Map<Signal, (() => void)[]>} */
const heard = new Map();

/** @param {Signal} signal  @param {() => void} act  called in the order in which they came */
export function on(signal, act) { heard.set(signal, [...(heard.get(signal) || []), act]); }

/** @param {Signal} signal */
export function tell(signal) { (heard.get(signal) || []).forEach((act) => { act(); }); }
