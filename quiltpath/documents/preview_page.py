"""preview.html: one self-contained page with the runner, its thread and its sewing order.

Template, style and script are put together with the figures that stand beside the picture, and
with what the script draws: shapes as numbers, stitches as packed steps. The live page shows the
same page with controls, and asks for its parts one by one.
"""

from __future__ import annotations

import html
import json
import re
from base64 import b64encode
from functools import cache
from importlib.resources import files
from typing import Any

import numpy as np
import shapely
from numpy.typing import NDArray

from quiltpath.checks import Gaps
from quiltpath.documents.lying import lying_figure
from quiltpath.documents.preview import cloth_of
from quiltpath.documents.printed_cloth import cloth_photos, pictures_for_a_page
from quiltpath.drawing.bitmaps import data_url
from quiltpath.drawing.page_model import LAYER_COLOURS, LAYER_DASHES
from quiltpath.drawing.relief_light import shape_picture
from quiltpath.drawing.relief_view import Light, LitView, Surface
from quiltpath.drawing.script_modules import joined
from quiltpath.geometry.runner_shapes import Runner
from quiltpath.patterns import Lines
from quiltpath.project import Project
from quiltpath.result.values import Result
from quiltpath.routing import Runs
from quiltpath.runner.layer_names import layer_words
from quiltpath.runner.runner_picture import rings_of
from quiltpath.runner.states import States
from quiltpath.stitching import PointKind, Stitches
from quiltpath.stitching.thread_and_time import SewingTime, ThreadUse
from quiltpath.units import Measures, both_units, say_in_units

Row = tuple[str, str]

ASKS_NOTHING = (
    "default-src 'none'; script-src 'unsafe-inline'; style-src 'unsafe-inline'; img-src data:"
)
"""The page's own rule to the browser: no request may leave it."""

FINEST_UNIT_MM = 0.05
LARGEST_STEP = 32_000
"""Steps are packed as 16-bit integers."""

PICTURE = "documents/cloth_view/picture.js"
"""Module that draws the runner and takes what a hand does to the picture."""

MARGIN_LAYER = 255
"""Stands for the margin, which is no layer."""

SHAPE_QUALITY = 88
"""of the JPEG that holds slopes: finer would not be seen"""

Numbers = NDArray[Any]
Relief = dict[str, Any]
"""What the page needs to light the cloth; see :func:`relief_map`."""


def preview_page(result: Result, relief: Relief | None = None) -> bytes:
    """preview.html: works offline, asks nothing of any network, holds no text unescaped.

    ``relief`` is the cloth's shape for the page to light; without it the page is plain.
    """
    return page_with(result, relief=relief)


def page_with(
    result: Result,
    design: str = "",
    scripts: str | None = None,
    policy: str = ASKS_NOTHING,
    relief: Relief | None = None,
) -> bytes:
    """The page with further controls (``design``), and with elements that fetch its scripts in
    place of the script itself, both ready markup."""
    listed = "\n".join(
        f"<div><dt>{html.escape(name)}</dt><dd>{html.escape(text)}</dd></div>"
        for name, text in (*figures(result), *(relief_figures(result) if relief else ()))
    )
    boxes = "\n".join(
        _layer(number, layer["name"])
        for number, layer in enumerate(layers(result.lines))
        if layer["name"]
    )
    warnings = "\n".join(
        f"<li{_at(place)}>{html.escape(finding.text)}</li>"
        for finding, place in zip(result.for_a_person, places(result), strict=True)
    )
    cloth = cloth_of(result.project)
    parts = {
        "policy": policy,
        "title": html.escape(result.project.title),
        "style": page_style(),
        "design": design,
        "figures": listed,
        "layers": boxes,
        "ground": cloth.ground,
        "block": cloth.block,
        "motif": cloth.motif,
        "thread": cloth.thread,
        "warnings": warnings or "<li>none</li>",
        **{f"lying-{name}": html.escape(text) for name, text in lying_figure(result).items()},
        "light": f"{result.project.look.light:g}",
        "data": json_within({**payload(result), "relief": relief}),
        "scripts": scripts if scripts is not None else _within(joined(PICTURE)),
    }
    # One pass over the template: what is put in is never looked at again for marks.
    page = re.sub(r"{{([\w-]+)}}", lambda mark: parts[mark[1]], _part("preview_page.html"))
    return page.encode("utf-8")


def relief_map(cloth: Surface, view: LitView, light: Light) -> Relief:
    """The shape of a cloth without its thread, where it lies in mm, and how low the light is."""
    return {
        "shape": data_url(shape_picture(cloth), SHAPE_QUALITY, exact_hues=True),
        "box": [round(v, 3) for v in (view.low_x, view.low_y, view.high_x, view.high_y)],
        "above": light.above_deg,
        "sky": light.sky,
    }


