// Joins the library of gestures, as npm has it, into the one module that the pages import:
// `node build_gestures.mjs` writes it, with --check it only compares.

import { readFileSync, writeFileSync } from "node:fs";
import { build } from "esbuild";

const HERE = new URL(".", import.meta.url), MADE = new URL("../../quiltpath/drawing/gestures.js", HERE);
const OF = new URL("node_modules/@use-gesture/vanilla/", HERE);
const { name, version } = JSON.parse(readFileSync(new URL("package.json", OF), "utf8"));
const licence = readFileSync(new URL("LICENSE", OF), "utf8").trim();

const { outputFiles: [{ text }] } = await build({
  stdin: { contents: `export { Gesture } from "${name}";`, resolveDir: HERE.pathname },
  bundle: true, minify: true, format: "iife", globalName: "gestureLibrary", write: false,
  define: { "process.env.NODE_ENV": '"production"' },
});
const wanted = `// @ts-nocheck
// Drag, pinch and wheel by mouse, finger and pen: ${name} ${version}, joined and made small by
// .ci/page/build_gestures.mjs, which is where to change it.
/*
${licence}
*/
${text.trim()}

/**
 * A hand on an element; lengths in pixels of the window.
 * @typedef {object} Hand
 * @property {any} event
 * @property {boolean} first
 * @property {boolean} last
 * @property {boolean} canceled
 * @property {boolean} pinching
 * @property {() => void} cancel
 * @property {[number, number]} delta  since the last call
 * @property {[number, number]} xy  where it is
 * @property {[number, number]} origin  the middle between two fingers
 * @property {[number, number]} movement  of a pinch: times as far apart as at its beginning, degrees turned
 * @property {any} memo  what the call before returned
 */
/** @typedef {(hand: Hand) => unknown} Handler */
/** @type {new (on: HTMLElement, acts: Record<string, Handler>, how: object) => {destroy: () => void}} */
export const Gesture = gestureLibrary.Gesture;
`;
if (!process.argv.includes("--check")) writeFileSync(MADE, wanted);
else if (readFileSync(MADE, "utf8") !== wanted) {
  console.error("quiltpath/drawing/gestures.js is not what build_gestures.mjs makes of the library");
  process.exit(1);
}
