"""What the page's script is handed: shapes as numbers, stitches as packed steps."""

from __future__ import annotations

from base64 import b64encode
from typing import Any

import numpy as np
import shapely
from numpy.typing import NDArray

from quiltpath.estimate.bobbin_changes import bobbin_changes
from quiltpath.output.cloth import rings_of
from quiltpath.output.drawing import LAYER_COLOURS, LAYER_DASHES
from quiltpath.result import Result

FINEST_UNIT_MM = 0.05
LARGEST_STEP = 32_000
"""Steps are packed as 16-bit integers."""

Numbers = NDArray[Any]


def payload(result: Result) -> dict[str, Any]:
    """Everything the page draws; lengths in mm, y upwards, rounded to 0.01 mm."""
    return {
        "bounds": [round(v, 2) for v in result.runner.outline.bounds],
        "margin": round(result.runner.margin_mm, 2),
        "outline": [_flat(ring) for ring in rings_of(result.runner.outline)],
        "blocks": [_flat(ring) for b in result.runner.blocks for ring in rings_of(b.shape)],
        "printed": [_flat(shapely.get_coordinates(line)) for line in result.runner.printed],
        "seams": [_flat(shapely.get_coordinates(seam.line)) for seam in result.runner.seams],
        "motifs": [[_flat(r) for r in rings_of(m.shape)] for m in result.runner.motifs],
        "layers": _layers(result),
        "gaps": _gaps(result),
        "stitches": _stitches(result),
        "time": _time(result),
    }


def _flat(points: Numbers) -> list[float]:
    rounded: list[float] = np.round(points, 2).ravel().tolist()
    return rounded


def _layers(result: Result) -> list[dict[str, Any]]:
    colours, dashes = LAYER_COLOURS, LAYER_DASHES
    return [
        {
            "name": name,
            "colour": colours[number % len(colours)],
            "dash": dashes[number % len(dashes)],
        }
        for number, name in enumerate(result.lines.layers)
    ]


def _gaps(result: Result) -> list[list[float]]:
    return [[*_flat(np.array(g.centre)), round(g.diameter_mm, 1)] for g in result.gaps.widest]


def _stitches(result: Result) -> dict[str, Any]:
    """Steps of whole units from point to point, so that nothing drifts, with kind and layer."""
    stitches = result.stitches
    unit = _unit(stitches.points)
    whole = np.round(stitches.points / unit).astype(np.int64)
    steps = np.diff(whole, axis=0, prepend=whole[:1] * 0)
    first = whole[0].tolist() if len(whole) else [0, 0]
    steps[:1] = 0
    layer = np.append(result.lines.layer, 255)[stitches.line]
    return {
        "unit": unit,
        "first": first,
        "steps": _packed(steps.astype("<i2")),
        "kind": _packed(stitches.kind.astype(np.uint8)),
        "layer": _packed(layer.astype(np.uint8)),
        "changes": bobbin_changes(stitches, result.thread.setting).tolist(),
    }


def _unit(points: Numbers) -> float:
    """Fine enough for stitches, coarse enough that the longest travel is one step."""
    longest = float(np.abs(np.diff(points, axis=0)).max(initial=0.0))
    return max(FINEST_UNIT_MM, float(np.ceil(longest / LARGEST_STEP * 100) / 100))


def _packed(values: Numbers) -> str:
    return b64encode(np.ascontiguousarray(values).tobytes()).decode("ascii")


def _time(result: Result) -> dict[str, float]:
    time = result.project.time
    return {
        "perMinute": time.stitches_per_minute,
        "runMinutes": (time.start + time.stop) / 60,
        "changeMinutes": time.bobbin_change / 60,
        "total": round(result.time.sewing_min, 2),
    }
