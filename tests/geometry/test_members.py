"""Members of groups: what asking each group by itself gives, once for all of them."""

from __future__ import annotations

import numpy as np
import pytest

from quiltpath.geometry.arrays import members


@pytest.mark.parametrize("count", [0, 1, 2, 7, 40])
def test_each_group_gets_its_own_in_their_order(count: int) -> None:
    group = np.random.default_rng(count).integers(0, max(count, 1), 25 if count else 0)
    found = members(group, count)
    assert len(found) == count
    for number, mine in enumerate(found):
        assert mine.tolist() == np.flatnonzero(group == number).tolist()
