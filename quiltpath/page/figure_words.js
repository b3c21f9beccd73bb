// Figures in words, and back: lengths as a ruler shows them, what is reckoned, what differs.

const MM_PER_INCH = 25.4, FINEST = 16; // parts of an inch that a ruler shows

/**
 * A length in the project's words.
 * @param {number} mm
 * @param {"mm" | "in"} units
 */
export function length(mm, units) {
  if (units === "mm") return mm.toFixed(1) + " mm";
  const parts = Math.round(Math.abs(mm) / MM_PER_INCH * FINEST), whole = Math.floor(parts / FINEST);
  let top = parts % FINEST, below = FINEST;
  while (top && top % 2 === 0) { top /= 2; below /= 2; }
  const sign = mm < 0 && parts ? "−" : "";
  const inches = [whole || !top ? String(whole) : "", top ? top + "/" + below : ""].filter((text) => text !== "").join(" ");
  return sign + inches + " in (" + mm.toFixed(1) + " mm)";
}

/**
 * The least by which a length is changed, in mm.
 * @param {"mm" | "in"} units
 */
export const leastStep = (units) => units === "in" ? MM_PER_INCH / FINEST : 0.5;

/**
 * A figure as it is about after its lines have become longer or shorter.
 * @param {string} text  the exact one before
 * @param {number} by  lines now as a share of those before
 */
export const about = (text, by) =>
  "about " + text.replace(/[\d,.]+/, (number) => Math.round(Number(number.replaceAll(",", "")) * by).toLocaleString("en"));

/**
 * The number that a text begins with, after a few letters at most; NaN where there is none.
 * @param {string | undefined} text
 */
const firstNumber = (text) => Number((/^\D{0,6}([\d,.]+)/.exec(text || "") || [])[1]?.replaceAll(",", ""));

/**
 * How much more or less one figure is than another, in words; empty where that cannot be said.
 * @param {string | undefined} one
 * @param {string | undefined} other
 */
export function difference(one, other) {
  const by = Math.round((firstNumber(one) - firstNumber(other)) * 10) / 10;
  if (Number.isNaN(by) || by === 0) return "";
  return " (" + (by > 0 ? "+" : "−") + Math.abs(by).toLocaleString("en") + ")";
}
