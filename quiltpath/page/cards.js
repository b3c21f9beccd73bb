(function () {
  const $ = (id) => document.getElementById(id), page = window.quiltpath;
  const TOLD = ["Starts", "Stitches", "Needle thread", "Time", "Widest gap"];
  let cards = [], number = 0;

  function written(tag, text, more) {
    const made = document.createElement(tag);
    made.textContent = text;
    return Object.assign(made, more);
  }
  const now = () => new Map(page.figures());
  const first = (text) => Number((/^\D{0,6}([\d,.]+)/.exec(text || "") || [])[1]?.replaceAll(",", ""));
  // How much more or less than the design as it stands: for figures that are one plain number.
  function difference(card, name) {
    const here = first(card.figures.get(name)), there = first(now().get(name));
    if (name === "Widest gap" || Number.isNaN(here) || Number.isNaN(there) || here === there) return "";
    const by = Math.round((here - there) * 10) / 10;
    return " (" + (by > 0 ? "+" : "−") + Math.abs(by).toLocaleString("en") + ")";
  }
  function shown(card) {
    const box = document.createElement("article"), list = document.createElement("dl"), row = document.createElement("div");
    box.setAttribute("aria-label", card.name);
    TOLD.filter((name) => card.figures.has(name)).forEach((name) => {
      const line = document.createElement("div");
      line.append(written("dt", name), written("dd", card.figures.get(name) + difference(card, name)));
      list.append(line);
    });
    row.className = "row";
    row.append(
      written("button", "Go back to it", { type: "button", ariaLabel: "Go back to it: " + card.name, onclick: () => page.goTo(card.changes) }),
      written("button", "Put it away", { type: "button", ariaLabel: "Put it away: " + card.name, onclick: () => {
        cards = cards.filter((other) => other !== card); listCards(); $("keep").focus();
      } }));
    box.append(written("strong", card.name), Object.assign(document.createElement("img"), { src: card.picture, alt: card.name + ", as it was kept" }), list, row);
    return box;
  }
  function listCards() { $("cards").hidden = !cards.length; $("cards").replaceChildren(...cards.map(shown)); }
  // Words for what makes it what it is: pattern and spacing of each layer.
  function called() {
    const parts = page.state().entries.map((e) => (e.pattern || e.kind) + (e.spacing ? " " + page.said(e.spacing.at).replace(/ \(.*/, "") : ""));
    return "Kept " + (++number) + ": " + parts.join(", ");
  }
  $("keep").onclick = () => {
    cards.push({ name: called(), picture: page.picture(), figures: now(), changes: page.changes() });
    listCards();
    page.hear("kept as a card below", false);
  };
  page.cards = listCards;
})();