def _within(script: str) -> str:
    return f'<script type="module">\n{script}</script>'


def page_style() -> str:
    """Colours and shapes that all pages share."""
    return _part("preview_page.css")


@cache
def _part(name: str) -> str:
    return files("quiltpath.documents").joinpath(name).read_text(encoding="utf-8")


def json_within(content: object) -> str:
    """JSON that may stand in a script element: no tag can begin in it."""
    text = json.dumps(content, ensure_ascii=True, separators=(",", ":"))
    return text.replace("<", "\\u003c").replace(">", "\\u003e").replace("&", "\\u0026")


def _layer(number: int, name: str) -> str:
    return (
        f'<label><input type="checkbox" data-layer="{number}" data-name="{html.escape(name)}"'
        " checked>"
        f'<span class="swatch" data-swatch="{number}" aria-hidden="true"></span>'
        f"{number + 1}. {html.escape(name)}</label>"
    )


def figures(result: Result) -> list[Row]:
    """Names and figures that stand beside the picture."""
    told = [
        *drawn_figures(result.states, result.lines),
        *_as_sewn(result),
        *gap_figures(result.gaps, result.gap_limit_mm, result.holds),
    ]
    units = result.project.handout_units
    return [(name, say_in_units(figure, units)) for name, figure in told]


def drawn_figures(states: States, lines: Lines) -> list[Row]:
    """What is known before anything is sewn."""
    flat, used = states.flat, states.in_use
    return [
        ("Length", both_units(used.length_mm)),
        ("Width", both_units(used.width_mm)),
        ("Drawn flat", f"{both_units(flat.length_mm)} by {both_units(flat.width_mm)}"),
        ("Lines", str(len(lines))),
    ]


def sewn_figures(runs: Runs, stitches: Stitches, thread: ThreadUse, time: SewingTime) -> list[Row]:
    """What sewing takes in one piece."""
    return [
        ("Starts", str(len(runs))),
        ("Stitches", f"{stitches.stitch_count:,}"),
        ("Sewn", f"{stitches.stitched_mm / 1000:.1f} m"),
        ("Needle thread", f"{thread.needle_m:.0f} m"),
        ("Bobbin thread", f"{thread.bobbin_m:.0f} m, {_bobbins(thread.bobbins)}"),
        ("Time", f"{time.sewing_min:.0f} min"),
    ]


def _as_sewn(result: Result) -> list[Row]:
    """What sewing takes, by a machine's parts where it names one that can sew it."""
    whole = sewn_figures(result.runs, result.stitches, result.thread, result.time)
    return list({**dict(whole), **dict(machine_figures(result))}.items())


def machine_figures(result: Result) -> list[Row]:
    """What the machine's parts take together, in the place of what the whole would in one piece,
    and how many there are; nothing without a machine that can sew it."""
    machine, sewn = result.sewable_parts, result.as_sewn
    if machine is None:
        return []
    divided = machine.division_words[0].rstrip(".")
    return [
        ("Starts", f"{len(result.runs)}{result.starts_in_parts}"),
        ("Stitches", f"{sewn.stitches:,}"),
        ("Time", f"{sewn.minutes:.0f} min"),
        ("Machine", say_in_units(divided, result.project.handout_units)),
    ]


def _bobbins(count: int) -> str:
    return f"{count} bobbin{'s' * (count != 1)}"


def gap_figures(gaps: Gaps, limit_mm: float | None, holds: bool | None) -> list[Row]:
    """The widest gap, against the wadding's limit where that is known."""
    text = both_units(gaps.widest_mm)
    if limit_mm is not None:
        verdict = "holds" if holds else "too wide"
        text = f"{text}, {verdict}; limit {both_units(limit_mm)}"
    return [("Widest gap", text)]


def relief_figures(result: Result) -> list[Row]:
    """How high it puffs and how it handles."""
    puff, stiffness = result.relief.puff, result.relief.stiffness
    return [
        ("Puff", f"{puff.middle_mm:.1f} mm high, mostly {puff.low_mm:.1f} to {puff.high_mm:.1f}"),
        ("Handles", stiffness.words),
    ]


def payload(result: Result) -> dict[str, Any]:
    """Everything the page draws; lengths in mm, y upwards, rounded to 0.01 mm."""
    changes = result.sewing.bobbin_changes.tolist()
    return {
        **cloth(result.runner),
        "layers": layers(result.lines),
        "photos": photos(result),
        "gaps": gap_circles(result.gaps, Measures(result.project.handout_units)),
        "stitches": sewn_points(result.stitches, result.lines, changes),
        "time": timing(result.project, result.sewing_time),
    }


