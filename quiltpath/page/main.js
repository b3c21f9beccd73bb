// The live page: the runner's picture, and what a person does with it.
import "../documents/preview_page.js";
import "./design.js";
import "./controls.js";
import "./patterns.js";
import "./settings.js";
import "./cards.js";
import "./motifs.js";
import "./tracing.js";
import "./photo.js";
