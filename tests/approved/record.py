"""What a job came to when it was looked at: its lines, its runs and the figures of its report.

    python -m tests.approved.record            write every record anew
    python -m tests.approved.record fans       write those with this in their name

Write a record anew only after looking at what changed: the pictures, not the numbers alone.
"""

from __future__ import annotations

import json
import sys
from collections.abc import Iterator
from itertools import pairwise
from pathlib import Path
from typing import Any

import numpy as np
import shapely

from quiltpath.documents.report import report_json
from quiltpath.jobs.machine_set import machine_work
from quiltpath.patterns import Lines
from quiltpath.progress import no_progress
from quiltpath.project import parse
from quiltpath.result.computing import compute
from quiltpath.result.values import Result
from tests.approved.jobs import jobs

RECORDS, DRAWINGS = Path(__file__).parent / "records", Path(__file__).parent / "drawings"
LEFT_OUT = ("title", "quiltpath_version", "files")

Record = dict[str, Any]
"""Each figure under its place in the record: a number, a text, a truth, or a list of them."""


def came_to(name: str, text: str) -> Record:
    """Figures of all that a job draws, sews and says; of the cloth only where it is about that."""
    result = compute(parse(text, folder=DRAWINGS))
    report = json.loads(report_json(result, (), machine_work(result, no_progress).told))
    for key in LEFT_OUT if name.startswith("cloth") else (*LEFT_OUT, "cutting"):
        report.pop(key, None)
    told = {"lines": _lines(result.lines), "runs": _runs(result), **report}
    # Which of two gaps that are alike is named first is a matter of rounding.
    return {at: figure for at, figure in _flat("", told) if not _place_of_gap(at)}


def _place_of_gap(at: str) -> bool:
    return at.startswith("gap.") and at.endswith("at_mm")


def _flat(place: str, content: Any) -> Iterator[tuple[str, Any]]:
    """``("lines[0].mm", 1240.5)`` and so on; a list of plain values stays together."""
    if isinstance(content, dict):
        for key, entry in content.items():
            yield from _flat(f"{place}.{key}" if place else key, entry)
    elif isinstance(content, list) and any(isinstance(each, dict | list) for each in content):
        for number, entry in enumerate(content):
            yield from _flat(f"{place}[{number}]", entry)
    else:
        yield place, content


def _lines(lines: Lines) -> list[dict[str, Any]]:
    """Of each layer: how many, how long, from where to where, and how they lie about the middle."""
    found = []
    for number, name in enumerate(lines.layers):
        geometry = lines.geometry[lines.layer == number]
        points = shapely.get_coordinates(shapely.segmentize(geometry, 5.0))
        away = points - points.mean(axis=0) if len(points) else points
        found.append(
            {
                "layer": name,
                "lines": len(geometry),
                "mm": _rounded(shapely.length(geometry).sum()),
                "bounds": [_rounded(each) for each in shapely.total_bounds(geometry)],
                "middle": [_rounded(each) for each in points.mean(axis=0)] if len(points) else [],
                "lean": _rounded(np.sqrt(abs((away[:, 0] * away[:, 1]).mean())))
                if len(away)
                else 0,
                "spread": _rounded(np.sqrt((away**2).sum(axis=1).mean())) if len(away) else 0,
            }
        )
    return found


def _runs(result: Result) -> list[list[float]]:
    """Of each run: where it begins, where it ends and how long it is."""
    found = []
    bounds = result.runs.piece_start[result.runs.run_start]
    for first, last in pairwise(bounds.tolist()):
        points = result.runs.coordinates[first:last]
        mm = np.hypot(*np.diff(points, axis=0).T).sum()
        found.append([_rounded(each) for each in (*points[0], *points[-1], mm)])
    return found


def _rounded(number: float) -> float:
    return round(float(number), 2) + 0.0


def main() -> None:
    """Write the records whose name is asked for."""
    asked = sys.argv[1] if len(sys.argv) > 1 else ""
    for name, text in jobs().items():
        if asked in name:
            content = json.dumps(came_to(name, text), indent=0, ensure_ascii=False)
            (RECORDS / f"{name}.json").write_text(content + "\n", encoding="utf-8")


if __name__ == "__main__":
    main()
