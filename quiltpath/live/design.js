"use strict";
(function () {
  const { token, state: first } = document.currentScript.dataset, $ = (id) => document.getElementById(id);
  const PARTS = 3; // lines, then stitches and figures, then gaps and warnings
  let state = JSON.parse(first), figures = [];
  let done = [], undone = [], saved = 0, version = 0, saving = false;
  const page = window.quiltpath;

  // ---- questions to the server, which is on this machine
  function send(path, content, signal) {
    return fetch(path, {
      method: "POST", body: JSON.stringify({ base: state.base, ...content }), cache: "no-store", signal,
      headers: { "Content-Type": "application/json", "X-Token": token },
    });
  }
  async function* parts(path, content, signal) {
    const reply = await send(path, content, signal);
    if (!reply.ok) throw new Error((await reply.json()).fault || "no answer");
    const reader = reply.body.pipeThrough(new TextDecoderStream()).getReader();
    let text = "";
    for (;;) {
      const { value, done: ended } = await reader.read();
      text += value || "";
      const lines = text.split("\n");
      text = lines.pop();
      for (const line of lines) {
        const said = JSON.parse(line);
        if (said.fault) throw new Error(said.fault);
        yield said;
      }
      if (ended) return;
    }
  }
  async function ask(path, content) {
    for await (const said of parts(path, content)) return said;
    throw new Error("no answer");
  }
  function hear(text, wrong) {
    document.querySelectorAll("[data-heard]").forEach((place) => { place.textContent = text; place.className = wrong ? "wrong" : ""; });
  }

  // ---- drawing: one question under way; a later change waits for the lines of the one before,
  // then takes the place of the rest of its answer
  let under = null, again = false, changedAt = 0;
  page.waited = [];
  async function draw() {
    if (under) { again = true; if (under.shown) under.stop.abort(); return; }
    under = { stop: new AbortController(), shown: false };
    const asked = version, since = changedAt;
    let known = [], fault = null;
    try {
      for await (const fresh of parts("/draw", { changes: done }, under.stop.signal)) {
        if (fresh.base !== state.base) break;
        known = take(fresh, known, asked);
        await new Promise((ready) => requestAnimationFrame(ready));
        page.waited.push({ part: fresh.part, ms: performance.now() - since });
        under.shown = true;
        if (again) { under.stop.abort(); break; }
        if (fresh.part === PARTS - 1) page.settled = asked;
      }
    } catch (error) { fault = error; }
    under = null;
    if (again) { again = false; draw(); return; }
    if (fault && fault.name !== "AbortError") { hear(fault.message, true); page.settled = asked; }
    else if (!fault) hear("", false);
  }
  function take(fresh, known, asked) {
    const { data, figures: rows, warnings, part, ...rest } = fresh;
    // What the hand has moved on since is not put back to where this answer found it.
    if (asked === version) state = { ...state, ...rest };
    page.show(data, part);
    // Figures that are not known yet stand as they were, marked as those before the change.
    known = [...known, ...rows];
    const names = new Set(known.map(([name]) => name));
    figures = [...known, ...figures.filter(([name]) => !names.has(name)).map(([name, text]) => [name, text, true])];
    $("figures").replaceChildren(...figures.map(([name, text, old]) => {
      const box = document.createElement("div"), dt = document.createElement("dt"), dd = document.createElement("dd");
      dt.textContent = name; dd.textContent = text; if (old) dd.className = "before"; box.append(dt, dd); return box;
    }));
    if (warnings) {
      $("warnings").replaceChildren(...(warnings.length ? warnings : ["none"]).map((text) => {
        const li = document.createElement("li"); li.textContent = text; return li;
      }));
    }
    if (part === 0 && asked === version) controls();
    return known;
  }

  // ---- changes: the last word on each figure counts, so dragging adds one change, not hundreds
  function change(key, value, settled, more) {
    if (saving) return;
    const last = done[done.length - 1], place = { ...more };
    const same = last && !last.settled && last.key === key && last.entry === place.entry && last.place === place.place;
    if (same && settled && JSON.stringify(last.value) === JSON.stringify(value)) { last.settled = true; return; }
    if (same) last.value = value; else done.push({ ...place, key, value });
    done[done.length - 1].settled = Boolean(settled);
    undone = []; moved();
  }
  function settle() { if (done.length) done[done.length - 1].settled = true; }
  function moved() { version++; changedAt = performance.now(); buttons(); draw(); }
  function buttons() {
    $("undo").disabled = saving || !done.length; $("redo").disabled = saving || !undone.length;
    $("save").disabled = saving || saved === version;
    $("make").disabled = saving || saved !== version;
    $("make").title = saved !== version ? "save first" : "";
  }
  // The button keeps the keyboard's place although it may be disabled the moment it is used up.
  function used(button, other) { if (button.disabled && !other.disabled) other.focus(); }
  $("undo").onclick = () => { settle(); undone.push(done.pop()); moved(); used($("undo"), $("redo")); };
  $("redo").onclick = () => { done.push(undone.pop()); settle(); moved(); used($("redo"), $("undo")); };
  $("save").onclick = async () => {
    settle(); saving = true; buttons(); hear("saving", false);
    try {
      await ask("/save", { changes: done });
      saved = version; hear("saved " + state.file, false);
    } catch (fault) { hear(fault.message, true); }
    saving = false; buttons(); used($("save"), $("make"));
  };
  $("make").onclick = async () => {
    hear("making", false); $("make").disabled = true;
    const watch = setInterval(async () => {
      const at = await ask("/progress").catch(() => null);
      if (at && at.running) hear("making: " + at.what, false);
    }, 300);
    try {
      const made = await ask("/make");
      hear(made.files.length + " files in the folder " + made.folder, false);
    } catch (fault) { hear(fault.message, true); }
    clearInterval(watch); buttons(); $("make").focus();
  };
  $("load").onclick = async () => {
    try {
      state.base = (await ask("/load")).base;
      done = []; undone = []; saved = version + 1; $("load").hidden = true; moved();
    } catch (fault) { hear(fault.message, true); $("load").hidden = false; }
  };
  document.addEventListener("keydown", (event) => {
    if (!(event.ctrlKey || event.metaKey) || event.altKey || event.key.toLowerCase() !== "z") return;
    const button = $(event.shiftKey ? "redo" : "undo");
    if (!button.disabled) { event.preventDefault(); button.click(); }
  });

  // ---- controls
  function said(mm) {
    if (state.units !== "in") return mm.toFixed(1) + " mm";
    const parts = Math.round(mm / 25.4 * 16), whole = Math.floor(parts / 16);
    let top = parts % 16, below = 16;
    while (top && top % 2 === 0) { top /= 2; below /= 2; }
    return [whole || !top ? whole : "", top ? top + "/" + below : ""].filter((p) => p !== "").join(" ") +
      " in (" + mm.toFixed(1) + " mm)";
  }
  const degrees = (v) => v + "°";
  function tell(input) {
    const out = input.parentElement.querySelector("output");
    out.textContent = input.said(Number(input.value));
    input.setAttribute("aria-valuetext", out.textContent);
  }
  function slider(input, text, act) {
    input.said = text;
    input.oninput = () => { tell(input); act(Number(input.value), false); };
    // Keys change a figure step by step: it is settled when the keyboard goes on elsewhere.
    let byKey = false;
    input.onkeydown = () => { byKey = true; };
    input.onpointerdown = () => { byKey = false; };
    input.onchange = () => { if (!byKey) act(Number(input.value), true); };
    input.onblur = settle;
  }
  function range(id, name, low, high, step, value, text, act) {
    const box = document.createElement("label"), label = document.createElement("span");
    const input = document.createElement("input"), out = document.createElement("output");
    box.className = "figure"; label.textContent = name; out.htmlFor = id; box.append(label, out, input);
    Object.assign(input, { type: "range", id, min: low, max: high, step });
    input.value = value; slider(input, text, act); tell(input);
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
  const step = () => state.units === "in" ? 25.4 / 16 : 0.5;
  const capital = (text) => text[0].toUpperCase() + text.slice(1);
  function entryControls(e, n) {
    const set = document.createElement("fieldset"), head = document.createElement("legend"), one = step();
    head.textContent = (n + 1) + ". " + e.name; set.append(head);
    const act = (key) => (value, settled) => change(key, value, settled, { entry: e.entry });
    set.append(choice("pattern-" + n, "Pattern", state.patterns, state.named[e.entry], "own: " + e.kind, act("pattern")));
    set.append(choice("region-" + n, "Region", state.regions, e.region, e.region, act("region")));
    if (e.spacing) {
      const { key, about } = e.spacing;
      set.append(range("spacing-" + n, capital(key), one * Math.ceil(4 / one), one * Math.floor(205 / one), one, e.spacing.mm, said,
        (mm, settled) => change(key, { mm, about }, settled, { entry: e.entry })));
    }
    if ("angle" in e) set.append(range("angle-" + n, "Angle", -90, 90, 1, e.angle, degrees, act("angle")));
    (e.angles || []).forEach((value, i) => set.append(range("angles-" + n + "-" + i, "Angle " + (i + 1), -90, 90, 1, value, degrees,
      (angle, settled) => {
        const all = [...state.entries[n].angles];
        all[i] = angle; state.entries[n].angles = all;
        change("angles", all, settled, { entry: e.entry });
      })));
    if ("clearance" in e) set.append(range("clearance-" + n, "Clearance", 0, 32 * 25.4 / 16, one, e.clearance, said, act("clearance")));
    return set;
  }
  let chosen = 0;
  const placeOf = (m) => ({ entry: m.entry, place: m.place });
  const named = (m) => m.name + (typeof m.place === "string" ? " in " + m.place : " at point " + (m.place + 1));
  function motifControls() {
    if (!state.motifs.length) return [];
    chosen = Math.min(chosen, state.motifs.length - 1);
    const set = document.createElement("fieldset"), head = document.createElement("legend"), m = state.motifs[chosen], one = step();
    head.textContent = "Place of a motif"; set.append(head);
    const names = state.motifs.map(named);
    set.append(choice("motif-chosen", "Motif", names, names[chosen], "", (value) => {
      chosen = names.indexOf(value); standing = ""; controls();
    }));
    const [x0, y0, x1, y1] = page.bounds();
    ["From the left", "From below"].forEach((name, axis) => {
      set.append(range("motif-" + "xy"[axis], name, 0, [x1 - x0, y1 - y0][axis], one, m.at[axis], said, (mm, settled) => {
        const now = state.motifs[chosen], at = [...now.at];
        at[axis] = mm; state.motifs[chosen].at = at;
        change("motif.at", at, settled, placeOf(now));
      }));
    });
    return [set];
  }
  let standing = "";
  function controls() {
    const shape = JSON.stringify([state.entries.map((e) => [e.name, e.kind, state.named[e.entry], Object.keys(e), e.spacing && e.spacing.key]), state.motifs.map(named), page.bounds()]);
    const kept = document.activeElement && document.activeElement.id;
    // While a figure is dragged its control must not be replaced under the hand.
    if (shape !== standing) {
      standing = shape;
      $("entries").replaceChildren(...state.entries.map(entryControls), ...motifControls());
      if (kept && $(kept) && document.activeElement !== $(kept)) $(kept).focus();
    }
    refresh();
  }
  let pressed = null; // the slider under the hand follows the hand, not the answer
  document.addEventListener("pointerdown", (event) => { pressed = event.target; }, true);
  document.addEventListener("pointerup", () => { pressed = null; }, true);
  function refresh() {
    const put = (id, value) => {
      const input = $(id);
      if (!input || input === pressed || Math.abs(Number(input.value) - value) < 1e-6) return;
      input.value = value; if (input.said) tell(input);
    };
    put("stitch", state.stitch_mm); tell($("stitch"));
    state.entries.forEach((e, n) => {
      if (e.spacing) put("spacing-" + n, e.spacing.mm);
      if ("angle" in e) put("angle-" + n, e.angle);
      (e.angles || []).forEach((value, i) => put("angles-" + n + "-" + i, value));
      if ("clearance" in e) put("clearance-" + n, e.clearance);
      if ($("region-" + n) && state.regions.includes(e.region)) $("region-" + n).value = e.region;
    });
    const m = state.motifs[chosen];
    if (m) { put("motif-x", m.at[0]); put("motif-y", m.at[1]); }
  }
  slider($("stitch"), (mm) => mm.toFixed(1) + " mm", (mm, settled) => change("stitch.length", mm, settled));

  // ---- a motif can be dragged
  const canvas = $("cloth"); let held = null;
  canvas.addEventListener("pointerdown", (event) => {
    if ($("ruler").checked || page.busy) return;
    const [x, y] = page.toMm(event);
    const near = (m) => Math.hypot(m.at[0] - x, m.at[1] - y);
    const motif = state.motifs.filter((m) => near(m) < m.size / 2).sort((a, b) => near(a) - near(b))[0];
    if (!motif) return;
    held = { place: placeOf(motif), from: [x, y], at: [...motif.at] };
    event.stopImmediatePropagation(); canvas.setPointerCapture(event.pointerId);
  }, true);
  canvas.addEventListener("pointermove", (event) => {
    if (!held) return;
    const [x, y] = page.toMm(event);
    change("motif.at", [held.at[0] + x - held.from[0], held.at[1] + y - held.from[1]], false, held.place);
  });
  const drop = () => { if (held) settle(); held = null; };
  canvas.addEventListener("pointerup", drop); canvas.addEventListener("pointercancel", drop);

  // ---- the file may change on disk
  setInterval(async () => {
    const at = await ask("/progress").catch(() => null);
    if (!at || !at.changed || !$("load").hidden || saving) return;
    if (saved === version && !under) $("load").onclick();
    else { $("load").hidden = false; hear(state.file + " has changed on disk", true); }
  }, 1500);
  page.change = change; page.state = () => state; page.version = () => version; page.said = said; page.hear = hear;
  figures = [...$("figures").children].map((box) => [box.querySelector("dt").textContent, box.querySelector("dd").textContent]);
  page.settled = 0;
  controls(); buttons();
})();
