"""Needle points with breaks: as many stitches and as much thread as the stitches themselves say."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

import quiltpath

SAMPLES = Path(__file__).parents[2] / "samples"


@pytest.mark.parametrize("name", ["boathouse-bench", "supper-mats"])
def test_what_is_drawn_is_what_is_sewn(name: str) -> None:
    stitches = quiltpath.compute(quiltpath.load(SAMPLES / name / "runner.toml")).stitches
    points = stitches.sewn_paths
    steps = np.hypot(*np.diff(points, axis=0).T)
    drawn = steps[np.isfinite(steps)]
    assert len(drawn) == stitches.stitch_count
    assert drawn.sum() == pytest.approx(stitches.stitched_mm)
    assert np.isnan(points[0]).all()
