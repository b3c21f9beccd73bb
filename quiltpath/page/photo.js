// From a photo to the runner: measured by the program, corrected here by hand, and used.

import { button, element, input, made, part } from "../drawing/page_elements.js";
import { ask, sendFile, wordsOf } from "./asking.js";
import { length } from "./figure_words.js";
import { MISSING } from "./given.js";
import { layHandsOn } from "./photo_hands.js";
import {
  addLine, axisOf, blockAt, blocksOf, CORNERS, marksOf, motifAt, moveMark, nearest, placeOf, pointsOf,
  putBack, without, withMotif,
} from "./photo_marks.js";
import { slopesOf, snapToCorner, snapToEdge, snapToLine } from "./photo_snapping.js";
import { PhotoView } from "./photo_view.js";

/** @typedef {import("./photo_marks.js").Marks} Marks */
/** @typedef {import("./photo_marks.js").Mark} Mark */
/** @typedef {import("./photo_marks.js").Place} Place */
/** @typedef {{image: HTMLImageElement, box: [number, number, number, number], seen?: import("./photo_snapping.js").Seen}} Picture */
/**
 * The page that the photo is on.
 * @typedef {object} Around
 * @property {() => "mm" | "in"} units
 * @property {() => string} file  the name of a project that is not there yet, empty where there is one
 * @property {(answer: any) => void} used
 */

const SNAP_PX = 14, SNAP_FROM = 3, SNAP_TO = 16; // of the page; least and most of the picture
const PAN_PX = 40;
const MOST_BYTES = 60_000_000; // more is refused unread, as photo/reading.py has it

