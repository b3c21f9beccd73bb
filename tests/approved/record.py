"""What a job came to when it was looked at: its lines, its runs and the figures of its report.

    python -m tests.approved.record            write every record anew
    python -m tests.approved.record fans       write those with this in their name

Write a record anew only after looking at what changed: the pictures, not the numbers alone.

Jobs whose names begin with one word are alike in most. The record of the first is written in full,
of another what it has otherwise, where that is shorter: ``like`` names the first, ``without`` what
only that one has.
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
from quiltpath.patterns import Lines
from quiltpath.project import parse
from quiltpath.result.computing import compute
from quiltpath.result.values import Result
from tests.approved.jobs import jobs

RECORDS, DRAWINGS = Path(__file__).parent / "records", Path(__file__).parent / "drawings"
LEFT_OUT = ("title", "quiltpath_version", "files", "distortion")
LONG = 4
"""Entries of a list that are kept one by one; of a longer one its figures are."""
WIDTH = 100
"""Characters of a line of a record."""

Figures = dict[str, Any]
"""Plain values, or short lists of them, by their names."""
Record = dict[str, Figures]
"""Figures under their place in the record."""


def came_to(name: str, text: str) -> Record:
    """Figures of all that a job draws, sews and says."""
    return record_of(name, compute(parse(text, folder=DRAWINGS)))


def record_of(name: str, result: Result) -> Record:
    """The same of its result; of the cloth only where it is about that."""
    report = json.loads(report_json(result, ()))
    for key in LEFT_OUT if name.startswith("cloth") else (*LEFT_OUT, "cutting"):
        report.pop(key, None)
    report["stitching"].pop("runs_note")  # words for figures that stand there
    told = {"lines": _lines(result.lines), "runs": _runs(result), **report}
    # Which of two gaps that are alike is named first is a matter of rounding.
    for gap in (told["gap"], *told["gap"]["places"], *told["gap"]["line_gaps"]):
        gap.pop("at_mm", None)
    found: Record = {}
    _gather("", told, found)
    return found


def _gather(place: str, content: dict[str, Any], found: Record) -> None:
    """Plain values of ``content`` together under its place; what holds more under its own."""
    plain: Figures = {}
    for key, entry in content.items():
        inner = f"{place}.{key}" if place else key
        if isinstance(entry, dict):
            _gather(inner, entry, found)
        elif isinstance(entry, list) and len(entry) > LONG:
            found[inner] = _figures_of(entry)
        elif isinstance(entry, list) and any(isinstance(each, dict | list) for each in entry):
            for number, each in enumerate(entry):
                named = each if isinstance(each, dict) else {"": each}
                _gather(f"{inner}[{number}]", named, found)
        else:
            plain[key] = entry
    if plain:
        found[place or "report"] = plain


def _figures_of(entries: list[Any]) -> Figures:
    """Of a long list: how many, and of each of its columns the sum, and the sum by order.

    The second sum weighs each entry by its place, so that two that change places are noticed.
    """
    columns: dict[str, list[float]] = {}
    words: dict[str, int] = {}
    for order, entry in enumerate(entries, start=1):
        for name, value in _plain("", entry):
            if isinstance(value, str):
                words[f"{name} {value}".strip()] = words.get(f"{name} {value}".strip(), 0) + 1
            elif value is not None:
                sums = columns.setdefault(name, [0.0, 0.0])
                sums[0] += value
                sums[1] += value * order / len(entries)
    found: Figures = {"entries": len(entries)}
    found |= {name or "sum": [_rounded(each) for each in sums] for name, sums in columns.items()}
    few = len(words) <= LONG
    return found | (
        words if few else {"words": len(words), "first": min(words), "last": max(words)}
    )


def _plain(name: str, value: Any) -> Iterator[tuple[str, Any]]:
    """Every plain value in an entry by its name."""
    if isinstance(value, dict | list):
        items = value.items() if isinstance(value, dict) else enumerate(value)
        for key, inner in items:
            yield from _plain(f"{name}.{key}" if name else str(key), inner)
    else:
        yield name, value


def as_text(record: Record) -> str:
    """One line for the figures of a place, or several where they are many: good to compare."""
    rows = []
    for place, figures in record.items():
        for part in _parts(figures, WIDTH - len(place) - 4):
            rows.append(f"{json.dumps(place)}: {json.dumps(part, ensure_ascii=False)}")
    return "\n".join(rows) + "\n"


def _parts(figures: Figures, room: int) -> Iterator[Figures]:
    part: Figures = {}
    for name, value in figures.items():
        longer = {**part, name: value}
        if part and len(json.dumps(longer, ensure_ascii=False)) > room:
            yield part
            longer = {name: value}
        part = longer
    yield part


def from_text(text: str) -> Record:
    """The record that :func:`as_text` wrote."""
    record: Record = {}
    for row in text.splitlines():
        ((place, figures),) = json.loads(f"{{{row}}}").items()
        record.setdefault(place, {}).update(figures)
    return record


def difference(record: Record, first: Record) -> Record:
    """What ``record`` has otherwise than ``first``, and under ``without`` what it has not."""
    changed = {
        place: {
            name: value for name, value in figures.items() if _differs(first, place, name, value)
        }
        for place, figures in record.items()
    }
    without = {
        place: missing
        for place, figures in first.items()
        if (missing := [name for name in figures if name not in record.get(place, {})])
    }
    changed["without"] = without
    return {place: figures for place, figures in changed.items() if figures}


def _differs(first: Record, place: str, name: str, value: Any) -> bool:
    return place not in first or name not in first[place] or first[place][name] != value


def restored(changed: Record, first: Record) -> Record:
    """The record whose :func:`difference` from ``first`` is ``changed``."""
    without = changed.get("without", {})
    record = {
        place: {
            name: value for name, value in figures.items() if name not in without.get(place, ())
        }
        for place, figures in first.items()
    }
    for place, figures in changed.items():
        if place not in ("like", "without"):
            record[place] = record.get(place, {}) | figures
    return {place: figures for place, figures in record.items() if figures}


def approved(name: str) -> Record:
    """The record of a job, as it was looked at last."""
    record = from_text((RECORDS / f"{name}.txt").read_text(encoding="utf-8"))
    if "like" not in record:
        return record
    return restored(record, approved(record["like"]["job"]))


def write(records: dict[str, Record], changed: set[str]) -> None:
    """Those that changed, each in full or as what it has otherwise than the first of its word."""
    firsts = first_of_each(list(records))
    for name, record in records.items():
        first = firsts[name]
        if name not in changed:
            continue
        ways = [as_text(record)]
        if first != name:
            ways.append(as_text({"like": {"job": first}, **difference(record, records[first])}))
        text = min(ways, key=lambda way: way.count("\n"))
        (RECORDS / f"{name}.txt").write_text(text, encoding="utf-8")


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


def first_of_each(names: list[str]) -> dict[str, str]:
    """Of each name the first that begins with the same word."""
    firsts: dict[str, str] = {}
    return {name: firsts.setdefault(name.partition("-")[0], name) for name in names}


def main() -> None:
    """Write the records whose name is asked for, and those that are told by one of them."""
    word = sys.argv[1] if len(sys.argv) > 1 else ""
    texts = jobs()
    firsts = first_of_each(list(texts))
    asked = {name for name in texts if word in name}
    changed = asked | {name for name in texts if firsts[name] in asked}
    needed = changed | {firsts[name] for name in asked}
    write(
        {
            name: from_text(as_text(came_to(name, text))) if name in asked else approved(name)
            for name, text in texts.items()
            if name in needed
        },
        changed,
    )


if __name__ == "__main__":
    main()
