(function () {
  const $ = (id) => document.getElementById(id), page = window.quiltpath;
  const TITLES = { "": "The whole project" };
  const title = (one) => {
    const name = one.section || "", words = TITLES[name] || name.replaceAll("_", " ").replaceAll(".", ": ");
    const number = one.entry === undefined ? "" : " " + (one.entry + 1);
    return words[0].toUpperCase() + words.slice(1) + number + (one.called ? ": " + one.called : "");
  };
  const idOf = (one, key) => ["set", one.section || "project", one.entry === undefined ? "" : one.entry, key.name].join("-");

  function written(tag, text) {
    const made = document.createElement(tag);
    made.textContent = text;
    return made;
  }
  // One setting: what it is called, where it stands, what it means and takes.
  function field(one, key) {
    const box = document.createElement("label"), hint = written("small", key.meaning + (key.meaning ? ". " : "") + "Takes " + key.takes + ".");
    const input = document.createElement(key.options.length ? "select" : "input");
    const usual = key.default ? "usually " + key.default : "not said";
    if (key.options.length) {
      const own = key.value && !key.options.includes(key.value) ? [key.value] : [];
      input.append(new Option(usual, ""), ...own.concat(key.options).map((word) => new Option(word, word)));
    } else input.placeholder = usual;
    input.id = idOf(one, key); input.value = key.value; input.autocomplete = "off";
    hint.id = input.id + "-means"; input.setAttribute("aria-describedby", hint.id);
    input.onchange = () => {
      const { section, entry, kind } = one;
      page.change("setting", input.value, true, { section, name: key.name, ...(entry === undefined ? {} : { entry }), ...(kind ? { kind } : {}) });
    };
    box.append(written("span", key.name.replaceAll("_", " ")), input, hint);
    return box;
  }
  function table(one) {
    const box = document.createElement("details"), about = written("p", one.about);
    about.className = "hint";
    box.append(written("summary", title(one)), about, ...one.keys.map((key) => field(one, key)));
    return box;
  }

  let shape = "", asked = -1;
  async function refresh() {
    if (!$("settings").open || asked === page.version()) return;
    asked = page.version();
    const mine = asked;
    let told = null;
    try {
      for await (const said of page.parts("/settings", { changes: page.changes() })) told = said.settings;
    } catch (fault) { return; } // why is told where the lines are drawn
    if (mine !== page.version()) return;
    const fresh = JSON.stringify(told.map((one) => [title(one), one.keys.map((key) => key.name)]));
    if (fresh !== shape) {
      const opened = new Set([...$("tables").children].filter((box) => box.open).map((box) => box.firstChild.textContent));
      const held = document.activeElement && document.activeElement.id;
      shape = fresh;
      $("tables").replaceChildren(...told.map(table));
      [...$("tables").children].forEach((box) => { box.open = opened.has(box.firstChild.textContent); });
      if (held && $(held)) $(held).focus();
      return;
    }
    told.forEach((one) => one.keys.forEach((key) => {
      const input = $(idOf(one, key));
      if (input && input !== document.activeElement) input.value = key.value;
    }));
  }
  $("settings").addEventListener("toggle", refresh);
  const stood = page.refresh;
  page.refresh = () => { stood(); refresh(); };
})();
