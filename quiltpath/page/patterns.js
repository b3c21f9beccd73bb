(function () {
  const page = window.quiltpath, state = page.state;
  const SVG = "http://www.w3.org/2000/svg";

  // ---- what a person gave the layer, kept while patterns are tried, also through those that have none
  const given = new Map();
  function remember(e) {
    const known = given.get(e.entry) || {};
    if (e.given.includes("spacing") && e.spacing) known.spacing = { mm: e.spacing.at, about: e.spacing.about };
    if (e.given.includes("angle") && e.angle) known.angle = e.angle.at;
    given.set(e.entry, known);
    return known;
  }
  const choose = (e) => (name, settled) => page.change("pattern", name, settled, { entry: e.entry, keep: remember(e) });

  // ---- a small picture of each pattern on this runner, one after the other
  let open = null; // the layer whose patterns are shown, and the box that they are in
  function drawn(tag, attributes) {
    const made = document.createElementNS(SVG, tag);
    Object.entries(attributes).forEach(([key, value]) => made.setAttribute(key, value));
    return made;
  }
  function written(tag, text) {
    const made = document.createElement(tag);
    made.textContent = text;
    return made;
  }
  function picture(e, said) {
    const one = document.createElement("button"), size = said.box[2];
    const starts = said.starts + (said.starts === 1 ? " start, " : " starts, ") + said.minutes + " min";
    const svg = drawn("svg", { viewBox: said.box.join(" "), "aria-hidden": "true" });
    svg.append(drawn("path", { class: "pale", d: said.pale, "stroke-width": size / 300 }),
      drawn("path", { d: said.lines, "stroke-width": size / 150 }));
    Object.assign(one, { type: "button", title: said.about, onclick: () => choose(e)(said.name, true) });
    one.dataset.name = said.name;
    one.setAttribute("aria-label", said.title + ": " + starts);
    one.append(svg, written("strong", said.title), written("span", starts));
    return one;
  }
  function mark(e) {
    open.box.querySelectorAll("button").forEach((one) => one.setAttribute("aria-pressed", one.dataset.name === e.pattern));
  }
  async function show(e) {
    const box = document.createElement("div"), heard = written("p", "drawing the patterns …");
    const stop = new AbortController();
    box.className = "patterns"; box.append(heard);
    heard.setAttribute("role", "status");
    open = { entry: e.entry, box, stop };
    page.stand(true);
    let use = "";
    try {
      for await (const said of page.parts("/pictures", { changes: page.changes(), entry: e.entry, keep: remember(e) }, stop.signal)) {
        if (!said.name) continue;
        if (said.use !== use) { use = said.use; box.insertBefore(written("h3", use), heard); }
        box.insertBefore(picture(e, said), heard);
        mark(state().entries.find((each) => each.entry === e.entry) || e);
      }
      heard.textContent = "";
    } catch (fault) { if (fault.name !== "AbortError") heard.textContent = fault.message; }
  }
  function button(e, n) {
    const one = written("button", "");
    const shown = () => Boolean(open && open.entry === e.entry);
    Object.assign(one, { type: "button", id: "pictures-" + n, onclick: () => {
      const was = shown();
      if (open) open.stop.abort();
      open = null;
      if (was) page.stand(true); else show(e);
    } });
    one.textContent = shown() ? "Put the pictures away" : "Choose by picture";
    one.setAttribute("aria-expanded", shown());
    one.setAttribute("aria-label", one.textContent + ": " + e.name);
    return one;
  }
  // What stands below the choice of a layer's pattern.
  function below(e, n) {
    remember(e);
    if (!open || open.entry !== e.entry) return [button(e, n)];
    mark(e);
    return [button(e, n), open.box];
  }
  Object.assign(page, { choosePattern: choose, patternPictures: below });
})();
