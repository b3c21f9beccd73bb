"""``keys``: every key of the project file, as text, as one page, and as a schema for editors."""

from __future__ import annotations

import difflib
import html
import json
import re
import textwrap
from collections.abc import Sequence
from pathlib import Path

from quiltpath.errors import InputError
from quiltpath.jobs.folder import OutputFile, only_own_set, with_report, write_set
from quiltpath.project.editor_schema import editor_schema
from quiltpath.project.key_list import KeyFact, SectionFacts, all_sections

PAGE, SCHEMA = "keys.html", "project.schema.json"
WIDTH = 78


def keys_as_text(section: str | None) -> str:
    """The keys of one section, or of all; raises :class:`InputError` for one that is not there."""
    return "\n\n".join(_section_text(facts) for facts in _asked(section))


def write_keys(folder: Path) -> tuple[OutputFile, ...]:
    """The page and the schema, put into ``folder``; raises :class:`InputError`."""
    only_own_set(folder, "keys")
    schema = json.dumps(editor_schema(), indent=2, ensure_ascii=False) + "\n"
    files = (
        OutputFile(PAGE, keys_as_page().encode("utf-8"), "page"),
        OutputFile(SCHEMA, schema.encode("utf-8"), "schema"),
    )
    count = sum(len(facts.keys) for facts in all_sections())
    written = with_report(files, {"title": "Keys of a project file", "keys": count})
    write_set(written, folder)
    return written


def _asked(section: str | None) -> Sequence[SectionFacts]:
    everything = all_sections()
    if section is None:
        return everything
    word = section.strip("[] ").lower()
    found = [
        facts
        for facts in everything
        if word in (facts.name, facts.name.partition(".")[0], facts.name.partition(".")[2])
    ]
    if found:
        return found
    names = sorted({facts.name.partition(".")[0] for facts in everything if facts.name})
    close = difflib.get_close_matches(word, names, n=1)
    right = f"did you mean {close[0]}?" if close else f"use one of {', '.join(names)}"
    raise InputError("keys", "", f"there is no section {section!r}", right)


def _section_text(facts: SectionFacts) -> str:
    lines = [facts.heading, *_wrap(facts.about, "  ")]
    for fact in facts.keys:
        lines += ["", f"  {fact.key}", *_wrap(fact.meaning, "      ")]
        lines += [*_wrap(_takes(fact), "      "), f"      {fact.example}"]
    return "\n".join(lines)


def _wrap(text: str, indent: str) -> list[str]:
    """Lines of a terminal's width; what stands between quotation marks stays on one."""
    held = re.sub(r'"[^"]*"', lambda quoted: quoted[0].replace(" ", "\u00a0"), text)
    lines = textwrap.wrap(held, WIDTH, initial_indent=indent, subsequent_indent=indent)
    return [line.replace("\u00a0", " ") for line in lines]


def _takes(fact: KeyFact) -> str:
    unit = f", in {fact.unit}" if fact.unit else ""
    return f"Takes {fact.takes}{unit}. {_left_out(fact)}"


def _left_out(fact: KeyFact) -> str:
    if fact.must:
        return "It must be there."
    return f"Left out, it is {fact.default}." if fact.default else "It may be left out."


_PAGE = """<!doctype html>
<html lang="en">
<meta charset="utf-8">
<meta name="viewport" content="width=device-width, initial-scale=1">
<title>Keys of a project file</title>
<style>
:root {{ color-scheme: light dark; }}
body {{ font: 1rem/1.5 system-ui, sans-serif; max-width: 62rem; margin: 2rem auto;
  padding: 0 1rem; }}
h2 {{ margin: 2.5rem 0 .25rem; font-size: 1.2rem; }}
nav a {{ margin-right: .75rem; white-space: nowrap; display: inline-block; }}
.wide {{ overflow-x: auto; }}
table {{ border-collapse: collapse; width: 100%; }}
th, td {{ text-align: left; vertical-align: top; padding: .35rem .75rem .35rem 0;
  border-bottom: 1px solid; min-width: 7rem; }}
code {{ font-family: ui-monospace, monospace; overflow-wrap: anywhere; }}
@media print {{ h2 {{ break-after: avoid; }} tr {{ break-inside: avoid; }} }}
</style>
<main>
<h1>Keys of a project file</h1>
<p>Lengths are written with their unit between quotation marks; a bare number is in the unit that
<code>units</code> names.</p>
<nav aria-label="Sections">{links}</nav>
{sections}
</main>
</html>
"""


def keys_as_page() -> str:
    """All keys as one HTML page that needs nothing else."""
    everything = all_sections()
    links = "\n".join(
        f'<a href="#{_anchor(facts)}">{html.escape(facts.name or "top")}</a>'
        for facts in everything
    )
    return _PAGE.format(links=links, sections="\n".join(map(_section_html, everything)))


def _anchor(facts: SectionFacts) -> str:
    return f"section-{facts.name.replace('.', '-') or 'first'}"


def _section_html(facts: SectionFacts) -> str:
    rows = "\n".join(_row(fact) for fact in facts.keys)
    head = "".join(
        f'<th scope="col">{name}</th>'
        for name in ("key", "what it means", "takes", "left out", "example")
    )
    return (
        f'<section><h2 id="{_anchor(facts)}"><code>{html.escape(facts.heading)}</code></h2>'
        f"<p>{html.escape(facts.about)}</p>"
        f'<div class="wide"><table><thead><tr>{head}</tr></thead><tbody>{rows}</tbody></table>'
        "</div></section>"
    )


def _row(fact: KeyFact) -> str:
    unit = f", in {fact.unit}" if fact.unit else ""
    left_out = "must be there" if fact.must else fact.default or "may be left out"
    cells = (fact.meaning, f"{fact.takes}{unit}", left_out)
    middle = "".join(f"<td>{html.escape(cell)}</td>" for cell in cells)
    key, example = html.escape(fact.key), html.escape(fact.example)
    return (
        f'<tr><th scope="row"><code>{key}</code></th>{middle}<td><code>{example}</code></td></tr>'
    )