/** @param {Around} around  @returns what it shows, for whoever asks */
export function startPhoto(around) {
  const view = new PhotoView(element("photo-cloth", HTMLCanvasElement));
  const file = input("photo-file"), size = input("photo-size"), brush = input("photo-brush");
  const list = element("photo-chosen", HTMLSelectElement);
  /** @type {Marks | null} */
  let marks = null;
  /** @type {Marks[]} */
  const past = [];
  /** @type {Marks[]} */
  const future = [];
  /** @type {Mark | null} */
  let chosen = null;
  /** @type {Marks | null} */
  let before = null; // while the hand holds a mark: what was there
  /** @type {Map<number, Picture>} */
  const pictures = new Map(); // by measurement
  let busy = false;

  // ---- what is shown
  /** @param {string} text  @param {boolean} [wrong] */
  function say(text, wrong = false) { part("photo-said").textContent = text; part("photo-said").className = wrong ? "wrong" : ""; }
  /** @param {string} text  @param {() => Promise<void>} work */
  async function during(text, work) {
    if (busy) return;
    busy = true; say(text); buttons();
    try { await work(); } catch (fault) { say(wordsOf(fault), true); }
    busy = false; buttons();
  }
  /** @param {Marks} next */
  function show(next) {
    const isOther = marks?.found !== next.found, picture = pictures.get(next.found);
    marks = next;
    if (!placeOf(next, chosen)) chosen = null;
    view.show({ marks, chosen, under: null, ...(picture ? { image: picture.image, box: picture.box } : {}) });
    if (isOther) view.fit();
    buttons(); listMarks(next); tellChosen();
  }
  /** @param {Marks} next */
  function become(next) { if (marks) past.push(marks); future.length = 0; show(next); }
  function buttons() {
    button("photo-measure").disabled = busy || Boolean(MISSING) || !file.files?.length || !size.value.trim();
    button("photo-undo").disabled = busy || !past.length;
    button("photo-redo").disabled = busy || !future.length;
    button("photo-remove").disabled = busy || !chosen || chosen.kind === "corner";
    button("photo-again").disabled = busy || !marks?.moved;
    button("photo-use").disabled = busy || !marks || marks.moved;
    button("photo-use").title = marks?.moved ? "measure between the corners first" : "";
  }

  // ---- the marks in words
  const said = (/** @type {number} */ mm) => length(mm, around.units());
  const sure = (/** @type {import("./photo_marks.js").Sure} */ one) =>
    one.by_hand ? "set by hand" : "within " + one.error.toFixed(1) + " mm, " + Math.round(100 * one.sure) + " % sure";
  /** @param {Marks} of  @param {Mark} mark */
  function words(of, mark) {
    if (mark.kind === "corner") return "Corner, " + CORNERS[mark.i] + ": " + sure(of.corners[mark.i]);
    if (mark.kind === "point") {
      const motif = of.motifs[mark.motif], names = motif.places.map((where) => blockAt(of, where.at)?.name || "no block");
      return "Motif in " + names.join(", ") + ": " + sure(motif);
    }
    const line = of[mark.kind][mark.i];
    return (mark.kind === "along" ? "Upright line, " + said(line.at) + " from the left" : "Level line, " + said(line.at) + " from below") + ": " + sure(line);
  }
  /** All there are, of a motif one point. @param {Marks} of @returns {Mark[]} */
  const every = (of) => [
    ...of.corners.map((_, i) => ({ kind: /** @type {const} */ ("corner"), i })),
    ...of.along.map((_, i) => ({ kind: /** @type {const} */ ("along"), i })),
    ...of.across.map((_, i) => ({ kind: /** @type {const} */ ("across"), i })),
    ...of.motifs.map((_, motif) => ({ kind: /** @type {const} */ ("point"), motif, place: 0, piece: 0, ring: 0, i: 0 })),
  ];
  /** @param {Mark} a */
  const isChosen = (a) => chosen?.kind === a.kind && (chosen.kind === "point" && a.kind === "point" ? chosen.motif === a.motif : chosen.i === a.i);
  /** @param {Marks} of */
  function listMarks(of) {
    list.replaceChildren(made("option", {}, "none"), ...every(of).map((mark) => made("option", {}, words(of, mark))));
    list.selectedIndex = 1 + every(of).findIndex(isChosen);
  }
  /** @param {Mark | null} mark */
  function choose(mark) {
    chosen = mark; view.show({ chosen });
    if (marks) list.selectedIndex = 1 + every(marks).findIndex(isChosen);
    buttons(); tellChosen();
  }
  function tellChosen() {
    part("photo-chosen-said").textContent = chosen && marks ? words(marks, chosen)
      : "Drag a corner, a line or a point of an outline; drag beside them to move the picture.";
  }

  // ---- hands
  const tool = () => /** @type {HTMLInputElement} */ (document.querySelector("[name=photo-tool]:checked")).value;
  const radius = () => Number(brush.value) / 2;
  /** @param {Mark} mark  @param {Place} at  @returns {Place} */
  function snapped(mark, at) {
    const picture = marks && pictures.get(marks.found);
    if (!input("photo-snap").checked || !marks || !picture) return at;
    const { box: [x0, y0, , y1], image } = picture, per = image.naturalHeight / (y1 - y0);
    picture.seen ??= slopesOf(pixelsOf(image));
    const reach = Math.min(Math.max(SNAP_PX / view.scale * per, SNAP_FROM), SNAP_TO);
    /** @type {Place} */
    let px = [(at[0] - x0) * per, (y1 - at[1]) * per];
    if (mark.kind === "corner") px = snapToCorner(picture.seen, px, reach);
    else if (mark.kind === "point") px = snapToEdge(picture.seen, px, reach);
    else {
      const axis = axisOf(mark), [long, up] = marks.size;
      px[axis] = snapToLine(picture.seen, axis, px[axis], axis ? [-x0 * per, (long - x0) * per] : [(y1 - up) * per, y1 * per], reach);
    }
    return [x0 + px[0] / per, y1 - px[1] / per];
  }
  /** @param {Marks} from  @param {Mark} mark  @param {Place} to */
  function follow(from, mark, to) {
    marks = moveMark(from, mark, to, 2 * radius());
    view.show({ marks, under: placeOf(marks, mark) || null }); tellChosen();
  }
  layHandsOn(view, {
    isBrush: () => tool() !== "move",
    grab(at, reach) {
      const mark = marks && !busy ? nearest(marks, at, reach) : null, place = marks && placeOf(marks, mark);
      if (!mark || !place) return null;
      choose(mark); before = marks;
      view.show({ under: place });
      return mark.kind === "along" || mark.kind === "across" ? at : place;
    },
    drag(at) { if (before && chosen) follow(before, chosen, snapped(chosen, at)); },
    drop(isCancelled) {
      const was = before, after = marks;
      if (!was || !after) return;
      before = null; marks = was;
      if (isCancelled || after === was) show(was); else become(after);
    },
    paint(points) { view.show({ stroke: { points, radius: radius(), adds: tool() === "adds" }, under: points[points.length - 1] }); },
    painted(points) {
      view.show({ under: null });
      if (points && marks) brushOver(marks, points, tool() === "adds"); else view.show({ stroke: null });
    },
    step([x, y]) {
      const at = marks && placeOf(marks, chosen);
      if (!marks || !chosen || !at || busy) { view.pan([PAN_PX * x / view.scale, PAN_PX * y / view.scale]); return; }
      before ??= marks;
      follow(marks, chosen, [at[0] + x / view.scale, at[1] + y / view.scale]);
    },
    next(by) {
      if (!marks) return;
      const mine = chosen, near = mine?.kind === "point"
        ? [...pointsOf(marks)].map((one) => one.mark).filter((mark) => mark.motif === mine.motif && mark.place === mine.place)
        : every(marks);
      const at = near.findIndex((mark) => JSON.stringify(mark) === JSON.stringify(mine));
      choose(near[(Math.max(at, by > 0 ? -1 : 0) + by + near.length) % near.length]);
    },
    remove() { if (!button("photo-remove").disabled) button("photo-remove").click(); },
  });
  /** @param {Marks} of  @param {Place[]} points  @param {boolean} adds */
  async function brushOver(of, points, adds) {
    const under = motifAt(of, points[0]);
    if (!under) say("There is no block here: add its lines first.", true);
    else if (!adds && !under.motif.pieces.length) say("There is no motif here to take from.", true);
    else await during("", async () => {
      const stroke = points.map((point) => putBack(under.where, point).map((mm) => Math.round(100 * mm) / 100));
      const { pieces } = await ask("/photo/brush", { pieces: under.motif.pieces, stroke, radius: radius(), adds });
      /** @type {Mark} */
      const first = { kind: "point", motif: under.i, place: 0, piece: 0, ring: 0, i: 0 };
      become(pieces.length ? withMotif(of, under.i, { ...under.motif, pieces, error: 0.5, sure: 1, by_hand: true }) : without(of, first));
      if (pieces.length) choose(first);
    });
    view.show({ stroke: null });
  }

  // ---- questions to the program
  const sizeWords = () => size.value + (/[a-wyz"]/i.test(size.value) ? "" : " " + around.units());
  /** @param {any} answer */
  async function taken(answer) {
    const image = new Image();
    image.src = answer.picture;
    await image.decode();
    pictures.set(answer.found, { image, box: answer.box });
    return marksOf(answer);
  }
  /** @param {Marks} of */
  function tellFound(of) {
    const count = (/** @type {number} */ n, /** @type {string} */ what) => n + " " + what + (n === 1 ? "" : "s");
    say("Found: " + count(of.motifs.length, "motif") + " in " + count(blocksOf(of).length, "block") + ". Look over it, and mend what is wrong.");
  }
  element("photo-form", HTMLFormElement).onsubmit = (event) => {
    event.preventDefault();
    const photo = file.files?.[0];
    if (photo && photo.size > MOST_BYTES) say("The photo is larger than 60 MB: save it as an ordinary JPEG.", true);
    else if (photo) during("measuring the photo", async () => {
      await sendFile("/photo", photo);
      const answer = await ask("/photo/measure", { size: sizeWords() }), next = await taken(answer);
      part("photo-work").hidden = false; past.length = future.length = 0;
      show(next);
      if (answer.said) say("Not found: " + answer.said + ". Drag the four corners to the panel's.", true);
      else tellFound(next);
    });
  };
  button("photo-again").onclick = () => during("measuring between the corners", async () => {
    if (!marks) return;
    const answer = await ask("/photo/measure", { size: sizeWords(), found: marks.found, corners: marks.corners.map((corner) => corner.at) });
    const next = await taken(answer);
    become(next); tellFound(next);
  });
  button("photo-use").onclick = () => during("taking it over", async () => {
    if (!marks) return;
    const { found, along, across, motifs } = marks, name = file.files?.[0]?.name || "";
    const title = name.replace(/\.\w+$/, "").replace(/[-_]+/g, " "), at = (/** @type {{at: number}} */ line) => line.at;
    around.used(await ask("/photo/use", { found, along: along.map(at), across: across.map(at), motifs, title, file: around.file() }));
    say("The panel is in the runner: save it, or undo it.");
  });

  // ---- buttons
  button("photo-undo").onclick = () => { const last = past.pop(); if (last && marks) { future.push(marks); show(last); } };
  button("photo-redo").onclick = () => { const next = future.pop(); if (next && marks) { past.push(marks); show(next); } };
  part("photo").addEventListener("keydown", (event) => { // the marks' own undo, not the design's
    const isTyped = event.target instanceof HTMLInputElement && event.target.type === "text";
    if (isTyped || !(event.ctrlKey || event.metaKey) || event.altKey || event.key.toLowerCase() !== "z") return;
    event.stopPropagation(); event.preventDefault();
    button(event.shiftKey ? "photo-redo" : "photo-undo").click();
  });
  button("photo-larger").onclick = () => view.zoom(1.5);
  button("photo-smaller").onclick = () => view.zoom(1 / 1.5);
  button("photo-whole").onclick = () => view.fit();
  for (const kind of /** @type {const} */ (["along", "across"])) {
    button("photo-" + kind).onclick = () => {
      if (!marks) return;
      const { marks: next, mark } = addLine(marks, kind);
      become(next); choose(mark);
    };
  }
  button("photo-remove").onclick = () => { if (marks && chosen) { const gone = chosen; chosen = null; become(without(marks, gone)); } };
  list.onchange = () => { if (marks) choose(every(marks)[list.selectedIndex - 1] || null); };
  file.onchange = buttons; size.oninput = buttons;
  brush.oninput = () => { element("photo-brush-said", HTMLOutputElement).value = said(Number(brush.value)); };
  brush.dispatchEvent(new Event("input"));
  part("photo-missing").textContent = MISSING;
  part("photo-missing").hidden = !MISSING;
  buttons();
  return { state: () => marks, view, busy: () => busy };
}

/** @param {HTMLImageElement} image */
function pixelsOf(image) {
  const sheet = made("canvas", { width: image.naturalWidth, height: image.naturalHeight });
  const pen = /** @type {CanvasRenderingContext2D} */ (sheet.getContext("2d", { willReadFrequently: true }));
  pen.drawImage(image, 0, 0);
  return pen.getImageData(0, 0, sheet.width, sheet.height);
}
