(function () {
  const $ = (id) => document.getElementById(id), form = $("answers");
  const { token, state: { first, metric } } = JSON.parse($("given").textContent);
  const AT_REST_MS = 350;
  const named = () => [...form.elements].filter((each) => each.name && !("apart" in each.dataset));

  async function ask(path, content) {
    const reply = await fetch(path, {
      method: "POST", body: JSON.stringify(content), cache: "no-store",
      headers: { "Content-Type": "application/json", "X-Token": token },
    });
    const said = JSON.parse((await reply.text()).split("\n")[0]);
    if (said.fault) throw Object.assign(new Error(said.fault), { told: true });
    return said;
  }
  function hear(text, wrong) { $("heard").textContent = text; $("heard").className = wrong ? "wrong" : ""; }
  const words = (fault) => fault.told ? fault.message : "no answer: is \"quiltpath show\" still running?";

  // ---- the answers as they stand; what does not belong to a choice is hidden
  function fill(values) {
    for (const each of named()) {
      if (!(each.name in values)) continue;
      if (each.type === "radio") each.checked = each.value === values[each.name];
      else each.value = values[each.name];
    }
  }
  function answers() {
    const said = {};
    for (const each of named()) if (each.type !== "radio" || each.checked) said[each.name] = each.value;
    return said;
  }
  function fold() {
    const said = answers();
    document.querySelectorAll("[data-when]").forEach((part) => {
      const [key, value] = part.dataset.when.split("=");
      part.hidden = said[key] !== value;
    });
  }
  // Measures that nobody has changed go over into the other unit's usual figures.
  let units = first.units;
  function turnUnits() {
    const said = answers();
    if (said.units === units) return;
    const before = units === "mm" ? metric : first, now = said.units === "mm" ? metric : first;
    fill(Object.fromEntries(Object.keys(metric).filter((key) => said[key] === before[key]).map((key) => [key, now[key]])));
    units = said.units;
  }

  // ---- how it looks: asked for at rest, the last question counts
  let version = 0, waiting = 0, busy = false, fileTouched = false;
  async function look() {
    if (busy) { waiting = setTimeout(look, AT_REST_MS); return; }
    busy = true;
    const asked = version;
    try {
      const said = await ask("/begin", { answers: answers() });
      if (asked === version) show(said);
    } catch (fault) { if (asked === version) { hear(words(fault), true); $("begin").classList.add("stale"); } }
    busy = false;
    if (asked === version) window.quiltpath.settled = asked;
  }
  function show({ picture, shows, figures, warnings }) {
    hear("", false);
    $("begin").classList.remove("stale");
    $("picture").src = picture; $("picture").alt = shows;
    $("figures").replaceChildren(...figures.map(([name, text]) => {
      const box = document.createElement("div"), dt = document.createElement("dt"), dd = document.createElement("dd");
      dt.textContent = name; dd.textContent = text; box.append(dt, dd); return box;
    }));
    $("warnings").hidden = !warnings.length;
    $("warnings").replaceChildren(...warnings.map((text) => {
      const li = document.createElement("li"); li.textContent = text; return li;
    }));
  }
  const fileOf = (title) => title.trim().toLowerCase().replace(/[^\p{L}\p{N}]+/gu, "-").replace(/^-|-$/g, "") || "runner";
  function changed() {
    turnUnits(); fold();
    if (!fileTouched) form.elements.file.value = fileOf(answers().title) + ".toml";
    version++;
    clearTimeout(waiting); waiting = setTimeout(look, AT_REST_MS);
  }
  form.addEventListener("input", (event) => {
    if (event.target.name === "file") { fileTouched = true; return; }
    changed();
  });
  form.addEventListener("submit", async (event) => {
    event.preventDefault();
    $("create").disabled = true;
    try {
      await ask("/create", { answers: answers(), file: form.elements.file.value });
      location.reload();
    } catch (fault) { hear(words(fault), true); $("create").disabled = false; }
  });
  window.quiltpath = { settled: -1, version: () => version };
  fill(first); fold(); changed();
})();
