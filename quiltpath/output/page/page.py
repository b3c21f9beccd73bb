"""The page itself: template, style and script put together with the result's figures."""

from __future__ import annotations

import html
import json
import re
from functools import cache
from importlib.resources import files

from quiltpath.output.page.payload import payload
from quiltpath.result import Result
from quiltpath.units import both_units, millimetres

Row = tuple[str, str]


def preview_page(result: Result) -> bytes:
    """preview.html: works offline, asks nothing of any network, holds no text unescaped."""
    title = html.escape(result.project.title)
    figures = "\n".join(
        f"<div><dt>{html.escape(name)}</dt><dd>{html.escape(text)}</dd></div>"
        for name, text in _figures(result)
    )
    layers = "\n".join(_layer(number, name) for number, name in enumerate(result.lines.layers))
    warnings = "\n".join(f"<li>{html.escape(finding.text)}</li>" for finding in result.findings)
    parts = {
        "title": title,
        "style": _part("page.css"),
        "figures": figures,
        "layers": layers,
        "warnings": warnings or "<li>none</li>",
        "data": _json(payload(result)),
        "script": _part("page.js"),
    }
    # One pass over the template: what is put in is never looked at again for marks.
    page = re.sub(r"{{(\w+)}}", lambda mark: parts[mark[1]], _part("page.html"))
    return page.encode("utf-8")


@cache
def _part(name: str) -> str:
    return files("quiltpath.output.page").joinpath(name).read_text(encoding="utf-8")


def _json(content: object) -> str:
    """JSON that may stand in a script element: no tag can begin in it."""
    text = json.dumps(content, ensure_ascii=True, separators=(",", ":"))
    return text.replace("<", "\\u003c").replace(">", "\\u003e").replace("&", "\\u0026")


def _layer(number: int, name: str) -> str:
    return (
        f'<label><input type="checkbox" data-layer="{number}" checked>'
        f'<span class="swatch" data-swatch="{number}" aria-hidden="true"></span>'
        f"{number + 1}. {html.escape(name)}</label>"
    )


def _figures(result: Result) -> list[Row]:
    stitches, thread = result.stitches, result.thread
    return [
        ("Length", both_units(result.runner.length_mm)),
        ("Width", both_units(result.runner.width_mm)),
        ("Lines", str(len(result.lines))),
        ("Runs", f"{len(result.runs)} (theory: {result.runs.runs_lower_bound})"),
        ("Stitches", f"{stitches.stitch_count:,}"),
        ("Sewn", f"{stitches.stitched_mm / 1000:.1f} m"),
        ("Needle thread", f"{thread.needle_m:.0f} m"),
        ("Bobbin thread", f"{thread.bobbin_m:.0f} m, {thread.bobbins} bobbins"),
        ("Time", f"{result.time.sewing_min:.0f} min"),
        ("Widest gap", _gap(result)),
    ]


def _gap(result: Result) -> str:
    text = millimetres(result.gaps.widest_mm)
    if result.gap_limit_mm is None:
        return text
    verdict = "holds" if result.gaps.widest_mm <= result.gap_limit_mm else "too wide"
    return f"{text}, {verdict} (limit {millimetres(result.gap_limit_mm)})"
