// What stands beside the picture and belongs to it: sets of lines, and places of what is told.

import { made, part } from "../../drawing/page_elements.js";
import { redraw } from "./frames.js";
import { canvas, scene } from "./scene.js";

/** @param {{name: string}[]} layers */
const namesOf = (layers) => layers.map((each) => each.name).join("\n");
let boxesFor = namesOf(scene.data.layers);

/** Where sets of lines come and go, their boxes do; those that stay keep their mark. */
export function swatches() {
  const { layers } = scene.data;
  if (boxesFor !== namesOf(layers)) {
    const unmarked = /** @type {NodeListOf<HTMLElement>} */ (document.querySelectorAll("[data-layer]:not(:checked)"));
    const off = new Set([...unmarked].map((box) => box.dataset.name));
    part("layers").replaceChildren(...layers.filter(({ name }) => name).map(({ name }, n) => {
      const box = made("input", { type: "checkbox", checked: !off.has(name) });
      const swatch = made("span", { className: "swatch", ariaHidden: "true" });
      Object.assign(box.dataset, { layer: n, name });
      swatch.dataset.swatch = String(n);
      return made("label", {}, box, swatch, n + 1 + ". " + name);
    }));
    boxesFor = namesOf(layers);
  }
  const all = /** @type {NodeListOf<HTMLElement>} */ (document.querySelectorAll("[data-swatch]"));
  all.forEach((swatch) => { swatch.style.background = layers[Number(swatch.dataset.swatch)].colour; });
}

/** What is to be thought about gets a button that shows where it is. */
export function showPlaces() {
  scene.spot = null;
  const all = /** @type {NodeListOf<HTMLElement>} */ (document.querySelectorAll("#warnings li[data-at]"));
  all.forEach((li) => {
    const [x, y] = (li.dataset.at || "").split(",").map(Number);
    const show = made("button", { type: "button", className: "where", ariaPressed: "false" }, "Show where");
    show.onclick = () => {
      const on = show.ariaPressed !== "true";
      document.querySelectorAll("#warnings .where").forEach((other) => { other.ariaPressed = "false"; });
      show.ariaPressed = String(on);
      scene.spot = on ? [x, y] : null;
      if (on) canvas.scrollIntoView({ block: "nearest" });
      redraw();
    };
    li.append(" ", show);
  });
}
