(function () {
  const $ = (id) => document.getElementById(id), { token, state: first } = JSON.parse($("given").textContent);
  const PARTS = 3; // lines, then stitches and figures, then gaps and warnings
  const AT_REST_MS = 400; // after the last change the cloth is shown as quilted
  let state = first, figures = [];
  let done = [], undone = [], saved = 0, version = 0, saving = false;
  const page = window.quiltpath;

  // ---- questions to the server, which is on this machine
  function send(path, content, signal) {
    return fetch(path, {
      method: "POST", body: JSON.stringify({ base: state.base, ...content }), cache: "no-store", signal,
      headers: { "Content-Type": "application/json", "X-Token": token },
    });
  }
  const refusal = (text) => Object.assign(new Error(text || "no answer"), { told: true });
  const words = (fault) => fault.told ? fault.message : "no answer: is \"quiltpath show\" still running?";
  async function* parts(path, content, signal) {
    const reply = await send(path, content, signal);
    if (!reply.ok) throw refusal((await reply.json()).fault);
    const reader = reply.body.pipeThrough(new TextDecoderStream()).getReader();
    let text = "";
    for (;;) {
      const { value, done: ended } = await reader.read();
      text += value || "";
      const lines = text.split("\n");
      text = lines.pop();
      for (const line of lines) {
        const said = JSON.parse(line);
        if (said.fault) throw refusal(said.fault);
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
  let standing = "[]", refused = false; // changes as last drawn; the last change could not be drawn
  const plain = () => JSON.stringify(done.map(({ settled, ...rest }) => rest));
  page.waited = [];
  async function draw() {
    if (under) { again = true; if (under.shown) under.stop.abort(); return; }
    under = { stop: new AbortController(), shown: false };
    const asked = version, since = changedAt, sent = plain();
    let known = [], fault = null;
    try {
      for await (const fresh of parts("/draw", { changes: JSON.parse(sent) }, under.stop.signal)) {
        if (fresh.base !== state.base) break;
        standing = sent;
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
    if (fault && fault.name !== "AbortError") {
      hear(words(fault), true); page.settled = asked; refused = Boolean(fault.told);
      if (refused && done.length && done[done.length - 1].settled) takeBack();
    } else if (!fault && !kept) hear("", false);
    if (!fault) lightSoon();
  }
  // While something changes the lines are plain; at rest they are lit, where that is wished.
  let resting = 0;
  function lightSoon() {
    clearTimeout(resting);
    if ($("lit").checked) resting = setTimeout(light, AT_REST_MS);
  }
  async function light() {
    const asked = version;
    try {
      const { base, relief } = await ask("/lit", { changes: JSON.parse(standing) });
      if (asked === version && base === state.base) page.light(relief);
    } catch (fault) { /* the lines stay plain; why is told where they are drawn */ }
  }
  $("lighting").hidden = false;
  $("lit").addEventListener("change", lightSoon);
  lightSoon();
  // What cannot be drawn does not stay among the changes, where it would spoil all later ones:
  // the last ones that could be are what is on the screen.
  let kept = false; // the reason stays to be read until the next change
  function takeBack() {
    refused = false;
    if (plain() === standing) return;
    done = JSON.parse(standing).map((each) => ({ ...each, settled: true }));
    moved(true);
  }
  // What follows the lines is reckoned from the last exact figures until the new ones are there.
  const FOLLOWS = ["Stitches", "Sewn", "Needle thread", "Time"], BRIEF = [...FOLLOWS, "Starts", "Widest gap"];
  let drawnM = state.drawn_m, exact = null;
  function reckoned([name, text, old]) {
    const was = exact && exact.of.get(name);
    if (!old || !was || !FOLLOWS.includes(name) || !exact.drawnM) return [name, text, old];
    const about = was.replace(/[\d,.]+/, (number) =>
      Math.round(Number(number.replaceAll(",", "")) * drawnM / exact.drawnM).toLocaleString("en"));
    return [name, "about " + about, true];
  }
  function listed(rows) {
    return rows.map(([name, text, old]) => {
      const box = document.createElement("div"), dt = document.createElement("dt"), dd = document.createElement("dd");
      dt.textContent = name; dd.textContent = text; if (old) dd.className = "before"; box.append(dt, dd); return box;
    });
  }
  function listFigures() {
    $("figures").replaceChildren(...listed(figures));
    $("brief").replaceChildren(...listed(figures.filter(([name]) => BRIEF.includes(name))));
  }
  function take(fresh, known, asked) {
    const { data, figures: rows, warnings, places, lying, part, drawn_m: _, ...rest } = fresh;
    // What the hand has moved on since is not put back to where this answer found it.
    if (asked === version) state = { ...state, ...rest };
    page.show(data, part);
    document.title = document.querySelector("h1").textContent = state.title;
    // Figures that are not known yet stand as they were, marked as those before the change.
    known = [...known, ...rows];
    const names = new Set(known.map(([name]) => name));
    figures = [...known, ...figures.filter(([name]) => !names.has(name)).map(([name, text]) => [name, text, true])];
    if (fresh.drawn_m) drawnM = fresh.drawn_m;
    if (part === 0) figures = figures.map(reckoned);
    else if (part === PARTS - 1) exact = { drawnM, of: new Map(figures.map(([name, text]) => [name, text])) };
    listFigures();
    if (warnings) {
      $("warnings").replaceChildren(...(warnings.length ? warnings : ["none"]).map((text, n) => {
        const li = document.createElement("li"); li.textContent = text;
        if (places[n]) li.dataset.at = places[n];
        return li;
      }));
      page.showPlaces();
    }
    if (lying) {
      $("lying-picture").src = lying.picture; $("lying-picture").alt = lying.shows;
      $("lying-words").textContent = lying.words;
    }
    if (warnings && asked === version) { page.refresh(); page.cards(); }
    if (part === 0 && asked === version) page.stand();
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
  function settle() {
    if (done.length) done[done.length - 1].settled = true;
    if (refused) takeBack();
    page.letGo();
  }
  function moved(back) { kept = Boolean(back); refused = false; version++; changedAt = performance.now(); buttons(); draw(); }
  function buttons() {
    $("undo").disabled = saving || !done.length; $("redo").disabled = saving || !undone.length;
    $("save").disabled = saving || saved === version;
    $("make").disabled = saving || saved !== version;
    $("make").title = saved !== version ? "save first" : "";
  }
  // A design that was kept is taken up again; what was undone before it stays undone.
  function goTo(changes) {
    settle(); done = changes.map((each) => ({ ...each, settled: true })); undone = []; moved();
  }
  // The button keeps the keyboard's place although it may be disabled the moment it is used up.
  function used(button, other) { if (button.disabled && !other.disabled) other.focus(); }
  $("undo").onclick = () => { if (refused) { settle(); return; } settle(); undone.push(done.pop()); moved(); used($("undo"), $("redo")); };
  $("redo").onclick = () => { done.push(undone.pop()); settle(); moved(); used($("redo"), $("undo")); };
  $("save").onclick = async () => {
    settle(); saving = true; buttons(); hear("saving", false);
    try {
      await ask("/save", { changes: JSON.parse(plain()) });
      saved = version; hear("saved " + state.file, false);
    } catch (fault) { hear(words(fault), true); }
    saving = false; buttons(); used($("save"), $("make"));
  };
  $("make").onclick = async () => {
    hear("making", false); $("make").disabled = true; $("made").hidden = true;
    const watch = setInterval(async () => {
      const at = await ask("/progress").catch(() => null);
      if (at && at.running) hear("making: " + at.what, false);
    }, 300);
    try {
      const made = await ask("/make");
      hear(made.files.length + " files in the folder " + made.folder, false);
      $("made").hidden = false;
      $("made").replaceChildren(...[...made.files, made.all].map((name) => {
        const li = document.createElement("li"), a = document.createElement("a");
        a.href = "/made/" + encodeURIComponent(name) + "?token=" + token;
        a.textContent = name === made.all ? "all of them in one file: " + name : name;
        if (name === made.all) a.download = name; else { a.target = "_blank"; a.rel = "noopener"; }
        li.append(a); return li;
      }));
    } catch (fault) { hear(words(fault), true); }
    clearInterval(watch); buttons(); $("make").focus();
  };
  $("load").onclick = async () => {
    try {
      state.base = (await ask("/load")).base;
      done = []; undone = []; standing = "[]"; saved = version + 1; $("load").hidden = true; moved();
    } catch (fault) { hear(words(fault), true); $("load").hidden = false; }
  };
  document.addEventListener("keydown", (event) => {
    if (!(event.ctrlKey || event.metaKey) || event.altKey || event.key.toLowerCase() !== "z") return;
    const button = $(event.shiftKey ? "redo" : "undo");
    if (!button.disabled) { event.preventDefault(); button.click(); }
  });

  // ---- the file may change on disk
  setInterval(async () => {
    const at = await ask("/progress").catch(() => null);
    if (!at || !at.changed || !$("load").hidden || saving) return;
    if (saved === version && !under) $("load").onclick();
    else { $("load").hidden = false; hear(state.file + " has changed on disk", true); }
  }, 1500);
  Object.assign(page, { change, settle, hear, parts, goTo, figures: () => figures.map(([name, text]) => [name, text]), changes: () => JSON.parse(plain()), state: () => state, version: () => version });
  figures = [...$("figures").children].map((box) => [box.querySelector("dt").textContent, box.querySelector("dd").textContent]);
  exact = { drawnM, of: new Map(figures) };
  $("said").after($("brief")); // beside the picture, which stays in view
  listFigures();
  page.settled = 0;
  buttons();
})();
