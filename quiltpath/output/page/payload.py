"""What the page's script is handed: shapes as numbers, stitches as packed steps."""

from __future__ import annotations

from base64 import b64encode
from typing import Any

import numpy as np
import shapely
from numpy.typing import NDArray

from quiltpath.checks import Gaps
from quiltpath.estimate import SewingTime
from quiltpath.estimate.bobbin_changes import bobbin_changes
from quiltpath.output.cloth import rings_of
from quiltpath.output.drawing import LAYER_COLOURS, LAYER_DASHES
from quiltpath.project import Project
from quiltpath.quilting import Lines
from quiltpath.result import Result
from quiltpath.runner import Runner
from quiltpath.stitching import Stitches
from quiltpath.stitching.stitches import PointKind

FINEST_UNIT_MM = 0.05
LARGEST_STEP = 32_000
"""Steps are packed as 16-bit integers."""

MARGIN_LAYER = 255
"""Stands for the margin, which is no layer."""

Numbers = NDArray[Any]


def payload(result: Result) -> dict[str, Any]:
    """Everything the page draws; lengths in mm, y upwards, rounded to 0.01 mm."""
    changes = bobbin_changes(result.stitches, result.thread.setting).tolist()
    return {
        **cloth(result.runner),
        "layers": layers(result.lines),
        "gaps": gap_circles(result.gaps),
        "stitches": sewn_points(result.stitches, result.lines, changes),
        "time": timing(result.project, result.time),
    }


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
            "name": name,
            "colour": colours[number % len(colours)],
            "dash": dashes[number % len(dashes)],
        }
        for number, name in enumerate(lines.layers)
    ]


def gap_circles(gaps: Gaps) -> list[list[float]]:
    """Centre and diameter of each of the widest gaps."""
    return [[*_flat(np.array(g.centre)), round(g.diameter_mm, 1)] for g in gaps.widest]


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
        "steps": _packed(steps.astype("<i2")),
        "kind": _packed(kind.astype(np.uint8)),
        "layer": _packed(layer.astype(np.uint8)),
    }


def _unit(points: Numbers) -> float:
    """Fine enough for stitches, coarse enough that the longest travel is one step."""
    longest = float(np.abs(np.diff(points, axis=0)).max(initial=0.0))
    return max(FINEST_UNIT_MM, float(np.ceil(longest / LARGEST_STEP * 100) / 100))


def _packed(values: Numbers) -> str:
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
