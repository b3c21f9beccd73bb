// A photo of the panel, for the runner that is open: what is used becomes a change like any other.

import { change, reached } from "./design.js";
import { now } from "./given.js";
import { startPhoto } from "./photo.js";

const photo = startPhoto({
  units: () => now.state.units, file: () => "", used: ({ key, value }) => change(key, value, true),
});
Object.assign(reached, { photo });
