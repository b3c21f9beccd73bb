"""The holes of a design, with what happens between them."""

from __future__ import annotations

import numpy as np

from quiltpath.stitching import place
from quiltpath.stitching.needle_path import needle_path
from tests.stitching.sewing import QUILTING, runs_of


def test_the_needle_is_moved_to_the_first_hole_of_each_run_and_sews_to_all_others() -> None:
    """Three level lines of 60, 30 and 45 mm, each begun at the left, 10 mm apart."""
    paths = [[(0, 0), (60, 0)], [(0, 10), (30, 10)], [(0, 20), (45, 20)]]
    found = needle_path(place(runs_of(*paths), QUILTING))
    row = np.rint(found.holes[:, 1] / 10).astype(int)
    assert found.moved.tolist() == [True, *(row[1:] != row[:-1]).tolist()]
    sewn = [float(found.stitch_mm[row[1:][~found.moved[1:]] == each].sum()) for each in range(3)]
    back_and_forth = [each - way for each, way in zip(sewn, (60, 30, 45), strict=True)]
    assert min(back_and_forth) >= -1e-6 and max(back_and_forth) < 30, "the line, and its securing"
