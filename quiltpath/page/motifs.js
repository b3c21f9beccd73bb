(function () {
  const $ = (id) => document.getElementById(id), page = window.quiltpath, state = page.state;
  const ALL = "in all its blocks alike", ALONE = "this one alone";
  let chosen = 0, last = null; // number of the motif at the controls, and what it was
  let moves = ALL, held = null; // held: what is being moved, until it is let go

  const named = (m) => m.name + (m.offset ? " in " + m.place : " at point " + (m.place + 1));
  const mates = (m) => state().motifs.filter((each) => each.entry === m.entry && each.offset);

  // ---- what a move says: a point of its own, or how far from the middle of all its blocks
  function taken(m, alone) {
    const place = { entry: m.entry, place: m.place };
    if (!m.offset) return { key: "motif.at", place, from: m.at, at: m.at };
    if (!alone) return { key: "motif.offset", place: { entry: m.entry }, from: m.at, at: m.offset };
    place.others = mates(m).map((each) => each.place).filter((name) => name !== m.place);
    return { key: "motif.at", place, from: m.at, at: m.at };
  }
  function move(to, settled) {
    const value = held.at.map((each, axis) => each + to[axis] - held.from[axis]);
    last.at = to;
    page.change(held.key, value, settled, held.place);
  }

  // ---- dragged on the cloth
  const canvas = $("cloth");
  let grip = null;
  function under(event) {
    const [x, y] = page.toMm(event), near = (m) => Math.hypot(m.at[0] - x, m.at[1] - y);
    return state().motifs.filter((m) => near(m) < m.size / 2).sort((a, b) => near(a) - near(b))[0];
  }
  canvas.addEventListener("pointerdown", (event) => {
    if ($("ruler").checked || grip) return;
    const motif = under(event);
    if (!motif) return;
    page.settle();
    chosen = state().motifs.indexOf(motif); page.stand();
    held = taken(motif, event.shiftKey || moves === ALONE); grip = page.toMm(event);
    event.stopImmediatePropagation(); canvas.setPointerCapture(event.pointerId);
  }, true);
  canvas.addEventListener("pointermove", (event) => {
    if (!grip) { canvas.style.cursor = !$("ruler").checked && under(event) ? "move" : ""; return; }
    const [x, y] = page.toMm(event);
    move([held.from[0] + x - grip[0], held.from[1] + y - grip[1]], false);
  });
  const drop = () => { if (grip) { grip = null; page.settle(); } };
  canvas.addEventListener("pointerup", drop); canvas.addEventListener("pointercancel", drop);

  // ---- by its controls
  // How far its middle may go along one axis: where all of them go, as far as the first that
  // reaches the finished edge.
  function reach(m, axis) {
    const at = m.at[axis], rooms = state().rooms || [], all = state().motifs;
    if (rooms.length !== all.length) return { at, low: at, high: at };
    const along = m.offset && moves === ALL ? mates(m) : [m];
    const ways = along.map((each) => rooms[all.indexOf(each)]["xy"[axis]].map((end) => end - each.at[axis]));
    return { at, low: at + Math.max(...ways.map((w) => w[0])), high: at + Math.min(...ways.map((w) => w[1])) };
  }
  function slider(name, axis) {
    return page.range("motif-" + "xy"[axis], name, reach(state().motifs[chosen], axis), page.step(), page.said, (mm, settled) => {
      held = held || taken(state().motifs[chosen], moves === ALONE);
      const to = [...(held.to || held.from)]; // an answer may meanwhile have told the motifs anew
      to[axis] = mm; held.to = to; move(to, settled);
    });
  }
  function controls() {
    const all = state().motifs, m = all[chosen];
    if (!m) return [];
    const names = all.map(named), inside = [page.choice("motif-chosen", "Motif", names, names[chosen], "", (value) => {
      page.settle(); chosen = names.indexOf(value); page.stand();
    })];
    if (m.offset && mates(m).length > 1) {
      inside.push(page.choice("motif-moves", "Moves", [ALL, ALONE], moves, "", (value) => { page.settle(); moves = value; page.refresh(); }));
      const hint = document.createElement("p");
      hint.className = "hint"; hint.textContent = "Hold Shift to move this one alone.";
      inside.push(hint);
    }
    return [page.group("Place of a motif", ...inside, slider("From the left", 0), slider("From below", 1))];
  }
  // Taken out of its block a motif is told in another place of the list: it is found again.
  function found() {
    const all = state().motifs, same = all.findIndex((m) => named(m) === last.name && m.entry === last.entry);
    if (same >= 0) return same;
    const away = (m) => (m.entry === last.entry ? 0 : 1e9) + Math.hypot(m.at[0] - last.at[0], m.at[1] - last.at[1]);
    return all.reduce((best, m, i) => (away(m) < away(all[best]) ? i : best), 0);
  }
  let shape = "";
  page.motifs = {
    // Nothing is replaced under the hand that moves it.
    shape() {
      if (held) return shape;
      const all = state().motifs;
      if (last && last.all !== all && all.length) chosen = found();
      const m = all[chosen];
      if (!m) last = null;
      else if (!last || last.all !== all || last.name !== named(m)) last = { name: named(m), entry: m.entry, at: m.at, all };
      return (shape = JSON.stringify([all.map(named), chosen, Boolean(m && m.offset && mates(m).length > 1)]));
    },
    controls,
    refresh() {
      const m = state().motifs[chosen];
      if (!m || held) return;
      page.put("motif-x", reach(m, 0)); page.put("motif-y", reach(m, 1));
      if ($("motif-chosen")) $("motif-chosen").selectedIndex = chosen;
    },
  };
  page.letGo = () => { if (!held) return; held = null; page.stand(); };
  page.stand();
})();