def photos(result: Result) -> list[dict[str, Any]]:
    """The printed panels' own pictures, where the project names them."""
    return pictures_for_a_page(cloth_photos(result))


def cloth(runner: Runner) -> dict[str, Any]:
    """The runner without its quilting."""
    return {
        "bounds": [round(v, 2) for v in runner.outline.bounds],
        "margin": round(runner.margin_mm, 2),
        "outline": [_flat(ring) for ring in rings_of(runner.outline)],
        "blocks": [_flat(ring) for b in runner.blocks for ring in rings_of(b.shape)],
        "printed": [_flat(shapely.get_coordinates(line)) for line in runner.printed],
        "seams": [_flat(shapely.get_coordinates(seam.line)) for seam in runner.seams],
        "motifs": [[_flat(r) for r in rings_of(m.shape)] for m in runner.motifs],
    }


def _flat(points: Numbers) -> list[float]:
    rounded: list[float] = np.round(points, 2).ravel().tolist()
    return rounded


def layers(lines: Lines) -> list[dict[str, Any]]:
    """Name, colour and dashes of each layer."""
    colours, dashes = LAYER_COLOURS, LAYER_DASHES
    return [
        {
            "name": layer_words(name) if name else name,
            "colour": colours[number % len(colours)],
            "dash": dashes[number % len(dashes)],
        }
        for number, name in enumerate(lines.layers)
    ]


def places(result: Result) -> list[list[float] | None]:
    """Where each thing to think about is on the runner, where it has one place."""
    return [
        None if finding.at_mm is None else _flat(np.array(finding.at_mm))
        for finding in result.for_a_person
    ]


def _at(place: list[float] | None) -> str:
    return f' data-at="{",".join(map(str, place))}"' if place else ""


def gap_circles(gaps: Gaps, words: Measures) -> list[tuple[float, float, float, str]]:
    """Centre and diameter of each of the widest gaps in mm, and the diameter in words."""
    return [
        (round(x, 2), round(y, 2), round(gap.diameter_mm, 1), words.short(gap.diameter_mm))
        for gap in gaps.widest
        for x, y in [gap.centre]
    ]


def sewn_points(stitches: Stitches, lines: Lines, changes: list[int]) -> dict[str, Any]:
    """Needle points with kind and layer, and the points at which the bobbin is changed."""
    layer = np.append(lines.layer, MARGIN_LAYER)[stitches.line]
    return {**_steps(stitches.points, stitches.kind, layer), "changes": changes}


def drawn_points(lines: Lines) -> dict[str, Any]:
    """The lines before they are sewn, in the same form: each a run of its own, as drawn."""
    points, line = shapely.get_coordinates(lines.geometry, return_index=True)
    first = np.diff(line, prepend=-1) > 0
    # The needle comes to a line's start, and goes down there, before the first stitch.
    twice = np.where(first, 2, 1)
    kind = np.full(int(twice.sum()), PointKind.STITCH, dtype=np.int8)
    kind[(np.cumsum(twice) - twice)[first]] = PointKind.TRAVEL
    steps = _steps(np.repeat(points, twice, axis=0), kind, np.repeat(lines.layer[line], twice))
    return {**steps, "changes": []}


def _steps(points: Numbers, kind: Numbers, layer: Numbers) -> dict[str, Any]:
    """Steps of whole units from point to point, so that nothing drifts."""
    unit = _unit(points)
    whole = np.round(points / unit).astype(np.int64)
    steps = np.diff(whole, axis=0, prepend=whole[:1] * 0)
    steps[:1] = 0
    return {
        "unit": unit,
        "first": whole[0].tolist() if len(whole) else [0, 0],
        "steps": _pack(steps.astype("<i2")),
        "kind": _pack(kind.astype(np.uint8)),
        "layer": _pack(layer.astype(np.uint8)),
    }


def _unit(points: Numbers) -> float:
    """Fine enough for stitches, coarse enough that the longest travel is one step."""
    longest = float(np.abs(np.diff(points, axis=0)).max(initial=0.0))
    return max(FINEST_UNIT_MM, float(np.ceil(longest / LARGEST_STEP * 100) / 100))


def _pack(values: Numbers) -> str:
    return b64encode(np.ascontiguousarray(values).tobytes()).decode("ascii")


def timing(project: Project, sewing: SewingTime) -> dict[str, float]:
    """Minutes, in all and for each thing that takes them."""
    time = project.time
    return {
        "perMinute": time.stitches_per_minute,
        "runMinutes": (time.start + time.stop) / 60,
        "changeMinutes": time.bobbin_change / 60,
        "total": round(sewing.sewing_min, 2),
    }
