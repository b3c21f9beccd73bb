"""Instructions as one HTML file: self-contained, printable, readable without a mouse."""

from __future__ import annotations

from collections.abc import Sequence
from html import escape

from quiltpath.documents.instructions.step import Cover, Step
from quiltpath.drawing import svg
from quiltpath.drawing.sketch import Picture
from quiltpath.language import html_language, say, say_known, with_a_capital

STYLE = """
:root { color-scheme: light dark; --ink: #1d1d1b; --paper: #ffffff; --rule: #767066; }
@media (prefers-color-scheme: dark) { :root { --ink: #f1eee6; --paper: #1e1f21; } }
body { font: SIZE/1.5 system-ui, sans-serif; color: var(--ink); background: var(--paper);
  max-width: 52rem; margin: 0 auto; padding: 1rem; overflow-wrap: anywhere; }
h1 { font-size: 1.6em; } h2 { font-size: 1.25em; margin: 0 0 .5em; }
section { border-top: 1px solid var(--rule); padding: 1em 0; }
ul.tasks { list-style: none; padding: 0; }
ul.tasks label { display: flex; gap: .7em; align-items: baseline; padding: .25em 0; }
input { inline-size: 1.2em; block-size: 1.2em; flex: none; }
input:focus-visible, a:focus-visible { outline: 3px solid #0072b2; outline-offset: 2px; }
a { color: inherit; }
.caution { border: 3px solid var(--ink); padding: .5em .8em; font-weight: 600; }
figure { margin: .5em 0; background: #ffffff; padding: .5em; }
figure svg { display: block; inline-size: 100%; block-size: auto; }
figcaption { color: #1d1d1b; font-size: .9em; }
.size { font-size: 1.25em; font-weight: 600; }
@media (min-width: 44rem) {
  .beside { display: grid; gap: 0 1.2em; grid-template-columns: minmax(0, 4fr) minmax(0, 5fr); }
  .row { display: flex; gap: 1em; } .row > * { flex: 1 1 0; min-inline-size: 0; } }
@media print { nav { display: none; } section { break-inside: avoid; }
  body { max-width: none; padding: 0; background: #ffffff; color: #000000; } }
"""


WIDE_MM = 100.0
"""A drawing that is wider goes across the page; the others stand beside their words."""


def instruction_page(
    title: str, steps: Sequence[Step], cover: Cover | None = None, *, large_print: bool
) -> bytes:
    """The page as UTF-8 bytes; nothing in it is fetched from anywhere."""
    size = "18pt" if large_print else "1.05rem"
    name = escape(title)
    contents = "".join(
        f'<li><a href="#step-{number}">{escape(step.title)}</a></li>'
        for number, step in enumerate(steps, 1)
    )
    first = _cover(cover) if cover is not None else ""
    body = "".join(_section(number, step) for number, step in enumerate(steps, 1))
    return (
        f'<!doctype html>\n<html lang="{html_language()}">\n<head>\n<meta charset="utf-8">\n'
        '<meta name="viewport" content="width=device-width, initial-scale=1">\n'
        f"<title>{escape(say('{title}: instructions', title=title))}</title>\n"
        f"<style>{STYLE.replace('SIZE', size)}</style>\n</head>\n<body>\n<main>\n"
        f"<h1>{name}</h1>\n{first}"
        f'<nav aria-label="{say("Steps")}"><ol>{contents}</ol></nav>\n{body}'
        "</main>\n</body>\n</html>\n"
    ).encode()


def _cover(cover: Cover) -> str:
    """The finished piece and its facts, the first of them large."""
    large, *others = map(escape, cover.facts)
    told = "".join(f"<p>{fact}</p>\n" for fact in others)
    return f'{_figure(0, 1, cover.picture)}<p class="size">{large}</p>\n{told}'


def _section(number: int, step: Step) -> str:
    wide: list[str] = []
    small: list[str] = []
    for place, picture in enumerate(step.pictures, 1):
        (wide if picture.width_mm > WIDE_MM else small).append(_figure(number, place, picture))
    row = f'<div class="row">{"".join(small)}</div>' if wide and small else ""
    beside = f"<div>{''.join(small)}</div>" if small and not wide else ""
    figures = f"{''.join(wide)}{row}" if wide else ""
    told = "<br>".join(map(escape, step.cautions))
    cautions = f'<p class="caution">{say("Caution:")} {told}</p>\n' if told else ""
    tasks = "".join(
        f'<li><label><input type="checkbox"><span>{escape(task)}</span></label></li>\n'
        for task in step.tasks
    )
    notes = "".join(f"<p>{escape(note)}</p>\n" for note in step.notes)
    heading = f'<h2 id="step-{number}-title">{number}. {escape(step.title)}</h2>'
    return (
        f'<section id="step-{number}" aria-labelledby="step-{number}-title">\n{heading}\n'
        f'{figures}<div class="{"beside" if beside else "below"}">{beside}<div>{cautions}'
        f'<ul class="tasks">\n{tasks}</ul>\n{notes}</div></div></section>\n'
    )


def _figure(number: int, place: int, picture: Picture) -> str:
    """The drawing, with names of its own so that no two drawings of the page share one."""
    page = picture.renamed(f"step {number} drawing {place}").page()
    drawn = svg.render(page, decimals=1).decode().strip()
    drawn = drawn[drawn.index("<svg") :]
    shows, state = escape(picture.shows), escape(say_known(picture.state))
    drawn = drawn.replace("<svg ", f'<svg role="img" aria-label="{shows}" ', 1)
    told = f"{with_a_capital(shows)}. {with_a_capital(state)}."
    return f"<figure>{drawn}<figcaption>{told}</figcaption></figure>\n"
