"use strict";
(function () {
  const token = document.currentScript.dataset.token, $ = (id) => document.getElementById(id);
  let state = JSON.parse(document.currentScript.dataset.state);
  let done = [], undone = [], busy = false, again = false, saved = 0, version = 0;

  async function ask(path, content) {
    const reply = await fetch(path, {
      method: "POST", body: JSON.stringify(content || {}), cache: "no-store",
      headers: { "Content-Type": "application/json", "X-Token": token },
    });
    const said = await reply.json();
    if (!reply.ok) throw new Error(said.fault || "no answer");
    return said;
  }
  function hear(text, wrong) { $("heard").textContent = text; $("heard").className = wrong ? "wrong" : ""; }

  // One question under way at a time; what changes meanwhile is asked in one go afterwards.
  async function draw() {
    if (busy) { again = true; return; }
    busy = true;
    const asked = version, start = performance.now();
    try {
      const fresh = await ask("/draw", { changes: done });
      if (asked === version) { take(fresh); hear("", false); }
    } catch (fault) { hear(fault.message, true); }
    busy = false;
    window.quiltpath.lastMs = performance.now() - start;
    window.quiltpath.drawn = (window.quiltpath.drawn || 0) + 1;
    if (again) { again = false; draw(); }
  }
  function take(fresh) {
    const kept = document.activeElement && document.activeElement.id;
    state = fresh;
    window.quiltpath.show(fresh.data);
    $("figures").replaceChildren(...fresh.figures.map(([name, text]) => {
      const box = document.createElement("div"), dt = document.createElement("dt"), dd = document.createElement("dd");
      dt.textContent = name; dd.textContent = text; box.append(dt, dd); return box;
    }));
    const warnings = fresh.warnings.length ? fresh.warnings : ["none"];
    $("warnings").replaceChildren(...warnings.map((text) => {
      const li = document.createElement("li"); li.textContent = text; return li;
    }));
    controls();
    if (kept && $(kept)) $(kept).focus();
  }

  // ---- changes: the last word on each figure counts, so dragging adds one change, not hundreds
  function change(entry, key, value, settled) {
    const last = done[done.length - 1];
    if (last && !last.settled && last.entry === entry && last.key === key) last.value = value;
    else done.push({ entry, key, value });
    done[done.length - 1].settled = Boolean(settled);
    undone = []; version++; buttons(); draw();
  }
  function buttons() {
    $("undo").disabled = !done.length; $("redo").disabled = !undone.length;
    $("save").disabled = saved === version;
    $("make").disabled = saved !== version;
    $("make").title = saved !== version ? "save first" : "";
  }
  $("undo").onclick = () => { undone.push(done.pop()); version++; buttons(); draw(); };
  $("redo").onclick = () => { done.push(undone.pop()); version++; buttons(); draw(); };
  $("save").onclick = async () => {
    const asked = version;
    try {
      await ask("/save", { changes: done });
      done = []; undone = []; saved = asked; buttons(); hear("saved", false);
    } catch (fault) { hear(fault.message, true); }
  };
  $("make").onclick = async () => {
    hear("making", false); $("make").disabled = true;
    const watch = setInterval(async () => {
      const at = await ask("/progress").catch(() => null);
      if (at && at.running) hear("making: " + at.what, false);
    }, 300);
    try {
      const made = await ask("/make");
      hear(made.files.length + " files in " + made.folder, false);
    } catch (fault) { hear(fault.message, true); }
    clearInterval(watch); buttons();
  };
  $("load").onclick = async () => {
    try {
      await ask("/load"); done = []; undone = []; saved = ++version; $("load").hidden = true; buttons(); draw();
    } catch (fault) { hear(fault.message, true); }
  };

  // ---- controls
  function said(mm) {
    if (state.units !== "in") return mm.toFixed(1) + " mm";
    const parts = Math.round(mm / 25.4 * 16), whole = Math.floor(parts / 16);
    let top = parts % 16, below = 16;
    while (top && top % 2 === 0) { top /= 2; below /= 2; }
    return [whole || !top ? whole : "", top ? top + "/" + below : ""].filter((p) => p !== "").join(" ") +
      " in (" + mm.toFixed(1) + " mm)";
  }
  function range(id, label, low, high, step, value, text, act) {
    const box = document.createElement("label"), input = document.createElement("input"), out = document.createElement("output");
    box.className = "long"; box.append(label + " ", input, out);
    Object.assign(input, { type: "range", id, min: low, max: high, step });
    input.value = value; out.textContent = text(Number(value)); out.htmlFor = id;
    input.setAttribute("aria-valuetext", out.textContent);
    input.oninput = () => { out.textContent = text(Number(input.value)); act(Number(input.value), false); };
    input.onchange = () => act(Number(input.value), true);
    return box;
  }
  function choice(id, label, names, value, act) {
    const box = document.createElement("label"), select = document.createElement("select");
    box.append(label + " ", select); select.id = id;
    const all = names.includes(value) ? names : [value, ...names];
    select.append(...all.map((name) => new Option(name, name, false, name === value)));
    select.onchange = () => act(select.value, true);
    return box;
  }
  let standing = "";
  function controls() {
    $("stitch").value = state.stitch_mm; $("stitch-said").textContent = state.stitch_mm.toFixed(1) + " mm";
    const shape = JSON.stringify(state.entries.map((e) => [e.name, e.kind, Object.keys(e)]));
    // While a figure is dragged its control must not be replaced under the hand.
    if (shape === standing) { refresh(); return; }
    standing = shape;
    const step = state.units === "in" ? 25.4 / 16 : 0.5;
    $("entries").replaceChildren(...state.entries.map((e, n) => {
      const set = document.createElement("fieldset"), head = document.createElement("legend");
      head.textContent = (n + 1) + ". " + e.name; set.append(head);
      const act = (key) => (value, settled) => change(e.entry, key, value, settled);
      set.append(choice("pattern-" + n, "Pattern", state.patterns, "as it is (" + e.kind + ")", act("pattern")));
      set.append(choice("region-" + n, "Region", state.regions, e.region, act("region")));
      if (e.spacing) set.append(range("spacing-" + n, "Spacing", step * Math.ceil(4 / step), step * Math.floor(102 / step), step,
        e.spacing.mm, said, (mm, settled) => change(e.entry, "spacing", { mm, about: e.spacing.about }, settled)));
      if ("angle" in e) set.append(range("angle-" + n, "Angle", -90, 90, 1, e.angle, (v) => v + "°", act("angle")));
      set.append(range("clearance-" + n, "Clearance", 0, 32 * 25.4 / 16, step, e.clearance, said, act("clearance")));
      return set;
    }));
  }
  function refresh() {
    state.entries.forEach((e, n) => {
      const put = (id, value) => { const input = $(id); if (input && input !== document.activeElement) {
        input.value = value; input.parentElement.querySelector("output").textContent =
          id.startsWith("angle") ? value + "°" : said(value); } };
      if (e.spacing) put("spacing-" + n, e.spacing.mm);
      if ("angle" in e) put("angle-" + n, e.angle);
      put("clearance-" + n, e.clearance);
    });
  }
  $("stitch").oninput = () => {
    $("stitch-said").textContent = Number($("stitch").value).toFixed(1) + " mm";
    change(null, "stitch.length", Number($("stitch").value), false);
  };

  // ---- a motif that lies at a point can be dragged
  const canvas = $("cloth"); let held = null;
  canvas.addEventListener("pointerdown", (event) => {
    if ($("ruler").checked) return;
    const [x, y] = window.quiltpath.toMm(event);
    const motif = state.motifs.find((m) => Math.hypot(m.at[0] - x, m.at[1] - y) < m.size / 2);
    if (!motif) return;
    held = { motif, from: [x, y], at: [...motif.at] };
    event.stopImmediatePropagation(); canvas.setPointerCapture(event.pointerId);
  }, true);
  canvas.addEventListener("pointermove", (event) => {
    if (!held) return;
    const [x, y] = window.quiltpath.toMm(event);
    change(held.motif.entry, "motif.at", [held.at[0] + x - held.from[0], held.at[1] + y - held.from[1]], false);
  });
  canvas.addEventListener("pointerup", () => {
    if (held && done.length) done[done.length - 1].settled = true;
    held = null;
  });

  setInterval(async () => {
    const at = await ask("/progress").catch(() => null);
    if (at && at.changed && $("load").hidden) {
      if (saved === version && !busy) $("load").onclick();
      else { $("load").hidden = false; hear("the file has changed on disk", true); }
    }
  }, 1500);
  controls(); buttons();
})();
