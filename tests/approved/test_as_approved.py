"""What was looked at and found good stays as it is until somebody looks again.

These tests say nothing about what is right: the others do that. They say that nothing changed
unnoticed, anywhere between a project file and its report. `record.py` tells how to look again.
"""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
import shapely

from quiltpath.patterns import Lines
from quiltpath.project import parse
from quiltpath.result.computing import compute
from tests.approved.jobs import jobs
from tests.approved.record import (
    DRAWINGS,
    RECORDS,
    Record,
    _figures_of,
    approved,
    as_text,
    difference,
    from_text,
    record_of,
    restored,
)
from tests.once import once

JOBS = jobs()
SHARE, FIGURE = 2e-4, 0.06
"""Two libraries that measure alike agree to this share, or to so many mm, m, minutes."""


def alike(one: Any, other: Any) -> bool:
    """The same, but for the rounding of numbers."""
    if isinstance(one, list) and isinstance(other, list):
        return len(one) == len(other) and all(map(alike, one, other))
    if isinstance(one, float) and isinstance(other, float):
        return bool(one == pytest.approx(other, rel=SHARE, abs=FIGURE))
    return bool(one == other)


@once
def drawn(name: str) -> tuple[Record, Lines]:
    """What a job came to, and its lines."""
    result = compute(parse(JOBS[name], folder=DRAWINGS))
    return record_of(name, result), result.lines


@pytest.mark.parametrize("name", JOBS)
def test_nothing_changed_that_nobody_looked_at(name: str) -> None:
    before = approved(name)
    now = from_text(as_text(drawn(name)[0]))
    changed = {
        f"{place}: {figure}": (old.get(figure), new.get(figure))
        for place in before.keys() | now.keys()
        for old, new in [(before.get(place, {}), now.get(place, {}))]
        for figure in old.keys() | new.keys()
        if not alike(old.get(figure), new.get(figure))
    }
    assert not changed


def test_every_record_is_of_a_job() -> None:
    assert {path.stem for path in RECORDS.glob("*.txt")} == set(JOBS)


@pytest.mark.parametrize(
    ("one", "other"),
    [
        (1.0, 1.2),
        ([1.0, 2.0], [1.0, 2.1]),
        ([1.0], [1.0, 2.0]),
        ("3 in", "4 in"),
        (3, 4),
        (1.0, None),
    ],
)
def test_a_figure_that_differs_is_told_apart(one: Any, other: Any) -> None:
    assert not alike(one, other)
    assert alike(one, one)


def test_a_record_is_read_as_it_was_written_and_two_that_change_places_are_told_apart() -> None:
    runs = [{"at": [float(n), 2.0 * n], "name": "row"} for n in range(9)]
    record = {"a": {"one": 1, "two": [1.5, 2.5]}, "runs": _figures_of(runs)}
    assert from_text(as_text(record)) == record
    assert _figures_of(runs) == _figures_of(list(runs))
    assert _figures_of(runs) != _figures_of([runs[1], runs[0], *runs[2:]])


def test_a_record_is_got_back_from_what_it_has_otherwise() -> None:
    first = {"a": {"one": 1, "two": None}, "b": {"words": "as before"}, "c": {"gone": 1.5}}
    for record in (
        first,
        {"a": {"one": 2, "two": None}, "b": {"words": "as before"}, "c": {"gone": 1.5}},
        {"a": {"one": 1}, "b": {"words": "as before", "new": [1, 2]}},
        {"a": {"one": None, "two": 0}, "d": {"new": True}},
    ):
        changed = from_text(as_text({"like": {"job": "first"}, **difference(record, first)}))
        assert restored(changed, first) == record
    assert difference(first, first) == {}


@pytest.mark.parametrize("name", JOBS)
def test_no_line_stands_still(name: str) -> None:
    """Two points at one place have no direction: nothing can run on, turn or be marked there."""
    for line in drawn(name)[1].geometry:
        steps = np.hypot(*np.diff(shapely.get_coordinates(line), axis=0).T)
        assert steps.min() > 1e-6
