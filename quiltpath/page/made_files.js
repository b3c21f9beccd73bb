// Files that were made, as links that open them.

import { made, part } from "../drawing/page_elements.js";
import { hear } from "./asking.js";
import { TOKEN } from "./given.js";

/**
 * @param {"set" | "compare"} which
 * @param {string} name
 * @param {string} words  of the link
 * @param {string} kind  what the file is
 * @param {boolean} kept  to be kept; else to be looked at
 */
function linkTo(which, name, words, kind, kept) {
  const href = "/made/" + which + "/" + encodeURIComponent(name) + "?token=" + TOKEN;
  return made("li", {}, made("a", kept ? { href, download: name } : { href, target: "_blank", rel: "noopener" }, words), kind && ", " + kind);
}

/**
 * @param {"set" | "compare"} which
 * @param {{folder: string, files: Record<string, string>, all: string}} set
 */
export function listMade(which, { folder, files, all }) {
  hear(Object.keys(files).length + " files in the folder " + folder, false);
  part("made").hidden = false;
  part("made").replaceChildren(...Object.entries(files).map(([name, kind]) => linkTo(which, name, name, kind, false)),
    linkTo(which, all, "all of them in one file: " + all, "", true));
}
