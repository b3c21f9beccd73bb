"""Alignment crosses: two for each part, common to a neighbour that was sewn before it."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from quiltpath.output.machine_parts.fields import Field

ARM_MM = 3.0
"""Half the length of a cross; drawn and sewn alike."""

Bounds = tuple[float, float, float, float]


def alignment_crosses(fields: Sequence[Field], cloth: Bounds) -> tuple[NDArray[np.float64], ...]:
    """(2, 2) crosses of each field, fields in sewing order, in mm on the runner.

    They lie far apart in what the field has in common with the field sewn before it that it
    shares most with, on the cloth where that is possible; the first field takes those of the
    second. A field that shares nothing is aligned on its own middle line.
    """
    partner = [_partner(fields, index) for index in range(len(fields))]
    found = [
        _spread(_on_cloth(field.common(fields[other]) if other is not None else None, field, cloth))
        for field, other in zip(fields, partner, strict=True)
    ]
    follower = next((index for index, other in enumerate(partner) if other == 0), None)
    if follower is not None:
        found[0] = found[follower]
    return tuple(found)


def _partner(fields: Sequence[Field], index: int) -> int | None:
    shared = [_area(fields[index].common(other)) for other in fields[:index]]
    return int(np.argmax(shared)) if shared and max(shared) > 0 else None


def _area(box: Bounds | None) -> float:
    return (box[2] - box[0]) * (box[3] - box[1]) if box else 0.0


def _on_cloth(box: Bounds | None, field: Field, cloth: Bounds) -> Bounds:
    """The shared rectangle as far as it lies on the cloth, a cross's arm inside."""
    wide = box or (field.left, field.low, field.right, field.high)
    low = [max(wide[axis], cloth[axis]) + ARM_MM for axis in (0, 1)]
    high = [min(wide[axis + 2], cloth[axis + 2]) - ARM_MM for axis in (0, 1)]
    for axis in (0, 1):
        if low[axis] > high[axis]:
            low[axis] = high[axis] = (wide[axis] + wide[axis + 2]) / 2
    return low[0], low[1], high[0], high[1]


def _spread(box: Bounds) -> NDArray[np.float64]:
    """Two points on the middle line of the longer side, at its ends."""
    left, low, right, high = box
    if right - left >= high - low:
        middle = (low + high) / 2
        return np.array([[left, middle], [right, middle]])
    middle = (left + right) / 2
    return np.array([[middle, low], [middle, high]])


def cross_holes(centre: NDArray[np.float64]) -> NDArray[np.float64]:
    """(9, 2) holes that sew one cross: out and back along each of its arms."""
    arms = np.array([[1, 0], [-1, 0], [0, 1], [0, -1]]) * ARM_MM
    out_and_back = np.zeros((9, 2))
    out_and_back[1::2] = arms
    return centre + out_and_back
