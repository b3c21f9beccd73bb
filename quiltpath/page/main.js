// The live page: the runner's picture, and what a person does with it.

import "./handle.js";
import "./controls.js";
import "./settings.js";
import "./cards.js";
import "./photo_of_panel.js";
