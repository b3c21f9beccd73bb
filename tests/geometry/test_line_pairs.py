"""Which pairs of lines meet, whichever of the two is the long one."""

from __future__ import annotations

import numpy as np
import pytest
import shapely

from quiltpath.geometry.line_pairs import which_meet

rng = np.random.default_rng(8)
LINES = np.array(
    [
        shapely.linestrings(np.cumsum(rng.uniform(-9, 9, (count, 2)), axis=0))
        for count in (2, 3, 40, 300, 2, 5, 90, 12)
    ],
    dtype=object,
)
ONE, OTHER = (index.ravel() for index in np.indices((len(LINES), len(LINES))))


@pytest.mark.parametrize("within", [0.0, 0.5, 20.0])
def test_pairs_that_meet_are_those_that_lie_no_farther_apart(within: float) -> None:
    away = shapely.distance(LINES[ONE], LINES[OTHER])
    meet = which_meet(LINES[ONE], LINES[OTHER], within)
    assert meet.tolist() == (away <= within).tolist()
    assert 0 < meet.sum() < len(meet)
