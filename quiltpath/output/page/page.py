"""The page itself: template, style and script put together with the result's figures."""

from __future__ import annotations

import html
import json
import re
from functools import cache
from importlib.resources import files

from quiltpath.checks import Gaps, too_wide
from quiltpath.estimate import SewingTime, ThreadUse
from quiltpath.output.far_view import cloth_of
from quiltpath.output.page.payload import payload
from quiltpath.quilting import Lines
from quiltpath.result import Result
from quiltpath.routing import Runs
from quiltpath.runner import Runner
from quiltpath.stitching import Stitches
from quiltpath.units import both_units, millimetres

Row = tuple[str, str]


ASKS_NOTHING = (
    "default-src 'none'; script-src 'unsafe-inline'; style-src 'unsafe-inline'; img-src data:"
)
"""The page's own rule to the browser: no request may leave it."""


def preview_page(result: Result) -> bytes:
    """preview.html: works offline, asks nothing of any network, holds no text unescaped."""
    return page_with(result)


def page_with(
    result: Result, design: str = "", more: str = "", policy: str = ASKS_NOTHING
) -> bytes:
    """The page with further controls (``design``) and scripts (``more``), both ready markup."""
    listed = "\n".join(
        f"<div><dt>{html.escape(name)}</dt><dd>{html.escape(text)}</dd></div>"
        for name, text in figures(result)
    )
    layers = "\n".join(_layer(number, name) for number, name in enumerate(result.lines.layers))
    warnings = "\n".join(f"<li>{html.escape(finding.text)}</li>" for finding in result.findings)
    cloth = cloth_of(result)
    parts = {
        "policy": policy,
        "title": html.escape(result.project.title),
        "style": _part("page.css"),
        "design": design,
        "figures": listed,
        "layers": layers,
        "ground": cloth.ground,
        "block": cloth.block,
        "motif": cloth.motif,
        "thread": cloth.thread,
        "warnings": warnings or "<li>none</li>",
        "data": _json(payload(result)),
        "script": _part("page.js"),
        "more": more,
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


def figures(result: Result) -> list[Row]:
    """Names and figures that stand beside the picture."""
    return [
        *drawn_figures(result.runner, result.lines),
        *sewn_figures(result.runs, result.stitches, result.thread, result.time),
        *gap_figures(result.gaps, result.gap_limit_mm),
    ]


def drawn_figures(runner: Runner, lines: Lines) -> list[Row]:
    """What is known before anything is sewn."""
    return [
        ("Length", both_units(runner.length_mm)),
        ("Width", both_units(runner.width_mm)),
        ("Lines", str(len(lines))),
    ]


def sewn_figures(runs: Runs, stitches: Stitches, thread: ThreadUse, time: SewingTime) -> list[Row]:
    """What sewing takes."""
    return [
        ("Runs", f"{len(runs)} (theory: {runs.runs_lower_bound})"),
        ("Stitches", f"{stitches.stitch_count:,}"),
        ("Sewn", f"{stitches.stitched_mm / 1000:.1f} m"),
        ("Needle thread", f"{thread.needle_m:.0f} m"),
        ("Bobbin thread", f"{thread.bobbin_m:.0f} m, {_bobbins(thread.bobbins)}"),
        ("Time", f"{time.sewing_min:.0f} min"),
    ]


def _bobbins(count: int) -> str:
    return f"{count} bobbin{'s' * (count != 1)}"


def gap_figures(gaps: Gaps, limit_mm: float | None) -> list[Row]:
    """The widest gap, against the wadding's limit where that is known."""
    text = millimetres(gaps.widest_mm)
    if limit_mm is not None:
        verdict = "too wide" if too_wide(gaps, limit_mm) else "holds"
        text = f"{text}, {verdict} (limit {millimetres(limit_mm)})"
    return [("Widest gap", text)]
