import { loaded, paint, pixels } from "../drawing/relief_light.js";

(function () {
  let data, x0, y0, x1, y1;
  const $ = (id) => document.getElementById(id);
  const STITCH = 0, SECURING = 1, TRAVEL = 2, TRIM = 3;
  const CHUNK = 128;          // points whose box is looked at together
  const MOST_THREAD = 4000;   // more stitches in view than this are drawn as lines, however near
  const STRAIGHT_MM = 0.08;   // from afar, points that lie this close to a straight line are left out
  const MOST_MOVING = 30000;  // more strokes than this in the picture are not drawn anew while it is moved
  const TRUE_STITCH_PX = 1.6; // from so many pixels to the mm each stitch is drawn as thread

  function bytes(text) {
    const raw = atob(text), out = new Uint8Array(raw.length);
    for (let i = 0; i < raw.length; i++) out[i] = raw.charCodeAt(i);
    return out;
  }

  // ---- points: taken from the page at first, and again whenever new ones are handed over
  let s, kind, layer, count, X, Y, sewn, clock, runStart, boxes, bends, begins, bendBoxes, present, seen;
  function take(fresh) {
    data = fresh; s = data.stitches; kind = bytes(s.kind); layer = bytes(s.layer); count = kind.length;
    const steps = new Int16Array(bytes(s.steps).buffer);
    X = new Float32Array(count); Y = new Float32Array(count);
    let px = s.first[0], py = s.first[1];
    for (let i = 0; i < count; i++) {
      px += steps[2 * i]; py += steps[2 * i + 1];
      X[i] = px * s.unit; Y[i] = py * s.unit;
    }
    runStart = [];
    for (let i = 0; i < count; i++) if (kind[i] === TRAVEL) runStart.push(i);
    sewn = new Uint8Array(count); clock = new Float32Array(count);
    let minute = 0, change = 0;
    for (let i = 0; i < count; i++) {
      if (kind[i] === TRAVEL) minute += data.time.runMinutes;
      if (kind[i] <= SECURING && i > 0 && kind[i - 1] !== TRAVEL) {
        sewn[i] = 1; minute += 1 / data.time.perMinute;
      }
      clock[i] = minute;
      if (i === s.changes[change]) { minute += data.time.changeMinutes; change++; }
    }
    // Turns with the needle down are part of the whole, and spread evenly over it.
    const all = minute > 0 ? data.time.total / minute : 1;
    for (let i = 0; i < count; i++) clock[i] *= all;
    present = [...new Set(layer)].sort((a, b) => b - a);
    seen = new Uint8Array(count);
    thin();
    boxes = boxesOf(count, (i) => i);
    bendBoxes = boxesOf(bends.length, (k) => bends[k]);
    [x0, y0, x1, y1] = data.bounds;
  }

  function boxesOf(length, at) {
    const all = [];
    for (let a = 0; a < length; a += CHUNK) {
      const b = Math.min(a + CHUNK, length), box = [Infinity, Infinity, -Infinity, -Infinity];
      for (let k = Math.max(a - 1, 0); k < b; k++) {
        const i = at(k);
        box[0] = Math.min(box[0], X[i]); box[1] = Math.min(box[1], Y[i]);
        box[2] = Math.max(box[2], X[i]); box[3] = Math.max(box[3], Y[i]);
      }
      all.push(box);
    }
    return all;
  }
  // The points at which the thread bends: all that is needed to draw it from afar. Each stretch of
  // one layer begins with the point before its first stitch, marked in ``begins``.
  function thin() {
    const kept = [], first = [];
    for (let i = 1; i < count; i++) {
      if (!sewn[i]) continue;
      let from = i - 1;
      kept.push(from); first.push(1);
      let ux = 0, uy = 0, reached = 0, end = i;
      for (; end < count && sewn[end] && layer[end] === layer[i]; end++) {
        const dx = X[end] - X[from], dy = Y[end] - Y[from], far = Math.hypot(dx, dy);
        const off = Math.abs(dx * uy - dy * ux), along = dx * ux + dy * uy;
        if ((ux || uy) && (off > STRAIGHT_MM || along < reached)) { // aside, or back the way it came
          from = end - 1; kept.push(from); first.push(0);
          const ex = X[end] - X[from], ey = Y[end] - Y[from], e = Math.hypot(ex, ey) || 1;
          ux = ex / e; uy = ey / e; reached = e;
        } else if (far > 0 && !(ux || uy)) {
          ux = dx / far; uy = dy / far; reached = far;
        } else reached = along;
      }
      kept.push(end - 1); first.push(0);
      i = end - 1;
    }
    bends = Uint32Array.from(kept); begins = Uint8Array.from(first);
  }

  // ---- pictures of printed panels, which lie on the cloth in place of its colours
  let prints = [], printsFor = "[]";
  async function takePrints() {
    const mine = data.photos || [], named = JSON.stringify(mine);
    if (named === printsFor) return;
    printsFor = named;
    const images = await Promise.all(mine.map(({ picture }) => loaded(picture)));
    if (named !== printsFor) return;
    prints = mine.map(({ box }, i) => ({ box, image: images[i] }));
    litFor = ""; redraw();
  }

  // ---- the cloth's shape, and the picture of it under the light; both at the shape's own scale
  let shape = null, litCloth = null, litFor = "";
  async function takeShape() {
    const mine = data.relief;
    shape = litCloth = null; litFor = "";
    if (!mine) return;
    $("lighting").hidden = false;
    const image = await loaded(mine.shape);
    if (data.relief !== mine) return;
    shape = pixels(image);
    redraw();
  }
  const colours = () => [$("ground").value, $("block").value, $("motif").value];
  function flatCloth() {
    const flat = document.createElement("canvas"), [lowX, , highX, highY] = data.relief.box;
    flat.width = shape.width; flat.height = shape.height;
    const ink = flat.getContext("2d", { willReadFrequently: true });
    const by = shape.width / (highX - lowX), [ground, block, motif] = colours();
    ink.setTransform(by, 0, 0, -by, -lowX * by, highY * by);
    const path = (rings, close) => {
      ink.beginPath();
      rings.forEach((flatRing) => {
        for (let i = 0; i < flatRing.length; i += 2) ink[i ? "lineTo" : "moveTo"](flatRing[i], flatRing[i + 1]);
        if (close) ink.closePath();
      });
    };
    const filled = (rings, colour) => { path(rings, true); ink.fillStyle = colour; ink.fill("evenodd"); };
    const ruled = (lines, colour, width) => { path(lines, false); ink.strokeStyle = colour; ink.lineWidth = width; ink.stroke(); };
    filled(data.outline, ground);
    data.blocks.forEach((ring) => filled([ring], block));
    data.motifs.forEach((rings) => filled(rings, motif));
    if (prints.length) {
      path(data.outline, true);
      ink.save(); ink.clip("evenodd"); ink.resetTransform();
      prints.forEach(({ box: [left, foot, right, top], image }) =>
        ink.drawImage(image, (left - lowX) * by, (highY - top) * by, (right - left) * by, (top - foot) * by));
      ink.restore();
    } else ruled(data.printed, "#b9a98a", 0.6);
    ruled(data.seams, "#8a8170", 0.7);
    return ink.getImageData(0, 0, flat.width, flat.height);
  }
  function lighted() {
    const now = [...colours(), $("light").value].join();
    if (now === litFor) return;
    const flat = flatCloth();
    litCloth = litCloth || document.createElement("canvas");
    litCloth.width = flat.width; litCloth.height = flat.height;
    const ink = litCloth.getContext("2d"), picture = ink.createImageData(flat.width, flat.height);
    paint(picture.data, flat.data, shape.data, Number($("light").value), data.relief.above, data.relief.sky);
    ink.putImageData(picture, 0, 0);
    litFor = now;
  }
  const isLit = () => shape !== null && $("lit").checked && !behind() && !onPaper;
  function reliefCloth() {
    lighted();
    const [lowX, lowY, highX, highY] = data.relief.box;
    pen.imageSmoothingQuality = "high";
    pen.drawImage(litCloth, toX(lowX), toY(highY), (highX - lowX) * view.scale, (highY - lowY) * view.scale);
  }

  // ---- the view: centre in mm, pixels to the mm
  const canvas = $("cloth"), pen = canvas.getContext("2d");
  const view = { x: 0, y: 0, scale: 1 };
  take(JSON.parse($("data").textContent));
  let upTo = count, sewing = false, lastTick = 0, minuteNow = 0, measure = null, wanted = false, onPaper = false;

  function fit() {
    const room = Math.min(data.margin, 25) + 5;
    const tall = (canvas.clientWidth || 1) * (y1 - y0 + 2 * room) / (x1 - x0 + 2 * room);
    canvas.style.height = Math.max(180, Math.min(tall + 24, window.innerHeight * 0.56)) + "px";
    const w = canvas.clientWidth || 1, h = canvas.clientHeight || 1;
    view.x = (x0 + x1) / 2; view.y = (y0 + y1) / 2;
    view.scale = Math.min(w / (x1 - x0 + 2 * room), h / (y1 - y0 + 2 * room));
  }
  const behind = () => $("behind").checked;
  const toX = (x) => canvas.clientWidth / 2 + (behind() ? view.x - x : x - view.x) * view.scale;
  const toY = (y) => canvas.clientHeight / 2 - (y - view.y) * view.scale;
  function toMm(event) {
    const box = canvas.getBoundingClientRect();
    const across = (event.clientX - box.left - canvas.clientWidth / 2) / view.scale;
    return [view.x + (behind() ? -across : across),
            view.y - (event.clientY - box.top - canvas.clientHeight / 2) / view.scale];
  }

  // ---- drawing
  function trace(flat, close) {
    for (let i = 0; i < flat.length; i += 2) {
      if (i) pen.lineTo(toX(flat[i]), toY(flat[i + 1]));
      else pen.moveTo(toX(flat[0]), toY(flat[1]));
    }
    if (close) pen.closePath();
  }
  function fill(rings, colour) {
    pen.beginPath(); rings.forEach((ring) => trace(ring, true));
    pen.fillStyle = colour; pen.fill("evenodd");
  }
  function rule(lines, colour, width, dash) {
    pen.beginPath(); lines.forEach((flat) => trace(flat, false));
    pen.strokeStyle = colour; pen.lineWidth = width; pen.setLineDash(dash || []);
    pen.stroke(); pen.setLineDash([]);
  }
  function flatPrints() {
    pen.save(); pen.beginPath(); data.outline.forEach((ring) => trace(ring, true)); pen.clip("evenodd");
    prints.forEach(({ box: [left, foot, right, top], image }) =>
      pen.drawImage(image, toX(left), toY(top), (right - left) * view.scale, (top - foot) * view.scale));
    pen.restore();
  }
  // Beyond the finished edge thread runs on wadding, which is light whatever the page is.
  function wadding() {
    pen.beginPath(); data.outline.forEach((ring) => trace(ring, true));
    pen.lineJoin = "round"; pen.strokeStyle = "#f7f6f2"; pen.lineWidth = 2 * data.margin * view.scale; pen.stroke();
  }
  function shade(colour, by) {
    const part = (at) => Math.max(0, Math.min(255, parseInt(colour.slice(at, at + 2), 16) + by));
    return "rgb(" + part(1) + "," + part(3) + "," + part(5) + ")";
  }
  function threadColour(number) {
    if (number < data.layers.length && $("by-layer").checked) return data.layers[number].colour;
    return behind() ? $("bobbin").value : $("thread").value;
  }
  const threadDash = (number) =>
    (number < data.layers.length && $("by-layer").checked ? data.layers[number].dash : [])
      .map((mm) => Math.max(2, mm * view.scale * 2));
  const shown = () => [...document.querySelectorAll("[data-layer]")].map((box) => box.checked);

  function inView(all) {
    const halfW = canvas.clientWidth / view.scale / 2 + 5, halfH = canvas.clientHeight / view.scale / 2 + 5;
    return all.map((b) => b[0] <= view.x + halfW && b[2] >= view.x - halfW &&
                          b[1] <= view.y + halfH && b[3] >= view.y - halfH);
  }
  // Stitches in view, counted in full: ``seen`` marks them for drawing.
  function within(near) {
    const halfW = canvas.clientWidth / view.scale / 2 + 5, halfH = canvas.clientHeight / view.scale / 2 + 5;
    let many = 0;
    near.forEach((is, c) => {
      if (!is) return;
      for (let i = c * CHUNK; i < Math.min((c + 1) * CHUNK, count); i++) {
        seen[i] = Math.abs(X[i] - view.x) < halfW && Math.abs(Y[i] - view.y) < halfH ? 1 : 0;
        many += seen[i];
      }
    });
    return many;
  }
  function thread(visible) {
    let close = view.scale >= TRUE_STITCH_PX, near = [];
    if (close) { near = inView(boxes); close = within(near) <= MOST_THREAD; }
    if (!close) near = inView(bendBoxes);
    for (const number of present) {
      if (number < visible.length && !visible[number]) continue;
      const colour = threadColour(number);
      if (close) {
        strokes(number, near, edgeOf(colour), 0.62 * view.scale, 0.2, -0.12 * view.scale);
        strokes(number, near, shade(colour, -38), 0.5 * view.scale, 0.22, 0);
        strokes(number, near, colour, 0.36 * view.scale, 0.25, 0);
        strokes(number, near, shade(colour, 70), 0.1 * view.scale, 0.7, 0.1 * view.scale);
      } else {
        lines(number, near, colour);
      }
    }
  }
  // each stitch short of its needle holes, as thread dips into the cloth there
  function strokes(number, near, colour, width, gap, lift) {
    pen.beginPath(); pen.lineCap = "round"; pen.strokeStyle = colour; pen.lineWidth = width;
    for (let c = 0; c < near.length; c++) {
      if (!near[c]) continue;
      for (let i = c * CHUNK; i < Math.min((c + 1) * CHUNK, upTo); i++) {
        if (!seen[i] || !sewn[i] || layer[i] !== number) continue;
        const dx = X[i] - X[i - 1], dy = Y[i] - Y[i - 1], d = Math.hypot(dx, dy) || 1;
        const g = Math.min(gap, d / 3) / d;
        pen.moveTo(toX(X[i - 1] + dx * g) - lift / 2, toY(Y[i - 1] + dy * g) - lift);
        pen.lineTo(toX(X[i] - dx * g) - lift / 2, toY(Y[i] - dy * g) - lift);
      }
    }
    pen.stroke();
  }
  // far away: from bend to bend, bends closer than a pixel passed over
  function lines(number, near, colour) {
    const path = new Path2D(), least = 1 / view.scale;
    let lastX = 0, lastY = 0, drawn = -2;
    for (let c = 0; c < near.length; c++) {
      if (!near[c]) continue;
      const end = Math.min((c + 1) * CHUNK, bends.length);
      for (let k = c * CHUNK; k < end; k++) {
        if (begins[k] || layer[bends[k]] !== number) continue;
        const from = bends[k - 1], to = Math.min(bends[k], upTo - 1);
        if (to <= from) continue;
        if (begins[k - 1] || drawn !== k - 1) { lastX = X[from]; lastY = Y[from]; path.moveTo(toX(lastX), toY(lastY)); }
        drawn = k;
        const last = k + 1 >= end || begins[k + 1] || to < bends[k];
        if (last || Math.abs(X[to] - lastX) + Math.abs(Y[to] - lastY) >= least) {
          path.lineTo(toX(X[to]), toY(Y[to])); drawnStrokes++; lastX = X[to]; lastY = Y[to];
        }
      }
    }
    const width = Math.max(0.9, 0.45 * view.scale);
    pen.lineCap = "butt"; pen.lineJoin = "round"; pen.setLineDash(threadDash(number));
    // an edge of shade, or of light on dark thread: seen on cloth of the same colour too
    pen.strokeStyle = edgeOf(colour); pen.lineWidth = width + 1;
    const apart = Math.min(0.6, 0.3 * view.scale);
    pen.translate(apart / 2, apart); pen.stroke(path); pen.translate(-apart / 2, -apart);
    pen.strokeStyle = colour; pen.lineWidth = width; pen.stroke(path);
    pen.setLineDash([]);
  }
  function edgeOf(colour) {
    const part = (at) => parseInt(colour.slice(at, at + 2), 16);
    const dark = 0.3 * part(1) + 0.59 * part(3) + 0.11 * part(5) < 70;
    return dark ? "rgba(255, 255, 255, 0.34)" : "rgba(30, 26, 20, 0.34)";
  }
  // What is to be thought about is shown where it is.
  let spot = null;
  function showPlaces() {
    spot = null;
    document.querySelectorAll("#warnings li[data-at]").forEach((li) => {
      const button = document.createElement("button"), at = li.dataset.at.split(",").map(Number);
      Object.assign(button, { type: "button", className: "where", textContent: "Show where" });
      button.setAttribute("aria-pressed", "false");
      button.onclick = () => {
        const on = button.getAttribute("aria-pressed") !== "true";
        document.querySelectorAll("#warnings .where").forEach((other) => other.setAttribute("aria-pressed", "false"));
        button.setAttribute("aria-pressed", on);
        spot = on ? at : null;
        if (on) canvas.scrollIntoView({ block: "nearest" });
        redraw();
      };
      li.append(" ", button);
    });
  }
  // Words stay inside the picture and off one another; where there is no room they are left out.
  let labels = [];
  function label(text, x, y, colour) {
    pen.font = "600 13px system-ui, sans-serif"; pen.textAlign = "center";
    const half = pen.measureText(text).width / 2 + 3;
    x = Math.max(half, Math.min(canvas.clientWidth - half, x));
    y = [0, 16, -16, 32, -32, 48, -48, 64, -64].map((by) => y + by).find((at) => at > 14 && at < canvas.clientHeight - 4 &&
      !labels.some(([lx, ly, lhalf]) => Math.abs(lx - x) < lhalf + half && Math.abs(ly - at) < 16));
    if (y === undefined) return;
    labels.push([x, y, half]);
    pen.lineWidth = 4; pen.strokeStyle = "#fff"; pen.strokeText(text, x, y);
    pen.fillStyle = colour; pen.fillText(text, x, y);
  }
  function marks() {
    labels = [];
    if ($("ends").checked) {
      runStart.forEach((a, r) => {
        if (a >= upTo) return;
        const b = (runStart[r + 1] || count) - 1;
        pen.beginPath(); pen.arc(toX(X[a]), toY(Y[a]), 4, 0, 7); pen.fillStyle = "#00735a"; pen.fill();
        if (b < upTo) { pen.fillStyle = "#a13d00"; pen.fillRect(toX(X[b]) - 3.5, toY(Y[b]) - 3.5, 7, 7); }
      });
      s.changes.forEach((i, n) => { if (i < upTo) label("bobbin " + (n + 2), toX(X[i]), toY(Y[i]) - 8, "#00558a"); });
    }
    if (upTo < count && upTo > 0) {
      const x = toX(X[upTo - 1]), y = toY(Y[upTo - 1]);
      pen.beginPath(); pen.arc(x, y, 9, 0, 7); pen.moveTo(x - 14, y); pen.lineTo(x + 14, y);
      pen.moveTo(x, y - 14); pen.lineTo(x, y + 14);
      pen.strokeStyle = "#fff"; pen.lineWidth = 5; pen.stroke();
      pen.strokeStyle = "#a13d00"; pen.lineWidth = 2; pen.stroke();
    }
    if ($("gaps").checked) data.gaps.forEach((gap, i) => {
      pen.beginPath();
      pen.arc(toX(gap[0]), toY(gap[1]), gap[2] / 2 * view.scale, 0, 7);
      pen.strokeStyle = "#a13d00"; pen.lineWidth = 2; pen.setLineDash([7, 4]); pen.stroke(); pen.setLineDash([]);
      label((i + 1) + ": " + gap[2] + " mm", toX(gap[0]), toY(gap[1]) + 4, "#8a3400");
    });
    if (spot) {
      pen.beginPath(); pen.arc(toX(spot[0]), toY(spot[1]), 18, 0, 7);
      pen.strokeStyle = "#fff"; pen.lineWidth = 6; pen.stroke();
      pen.strokeStyle = "#a13d00"; pen.lineWidth = 3; pen.stroke();
      label("here", toX(spot[0]), toY(spot[1]) - 26, "#8a3400");
    }
    if (measure) {
      rule([[...measure.from, ...measure.to]], "#00558a", 2);
      label(measured(), (toX(measure.from[0]) + toX(measure.to[0])) / 2,
            (toY(measure.from[1]) + toY(measure.to[1])) / 2 - 8, "#00558a");
    }
  }
  function measured() {
    const mm = Math.hypot(measure.to[0] - measure.from[0], measure.to[1] - measure.from[1]);
    const eighths = Math.round(mm / 25.4 * 8), whole = Math.floor(eighths / 8), rest = eighths % 8;
    const parts = { 1: "1/8", 2: "1/4", 3: "3/8", 4: "1/2", 5: "5/8", 6: "3/4", 7: "7/8" };
    const inches = [whole || !rest ? whole : "", parts[rest] || ""].filter((p) => p !== "").join(" ");
    return mm.toFixed(1) + " mm (" + inches + " in)";
  }
  function draw() {
    wanted = false; drawnStrokes = 0; clearTimeout(rest);
    const ratio = Math.max(window.devicePixelRatio || 1, onPaper ? 3 : 1), w = canvas.clientWidth, h = canvas.clientHeight;
    if (canvas.width !== Math.round(w * ratio) || canvas.height !== Math.round(h * ratio)) {
      canvas.width = Math.round(w * ratio); canvas.height = Math.round(h * ratio);
    }
    pen.setTransform(ratio, 0, 0, ratio, 0, 0); pen.clearRect(0, 0, w, h);
    wadding();
    if (isLit()) reliefCloth();
    else fill(data.outline, $("ground").value);
    if (!behind() && !isLit()) {
      data.blocks.forEach((ring) => fill([ring], $("block").value));
      rule(data.printed, "#b9a98a", 1);
      data.motifs.forEach((rings) => fill(rings, $("motif").value));
      flatPrints();
      rule(data.seams, "#8a8170", 1, [8, 3]);
    }
    rule(data.outline.map((r) => [...r, r[0], r[1]]), "#8a8170", 1);
    thread(shown()); marks(); keep();
  }

  // ---- a large picture is moved as it stands, and drawn anew when it comes to rest
  let drawnStrokes = 0, still = null, rest = 0;
  function keep() {
    if (drawnStrokes <= MOST_MOVING) { still = null; return; }
    const copy = document.createElement("canvas");
    copy.width = canvas.width; copy.height = canvas.height; copy.getContext("2d").drawImage(canvas, 0, 0);
    still = { copy, ...view, wide: canvas.clientWidth, high: canvas.clientHeight };
  }
  function shift() {
    wanted = false;
    if (!still || still.wide !== canvas.clientWidth) { draw(); return; }
    const by = view.scale / still.scale, w = still.wide * by, h = still.high * by;
    pen.clearRect(0, 0, canvas.clientWidth, canvas.clientHeight);
    pen.drawImage(still.copy, toX(still.x) - w / 2, toY(still.y) - h / 2, w, h);
    clearTimeout(rest); rest = setTimeout(redraw, 150);
  }
  function moving() { if (!wanted) { wanted = true; requestAnimationFrame(still && !measure ? shift : draw); } }
  function redraw() { if (!wanted) { wanted = true; requestAnimationFrame(draw); } }

  // ---- words
  function say() {
    $("line").max = count;
    const i = Math.max(0, upTo - 1);
    let run = 0; while (run < runStart.length && runStart[run] <= i) run++;
    const name = layer[i] < data.layers.length ? data.layers[layer[i]].name : "margin";
    $("said").textContent = upTo >= count
      ? runStart.length + (runStart.length === 1 ? " start" : " starts") + ", about " + Math.round(data.time.total) + " minutes at the machine"
      : "Start " + run + " of " + runStart.length + ", " + name + ", about minute " +
        Math.floor(clock[i]) + " of " + Math.round(data.time.total);
    $("line").value = upTo;
    $("line").setAttribute("aria-valuetext", $("said").textContent);
  }
  function goTo(place) { upTo = Math.max(0, Math.min(count, place)); say(); redraw(); }

  // ---- sewing
  function tick(now) {
    if (!sewing) return;
    minuteNow += Math.min((now - lastTick) / 60000, 0.01) * Number($("speed").value);
    lastTick = now;
    let next = upTo;
    while (next < count && clock[next] <= minuteNow) next++;
    if (next !== upTo) goTo(next);
    if (upTo >= count) toggle(false); else requestAnimationFrame(tick);
  }
  function toggle(on) {
    sewing = on; $("sew").textContent = on ? "Wait" : "Sew";
    if (on) {
      goTo(upTo >= count ? 0 : upTo);
      minuteNow = clock[Math.max(0, upTo - 1)] * (upTo > 0);
      lastTick = performance.now(); requestAnimationFrame(tick);
    }
  }
  function zoom(by, at) {
    const before = at || [view.x, view.y];
    const scale = Math.max(0.05, Math.min(60, view.scale * by)), kept = view.scale / scale;
    view.x = before[0] + (view.x - before[0]) * kept; view.y = before[1] + (view.y - before[1]) * kept;
    view.scale = scale; moving();
  }
  function runAt() { let r = 0; while (r + 1 < runStart.length && runStart[r + 1] < upTo) r++; return r; }

  // ---- hands
  const fingers = new Map(); let spread = 0;
  canvas.addEventListener("pointerdown", (event) => {
    canvas.setPointerCapture(event.pointerId);
    fingers.set(event.pointerId, [event.clientX, event.clientY]);
    if ($("ruler").checked && fingers.size === 1) measure = { from: toMm(event), to: toMm(event) };
  });
  canvas.addEventListener("pointermove", (event) => {
    const before = fingers.get(event.pointerId);
    if (!before) return;
    if (measure && $("ruler").checked && fingers.size === 1) {
      measure.to = toMm(event); $("said").textContent = measured();
    } else if (fingers.size === 1) {
      view.x -= (behind() ? -1 : 1) * (event.clientX - before[0]) / view.scale;
      view.y += (event.clientY - before[1]) / view.scale;
    }
    fingers.set(event.pointerId, [event.clientX, event.clientY]);
    if (fingers.size === 2) {
      const [a, b] = [...fingers.values()], apart = Math.hypot(a[0] - b[0], a[1] - b[1]);
      if (spread) zoom(apart / spread, toMm({ clientX: (a[0] + b[0]) / 2, clientY: (a[1] + b[1]) / 2 }));
      spread = apart;
    }
    moving();
  });
  const lift = (event) => { fingers.delete(event.pointerId); spread = 0; };
  canvas.addEventListener("pointerup", lift); canvas.addEventListener("pointercancel", lift);
  canvas.addEventListener("wheel", (event) => {
    event.preventDefault(); zoom(Math.exp(-event.deltaY / 500), toMm(event));
  }, { passive: false });
  canvas.addEventListener("keydown", (event) => {
    const far = 40 / view.scale, side = behind() ? -1 : 1;
    const acts = {
      ArrowLeft: () => { view.x -= far * side; }, ArrowRight: () => { view.x += far * side; },
      ArrowUp: () => { view.y += far; }, ArrowDown: () => { view.y -= far; },
      "+": () => zoom(1.25), "=": () => zoom(1.25), "-": () => zoom(0.8),
      "0": fit, " ": () => toggle(!sewing),
    };
    // The ruler by keys: from the middle of the picture to wherever that is moved.
    if ($("ruler").checked) acts.Enter = () => { measure = { from: [view.x, view.y], to: [view.x, view.y], byKey: true }; };
    if (!acts[event.key]) return;
    event.preventDefault(); acts[event.key]();
    if (measure && measure.byKey) { measure.to = [view.x, view.y]; $("said").textContent = measured(); }
    moving();
  });
  $("nearer").onclick = () => zoom(1.4); $("further").onclick = () => zoom(1 / 1.4);
  $("whole").onclick = () => { fit(); redraw(); };
  $("sew").onclick = () => toggle(!sewing);
  $("next-run").onclick = () => { toggle(false); goTo(upTo >= count ? (runStart[1] || count) : (runStart[runAt() + 1] || count - 1) + 1); };
  $("back-run").onclick = () => { toggle(false); goTo((runStart[Math.max(0, runAt() - (upTo >= count ? 0 : 1))] || 0) + 1); };
  $("line").oninput = () => { toggle(false); goTo(Number($("line").value)); };
  $("wishes").addEventListener("input", redraw);
  $("ruler").addEventListener("input", () => { if (!$("ruler").checked) { measure = null; say(); } });
  // Where layers come and go, their boxes do; those that stay keep their mark.
  const namesOf = (layers) => layers.map((each) => each.name).join("\n");
  let boxesFor = namesOf(data.layers);
  function swatches() {
    if (boxesFor !== namesOf(data.layers)) {
      const off = new Set([...document.querySelectorAll("[data-layer]:not(:checked)")].map((box) => box.dataset.name));
      $("layers").replaceChildren(...data.layers.filter(({ name }) => name).map(({ name }, n) => {
        const label = document.createElement("label"), box = document.createElement("input"), swatch = document.createElement("span");
        Object.assign(box, { type: "checkbox", checked: !off.has(name) });
        box.dataset.layer = n; box.dataset.name = name;
        swatch.className = "swatch"; swatch.dataset.swatch = n; swatch.setAttribute("aria-hidden", "true");
        label.append(box, swatch, n + 1 + ". " + name); return label;
      }));
      boxesFor = namesOf(data.layers);
    }
    document.querySelectorAll("[data-swatch]").forEach((swatch) => {
      swatch.style.background = data.layers[Number(swatch.dataset.swatch)].colour;
    });
  }
  swatches();
  window.quiltpath = {
    // Part 0 brings the lines before they are sewn: while the order is played back, the old
    // stitches stay until the new ones are there.
    show(fresh, part) {
      const all = upTo >= count, size = [x0, y0, x1, y1].join();
      const { stitches, ...rest } = fresh, flat = part === 0 ? { relief: null } : {};
      take(part === 0 && !all ? { ...data, ...rest, ...flat } : { ...data, ...fresh, ...flat });
      if (part === 0 || fresh.relief) takeShape();
      if (fresh.photos) takePrints();
      upTo = all ? count : Math.min(upTo, count);
      if (size !== [x0, y0, x1, y1].join()) fit();
      spot = null; swatches(); if (part !== 0) say(); draw();
    },
    // The shape comes later than the lines, or not at all.
    light(relief) { data = { ...data, relief }; takeShape(); },
    lit: () => isLit() && litFor !== "",
    far: () => Array.from(bends, (i, k) => [X[i], Y[i], begins[k]]),
    bounds: () => [x0, y0, x1, y1],
    redraw,
    showPlaces,
    picture: () => canvas.toDataURL(),
    draw,
    toMm,
    view,
  };
  new ResizeObserver(() => { fit(); redraw(); }).observe(canvas.parentElement);
  // On paper the picture has the shape that it has on the screen, in finer points.
  for (const [moment, now] of [["beforeprint", true], ["afterprint", false]]) {
    window.addEventListener(moment, () => { onPaper = now; draw(); });
  }
  fit(); say(); showPlaces(); takePrints(); takeShape(); redraw();
})();
