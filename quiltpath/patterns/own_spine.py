"""A curve of one's own, given by points: drawings and lines are led along it."""

from __future__ import annotations

from typing import Annotated

import numpy as np
from pydantic import Field

from quiltpath.geometry.curves import Points
from quiltpath.geometry.runner_shapes import Patch
from quiltpath.patterns.frame import frame_of
from quiltpath.schema import fault

MOST_POINTS = 60

Share = Annotated[float, Field(ge=0.0, le=1.0)]
Spine = Annotated[tuple[tuple[Share, Share], ...], Field(max_length=MOST_POINTS)]
"""points, each as a share of the region's length and of its width"""


def check_spine(spine: Spine, wanted: bool, what: str, key: str) -> None:
    """Raises a fault where points are given that nothing follows, or too few where something does.

    ``what`` is led along them where the layer says ``key = "spine"``.
    """
    if spine and not wanted:
        raise fault(f"spine is what {what} along", f'add {key} = "spine"')
    if wanted and len(spine) < 2:
        raise fault("a spine has two points at least", "add spine = [[0, 0.5], [1, 0.5]]")


def spine_mm(spine: Spine, patch: Patch, turned: bool) -> Points | None:
    """(n, 2) the points on the runner, in mm; None where the patch is too small for any."""
    frame = frame_of(patch, 0.0, turned)
    if frame is None:
        return None
    return frame.placed(np.array(spine) * (frame.length, frame.width))
