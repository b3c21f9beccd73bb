// The name by which the page can be asked what it shows, from outside and by what is not yet in it.

import { picture } from "../documents/cloth_view/picture.js";
import { hear } from "./asking.js";
import { change, changesNow, figuresNow, goTo, reached, settle } from "./design.js";
import { now } from "./given.js";

Object.assign(window, { quiltpath: Object.assign(reached, picture, {
  change, settle, goTo, hear,
  changes: changesNow,
  figures: () => [...figuresNow()],
  state: () => now.state,
  version: () => now.version,
}) });
