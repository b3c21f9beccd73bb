// @ts-nocheck
(function () {
  const $ = (id) => document.getElementById(id), page = window.quiltpath;
  const LARGEST = 1600; // pixels along the longer side that are worked with

  // ---- mathematics: a plane seen from the side is a projective map of itself
  // Eight equations for the eight unknowns of the map, solved with partial pivoting; null where
  // three of the points lie on one line.
  function homography(from, to) {
    const rows = [];
    from.forEach(([x, y], i) => {
      const [u, v] = to[i];
      rows.push([x, y, 1, 0, 0, 0, -u * x, -u * y, u], [0, 0, 0, x, y, 1, -v * x, -v * y, v]);
    });
    const size = Math.max(...rows.flat().map(Math.abs));
    for (let c = 0; c < 8; c++) {
      let best = c;
      for (let r = c + 1; r < 8; r++) if (Math.abs(rows[r][c]) > Math.abs(rows[best][c])) best = r;
      if (Math.abs(rows[best][c]) < 1e-12 * size) return null;
      [rows[c], rows[best]] = [rows[best], rows[c]];
      for (let r = 0; r < 8; r++) {
        if (r === c) continue;
        const by = rows[r][c] / rows[c][c];
        for (let k = c; k < 9; k++) rows[r][k] -= by * rows[c][k];
      }
    }
    return [...rows.map((row, i) => row[8] / row[i]), 1];
  }
  function mapped(h, [x, y]) {
    const w = h[6] * x + h[7] * y + h[8];
    return [(h[0] * x + h[1] * y + h[2]) / w, (h[3] * x + h[4] * y + h[5]) / w];
  }
  const depth = (h, [x, y]) => h[6] * x + h[7] * y + h[8];
  // Lower left, lower right, upper right, upper left as they are seen, whatever order they came in.
  function inOrder(corners) {
    const mx = corners.reduce((sum, p) => sum + p[0], 0) / 4, my = corners.reduce((sum, p) => sum + p[1], 0) / 4;
    const round = [...corners].sort((a, b) => Math.atan2(my - a[1], a[0] - mx) - Math.atan2(my - b[1], b[0] - mx));
    let first = 0;
    round.forEach((p, i) => { if (p[0] - p[1] < round[first][0] - round[first][1]) first = i; });
    return [0, 1, 2, 3].map((i) => round[(first + i) % 4]);
  }
  const apart = (a, b) => Math.hypot(a[0] - b[0], a[1] - b[1]);
  const cross = (o, a, b) => (a[0] - o[0]) * (b[1] - o[1]) - (a[1] - o[1]) * (b[0] - o[0]);
  function isConvex(p) {
    const turns = [0, 1, 2, 3].map((i) => cross(p[i], p[(i + 1) % 4], p[(i + 2) % 4]));
    const size = Math.max(apart(p[0], p[2]), apart(p[1], p[3]));
    return turns.every((t) => t < -1e-3 * size * size) || turns.every((t) => t > 1e-3 * size * size);
  }

  // ---- the picture: as taken, and as straightened
  const canvas = $("photo-cloth"), pen = canvas.getContext("2d", { willReadFrequently: true });
  let taken = null, shown = null, mmPerPixel = null, at = [0, 0];
  const none = () => ({ corners: [], scale: [], corner: [], outline: [], along: [], across: [], motif: [] });
  let marks = none();
  const kind = () => document.querySelector("[name=photo-mark]:checked").value;
  const most = { corners: 4, scale: 2, corner: 1, outline: 400, along: 1000, across: 1000, motif: 4000 };
  const number = (id) => Number($(id).value) * Number($("photo-unit").value);

  async function open(file) {
    let bitmap;
    try { bitmap = await createImageBitmap(file); } catch { say("That file is not a picture."); return; }
    const scale = Math.min(1, LARGEST / Math.max(bitmap.width, bitmap.height));
    taken = document.createElement("canvas");
    taken.width = Math.round(bitmap.width * scale); taken.height = Math.round(bitmap.height * scale);
    taken.getContext("2d").drawImage(bitmap, 0, 0, taken.width, taken.height);
    $("photo-work").hidden = false; look(taken, null);
    say("Mark four corners of something that is a rectangle on the cloth, or two points if it was taken from straight above.");
  }
  function look(picture, scale) {
    shown = picture; mmPerPixel = scale; at = [picture.width / 2, picture.height / 2];
    marks = none();
    canvas.width = picture.width; canvas.height = picture.height;
    canvas.style.aspectRatio = picture.width + " / " + picture.height;
    draw(); buttons();
  }
  // Every pixel of the straightened picture is fetched from where it lies in the photo.
  function straightened(corners, long, high) {
    const [a, b, c, d] = corners;
    if (!(long > 0 && high > 0)) { // the sides as seen are the best guess at its proportions
      long = (apart(a, b) + apart(c, d)) / 2; high = (apart(b, c) + apart(d, a)) / 2;
    }
    const wide = Math.max(apart(a, b), apart(c, d)), per = wide / long;
    const target = [[0, high * per], [wide, high * per], [wide, 0], [0, 0]];
    const to = homography(corners, target);
    if (!to) return null;
    // As much of the photo round the rectangle as lies before the vanishing line, within bounds.
    const edge = [[0, 0], [taken.width, 0], [taken.width, taken.height], [0, taken.height]]
      .filter((p) => depth(to, p) / depth(to, corners[0]) > 0.05).map((p) => mapped(to, p));
    const reach = (axis, size) => {
      const all = [...edge.map((p) => p[axis]), 0, size];
      return [Math.max(Math.min(...all), -0.4 * size), Math.min(Math.max(...all), 1.4 * size)];
    };
    const [x0, x1] = reach(0, wide), [y0, y1] = reach(1, high * per);
    const shrink = Math.min(1, LARGEST / Math.max(x1 - x0, y1 - y0));
    const out = document.createElement("canvas");
    out.width = Math.max(1, Math.round((x1 - x0) * shrink)); out.height = Math.max(1, Math.round((y1 - y0) * shrink));
    const back = homography(target, corners);
    fetchPixels(out, (x, y) => mapped(back, [x / shrink + x0, y / shrink + y0]));
    return { picture: out, mm: 1 / (per * shrink) };
  }
  function fetchPixels(out, source) {
    const from = taken.getContext("2d").getImageData(0, 0, taken.width, taken.height);
    const brush = out.getContext("2d"), to = brush.createImageData(out.width, out.height);
    const read = new Uint32Array(from.data.buffer), write = new Uint32Array(to.data.buffer);
    for (let y = 0; y < out.height; y++) {
      for (let x = 0; x < out.width; x++) {
        const [u, v] = source(x + 0.5, y + 0.5), i = Math.floor(u), j = Math.floor(v);
        if (i >= 0 && j >= 0 && i < taken.width && j < taken.height) write[y * out.width + x] = read[j * taken.width + i];
      }
    }
    brush.putImageData(to, 0, 0);
  }

  // ---- marks on the picture
  const COLOURS = { corners: "#d55e00", scale: "#0072b2", corner: "#cc79a7", outline: "#d55e00", along: "#0072b2", across: "#009e73", motif: "#d55e00" };
  const STRAY_MM = 0.2, MOST_POINTS = 400; // of a motif's outline, when it goes into the file
  function path(points, closed) {
    pen.beginPath(); points.forEach((p, i) => (i ? pen.lineTo(...p) : pen.moveTo(...p)));
    if (closed) pen.closePath();
  }
  function stroke(colour, wide) { // light below dark, so that it shows on any cloth
    pen.strokeStyle = "#fff"; pen.lineWidth = wide * 2.2; pen.stroke();
    pen.strokeStyle = colour; pen.lineWidth = wide; pen.stroke();
  }
  function shapeOf(name) {
    if (name === "corners" && marks.corners.length === 4) return inOrder(marks.corners);
    return name === "motif" && $("photo-round").checked ? page.tracing.rounded(marks.motif, 6) : marks[name];
  }
  function draw() {
    if (!shown) return;
    pen.drawImage(shown, 0, 0);
    const one = canvas.width / (canvas.clientWidth || canvas.width), w = canvas.width, h = canvas.height;
    for (const name of ["corners", "outline", "scale", "motif"]) {
      if (marks[name].length < 2) continue;
      path(shapeOf(name), name !== "scale" && marks[name].length > 2);
      stroke(COLOURS[name], 2 * one);
    }
    marks.along.forEach(([x]) => { path([[x, 0], [x, h]]); stroke(COLOURS.along, 1.5 * one); });
    marks.across.forEach(([, y]) => { path([[0, y], [w, y]]); stroke(COLOURS.across, 1.5 * one); });
    for (const name of ["corners", "scale", "corner", "outline", "motif"]) {
      marks[name].filter((p) => !p.drawn).forEach(([x, y]) => { pen.beginPath(); pen.arc(x, y, 5 * one, 0, 7); stroke(COLOURS[name], 2 * one); });
    }
    const [x, y] = at, far = 12 * one;
    path([[x - far, y], [x + far, y]]); stroke("#1d1d1b", one); path([[x, y - far], [x, y + far]]); stroke("#1d1d1b", one);
  }
  function mark(point) {
    const list = marks[kind()];
    if (list.length >= most[kind()]) list.shift();
    list.push(point);
    if (kind() === "scale") rescale();
    draw(); buttons(); tellMark();
  }
  function rescale() {
    const [a, b] = marks.scale, mm = number("photo-apart");
    if (b && mm > 0) mmPerPixel = mm / apart(a, b);
  }
  function tellMark() {
    const name = kind(), count = marks[name].length;
    const words = { corners: count + " of 4 corners", scale: count + " of 2 points", corner: "lower left marked",
      outline: count + " corners of the outline", along: count + " ends along the length", across: count + " ends across the width",
      motif: count + " points of the motif" };
    say(words[name] + (mmPerPixel ? ", scale " + (1 / mmPerPixel).toFixed(2) + " pixels to the mm" : ", no scale yet"));
  }
  const say = (text) => { $("photo-said").textContent = text; };

  // ---- lengths: mm from the lower left of the finished edge, upwards
  function origin() {
    const from = marks.corner.length ? marks.corner : marks.outline;
    if (!from.length) return null;
    return [Math.min(...from.map((p) => p[0])), Math.max(...from.map((p) => p[1]))];
  }
  const inMm = ([x, y], [ox, oy]) => [(x - ox) * mmPerPixel, (oy - y) * mmPerPixel];
  function outline() {
    const from = [Math.min(...marks.outline.map((p) => p[0])), Math.max(...marks.outline.map((p) => p[1]))];
    return marks.outline.map((p) => inMm(p, from));
  }
  function motif() {
    const from = origin(), ring = shapeOf("motif").map((p) => inMm(p, from));
    return { name: $("photo-name").value.trim() || "motif", outline: page.tracing.few(ring, STRAY_MM, MOST_POINTS) };
  }
  function lines() {
    const from = origin(), grid = page.state().grid;
    const taken = (name, axis) => marks[name].length ? marks[name].map((p) => inMm(p, from)[axis]).sort((a, b) => a - b) : grid[name];
    return { along: taken("along", 0), across: taken("across", 1) };
  }
  function buttons() {
    $("photo-straighten").disabled = marks.corners.length !== 4;
    $("photo-raw").disabled = !taken || shown === taken;
    $("photo-back").disabled = !marks[kind()].length;
    $("photo-outline").disabled = !(mmPerPixel && marks.outline.length >= 3);
    $("photo-motif").disabled = !(mmPerPixel && origin() && marks.motif.length >= 3);
    $("photo-lines").disabled = !(mmPerPixel && origin() && marks.along.length + marks.across.length);
  }

  // ---- hands
  $("photo-file").onchange = () => { const [file] = $("photo-file").files; if (file) open(file); };
  $("photo-straighten").onclick = () => {
    const corners = inOrder(marks.corners), long = number("photo-long"), high = number("photo-high");
    const made = isConvex(corners) && straightened(corners, long, high);
    if (!made) { say("These four marks are not the corners of a rectangle: mark them again."); return; }
    look(made.picture, long > 0 && high > 0 ? made.mm : null);
    say("Straightened. " + (mmPerPixel ? "The rectangle gives the scale." : "Now two points a known distance apart give the scale."));
    document.querySelector("[name=photo-mark][value=" + (mmPerPixel ? "outline" : "scale") + "]").checked = true; buttons();
  };
  $("photo-raw").onclick = () => { look(taken, null); say("The photo as it was taken."); };
  $("photo-back").onclick = () => { // a stroke of the hand is taken away as one
    const list = marks[kind()];
    while (list.length > 1 && list[list.length - 1].drawn) list.pop();
    list.pop(); draw(); buttons(); tellMark();
  };
  $("photo-motif").onclick = () => {
    page.change("motif.new", motif(), true);
    marks.motif = []; draw(); buttons(); say("The motif is in the picture above: drag it, or trace another.");
  };
  $("photo-round").onchange = draw;
  $("photo-outline").onclick = () => page.change("runner.outline", outline(), true);
  $("photo-lines").onclick = () => page.change("grid.printed", lines(), true);
  $("photo-apart").oninput = () => { rescale(); buttons(); };
  $("photo-unit").onchange = () => { rescale(); buttons(); };
  $("photo-unit").value = page.state().units === "in" ? "25.4" : "1";
  document.querySelectorAll("[name=photo-mark]").forEach((radio) => { radio.onchange = () => { buttons(); tellMark(); }; });
  function pointed(event) {
    const box = canvas.getBoundingClientRect();
    return [(event.clientX - box.left - canvas.clientLeft) / canvas.clientWidth * canvas.width,
            (event.clientY - box.top - canvas.clientTop) / canvas.clientHeight * canvas.height];
  }
  canvas.addEventListener("pointerdown", (event) => {
    if (event.button || !event.isPrimary) return;
    at = pointed(event); mark([...at]);
    canvas.setPointerCapture(event.pointerId);
  });
  // A motif may be drawn in one stroke round its edge.
  canvas.addEventListener("pointermove", (event) => {
    if (kind() !== "motif" || !event.isPrimary || !canvas.hasPointerCapture(event.pointerId)) return;
    const next = pointed(event), least = 4 * canvas.width / canvas.clientWidth;
    if (apart(next, at) < least || marks.motif.length >= most.motif) return;
    at = next; marks.motif.push(Object.assign([...at], { drawn: true }));
    draw(); buttons(); tellMark();
  });
  canvas.addEventListener("keydown", (event) => {
    const one = canvas.width / (canvas.clientWidth || 1) * (event.shiftKey ? 20 : 1);
    const step = { ArrowLeft: [-one, 0], ArrowRight: [one, 0], ArrowUp: [0, -one], ArrowDown: [0, one] }[event.key];
    if (step) at = [0, 1].map((i) => Math.max(0, Math.min([canvas.width, canvas.height][i], at[i] + step[i])));
    else if (event.key === "Enter") mark([...at]);
    else if (event.key === "Backspace") $("photo-back").click();
    else return;
    event.preventDefault(); draw();
  });
  $("photo-form").onsubmit = (event) => event.preventDefault();
  $("design").onsubmit = (event) => event.preventDefault();
  page.photo = { homography, mapped, inOrder, marks: () => marks, at: () => at, scale: () => mmPerPixel, size: () => [canvas.width, canvas.height] };
})();
