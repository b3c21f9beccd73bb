"""What each pattern of the repertoire promises the person who chooses it, in one list."""

from __future__ import annotations

import numpy as np
import pytest

from tests.patterns.paths import fewest_runs
from tests.patterns.runners import FIGURES, drawn, plain

ONE_PATH = {
    "switchback", "meander", "clamshells", "orange-peel", "overlapping-circles",
    "interlocking-squares", "basket-weave", "spiral", "square-spiral", "one-line-crosshatch",
    "cable", "leaf-vine",
}  # fmt: skip
"""Sewn in one run where the region is a rectangle."""

HIDDEN_STEPS = {"fans", "bamboo"}
"""The needle steps from line to line along one that is sewn already."""

SIDE_BY_SIDE = {"spiral", "square-spiral", "concentric", "radiating"}
"""Medallions: a long region gets several."""


def test_what_was_promised_once_is_kept() -> None:
    """Each promise is tried over whatever there is; these are not to be taken back."""
    assert {word for word, kind in FIGURES.items() if kind.one_path} >= ONE_PATH
    assert {word for word, kind in FIGURES.items() if kind.hides_thread} >= HIDDEN_STEPS
    assert {word for word, kind in FIGURES.items() if kind.cells} >= SIDE_BY_SIDE


@pytest.mark.parametrize("name", [word for word, kind in FIGURES.items() if not kind.one_path])
def test_what_is_not_promised_as_one_path_takes_several_runs(name: str) -> None:
    lines = drawn(plain(600, 400), name, region="runner")
    assert fewest_runs(lines.geometry) > 1


@pytest.mark.parametrize("name", sorted(SIDE_BY_SIDE))
def test_a_long_region_gets_medallions_side_by_side(name: str) -> None:
    """A runner four times as long as wide: four alike, each as it is on a square by itself."""
    keys, apart = ({}, 0.0) if name == "radiating" else ({"spacing": 16}, 16.0)
    inset = 6.0
    four = drawn(plain(800 + 3 * apart + 2 * inset, 212), name, inset=inset, **keys)
    starts = [inset + number * (200 + apart) for number in range(4)]
    for start in starts:
        inside = [
            np.asarray(line.coords) - (start, 0)
            for line in four.geometry
            if start - 1 <= line.bounds[0] and line.bounds[2] <= start + 201
        ]
        one = drawn(plain(212, 212), name, inset=inset, **keys)
        assert len(inside) == len(one)
