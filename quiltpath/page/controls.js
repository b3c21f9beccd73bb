(function () {
  const $ = (id) => document.getElementById(id), page = window.quiltpath, state = page.state;

  // ---- words
  const inches = () => state().units === "in";
  function said(mm) {
    if (!inches()) return mm.toFixed(1) + " mm";
    const parts = Math.round(Math.abs(mm) / 25.4 * 16), whole = Math.floor(parts / 16);
    let top = parts % 16, below = 16;
    while (top && top % 2 === 0) { top /= 2; below /= 2; }
    return [whole || !top ? whole : "", top ? top + "/" + below : ""].filter((p) => p !== "").join(" ") +
      " in (" + mm.toFixed(1) + " mm)";
  }
  const degrees = (v) => v + "°";
  const capital = (text) => text[0].toUpperCase() + text.slice(1);
  const step = () => inches() ? 25.4 / 16 : 0.5;

  // ---- one control: ``reach`` is where it stands and how far it goes, as the model has it
  function tell(input, value) {
    const out = input.parentElement.querySelector("output");
    out.textContent = input.said(value);
    input.setAttribute("aria-valuetext", out.textContent);
  }
  // Ends are whole steps inside the model's own; what the file says is shown as it is, also
  // where it lies between two steps.
  function place(input, { at, low, high }) {
    const one = Number(input.step);
    input.min = Math.min(at, one * Math.ceil(low / one - 1e-6));
    input.max = Math.max(at, one * Math.floor(high / one + 1e-6));
    input.value = at; tell(input, at);
  }
  function slider(input, text, act) {
    input.said = text;
    input.oninput = () => {
      const value = act(Number(input.value), false);
      if (value !== undefined) input.value = value;
      tell(input, Number(input.value));
    };
    // Keys change a figure step by step: it is settled when the keyboard goes on elsewhere.
    let byKey = false;
    input.onkeydown = () => { byKey = true; };
    input.onpointerdown = () => { byKey = false; };
    input.onchange = () => { if (!byKey) { act(Number(input.value), true); page.settle(); } };
    input.onblur = page.settle;
  }
  function range(id, name, reach, one, text, act) {
    const box = document.createElement("label"), label = document.createElement("span");
    const input = document.createElement("input"), out = document.createElement("output");
    box.className = "figure"; label.textContent = name; out.htmlFor = id; box.append(label, out, input);
    Object.assign(input, { type: "range", id, step: one });
    slider(input, text, act); place(input, reach);
    return box;
  }
  function choice(id, name, names, value, words, act) {
    const box = document.createElement("label"), select = document.createElement("select"), label = document.createElement("span");
    box.className = "choice"; label.textContent = name; box.append(label, select); select.id = id;
    select.append(...names.map((each) => new Option(each, each, false, each === value)));
    if (!names.includes(value)) {
      const own = new Option(words, value, false, true);
      own.disabled = true; select.prepend(own);
    }
    select.onchange = () => act(select.value, true);
    return box;
  }
  function group(name, ...inside) {
    const set = document.createElement("fieldset"), head = document.createElement("legend");
    head.textContent = name; set.append(head, ...inside);
    return set;
  }

  // ---- the layers
  function directions(e, n, i) {
    return range("angles-" + n + "-" + i, "Angle " + (i + 1), e.angles[i], 1, degrees, (angle, settled) => {
      const all = state().entries[n].angles, now = all[i].at, fixed = all[1 - i].at, along = angle < now ? -1 : 1;
      // Two families cannot run the same way: that one direction is passed over.
      if ((angle - fixed) % 180 === 0) angle += Math.abs(angle + along) > 90 ? -along : along;
      all[i] = { ...all[i], at: angle };
      page.change("angles", all.map((each) => each.at), settled, { entry: e.entry });
      return angle;
    });
  }
  function layer(e, n) {
    const act = (key) => (value, settled) => page.change(key, value, settled, { entry: e.entry });
    const once = (key) => () => { page.change(key, true, true, { entry: e.entry }); };
    const set = group((n + 1) + ". " + e.name,
      choice("pattern-" + n, "Pattern", e.patterns, e.pattern, "own: " + e.kind, page.choosePattern(e)),
      ...page.patternPictures(e, n),
      choice("region-" + n, "Where", state().regions, e.region, e.region, act("region")));
    if (e.spacing) {
      const { key, about } = e.spacing;
      set.append(range("spacing-" + n, capital(key), e.spacing, step(), said,
        (mm, settled) => page.change(key, { mm, about }, settled, { entry: e.entry })));
    }
    if (e.angle) set.append(range("angle-" + n, "Angle", e.angle, 1, degrees, act("angle")));
    (e.angles || []).forEach((_, i) => set.append(directions(e, n, i)));
    if (e.clearance) set.append(range("clearance-" + n, "Kept free round motifs", e.clearance, step(), said, act("clearance")));
    const row = document.createElement("div");
    row.className = "row";
    if (n) row.append(button("earlier-" + n, "Sew it earlier", e.name, once("layer.earlier")));
    row.append(button("remove-" + n, "Leave it out", e.name, once("layer.remove")));
    set.append(row);
    return set;
  }
  function button(id, text, of, act) {
    const made = document.createElement("button");
    Object.assign(made, { type: "button", id, textContent: text, onclick: act });
    made.setAttribute("aria-label", text + ": " + of);
    return made;
  }
  // What else there is to choose: further quilting, the wadding, the paper in the printer.
  function more() {
    const { patterns, wadding, paper } = state(), add = choice("add", "Quilting", patterns, patterns[0], "", () => {});
    return [
      group("Further quilting", add,
        button("add-it", "Add it", "further quilting", () => page.change("layer.add", $("add").value, true))),
      group("Wadding and paper",
        choice("wadding", "Wadding", wadding.names, wadding.at, wadding.at || "not said", (kind) => page.change("wadding.kind", kind, true)),
        choice("paper", "Paper", paper.names, paper.at, paper.at, (size) => page.change("paper.size", size, true))),
    ];
  }

  // ---- all of them
  let shape = "";
  function stand(anyway) {
    const now = state(), fresh = JSON.stringify([
      now.entries.map((e) => [e.name, e.kind, e.pattern, e.patterns, Object.keys(e), e.spacing && e.spacing.key]),
      now.regions, now.patterns, now.wadding, now.paper, page.motifs.shape()]);
    const kept = document.activeElement && document.activeElement.id;
    // While a figure is dragged its control must not be replaced under the hand.
    if (anyway || fresh !== shape) {
      shape = fresh;
      $("entries").replaceChildren(...now.entries.map(layer), ...more(), ...page.motifs.controls());
      if (kept && $(kept) && document.activeElement !== $(kept)) $(kept).focus();
    }
    refresh();
  }
  let pressed = null; // the slider under the hand follows the hand, not the answer
  document.addEventListener("pointerdown", (event) => { pressed = event.target; }, true);
  document.addEventListener("pointerup", () => { pressed = null; }, true);
  function put(id, reach) {
    const input = $(id);
    if (input && reach && input !== pressed) place(input, reach);
  }
  function refresh() {
    put("stitch", state().stitch);
    state().entries.forEach((e, n) => {
      put("spacing-" + n, e.spacing); put("angle-" + n, e.angle); put("clearance-" + n, e.clearance);
      (e.angles || []).forEach((reach, i) => put("angles-" + n + "-" + i, reach));
      if ($("region-" + n) && state().regions.includes(e.region)) $("region-" + n).value = e.region;
    });
    page.motifs.refresh();
  }
  slider($("stitch"), (mm) => mm.toFixed(1) + " mm", (mm, settled) => page.change("stitch.length", mm, settled));
  Object.assign(page, { stand, refresh, said, range, choice, group, put, step });
})();
