"""Straight lines: one family of parallels, or two that cross."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Literal, Self

import numpy as np
import shapely
from numpy.typing import NDArray
from pydantic import model_validator

from quiltpath.geometry.arrays import Floats
from quiltpath.geometry.runner_shapes import Patch
from quiltpath.patterns.kind import WALKING, Kind
from quiltpath.patterns.layer import Angle, Edge, SpacedLayer, check_amount
from quiltpath.patterns.spacing import divided, even_gap, gaps_of, line_positions
from quiltpath.patterns.strokes import Strokes, join_strokes, strokes_in
from quiltpath.schema import Length, Spacing, fault


class _Parallels(SpacedLayer):
    """Straight lines side by side, from one edge of their region to the other."""

    edge: Edge | None = None
    """at the edge a line, half a gap or a whole one, in even gaps; left out, as anchor says"""

    @model_validator(mode="after")
    def _edge_or_anchor(self) -> Self:
        if self.edge and self.spacings:
            raise fault("edge divides a region into equal gaps, spacings do not", "take one out")
        if self.edge and self.anchor != "centre":
            raise fault("edge and anchor both say where lines begin", "take one out")
        return self


class StraightLayer(_Parallels):
    """Parallel straight lines at any angle."""

    kind: Literal["straight"]
    angle: Angle = 0.0
    """of the lines, anticlockwise from the length of the runner; degrees"""


class GridLayer(_Parallels):
    """Two families of parallel lines."""

    kind: Literal["grid"]
    angles: tuple[Angle, Angle] = (0.0, 90.0)
    """degrees of the two families, anticlockwise from the length of the runner"""
    spacing_2: Spacing | None = None
    """spacing of the second family, where it differs"""
    spacings_2: tuple[Length, ...] | None = None
    """distances of the second family that follow one another and repeat"""

    @model_validator(mode="after")
    def _two_directions(self) -> Self:
        if self.edge and self.spacings_2:
            raise fault("edge divides a region into equal gaps, spacings_2 do not", "take one out")
        if abs((self.angles[0] - self.angles[1]) % 180) < 1e-6:
            raise fault("both families of the grid run the same way", "give two different angles")
        return self


def straight(layer: StraightLayer, patches: Sequence[Patch]) -> Strokes:
    """Parallel lines over every patch, evenly placed in each."""
    return family(layer, layer.angle, patches)


def grid(layer: GridLayer, patches: Sequence[Patch]) -> Strokes:
    """Two families of parallels over every patch."""
    second = layer.model_copy(
        update={
            "spacing": layer.spacing_2 or layer.spacing,
            "spacings": layer.spacings_2 or (None if layer.spacing_2 else layer.spacings),
        }
    )
    families = [family(layer, layer.angles[0], patches), family(second, layer.angles[1], patches)]
    return join_strokes(families)


def family(layer: _Parallels, angle_deg: float, patches: Sequence[Patch]) -> Strokes:
    """Parallels at ``angle_deg`` from the runner's length, for each patch by itself."""
    along, normal = directions(angle_deg)
    placed = [(patch, *_placed(layer, patch, normal)) for patch in patches]
    expected = sum(patch.shape.area / gap for patch, _, gap in placed)
    check_amount(expected, min((gap for _, _, gap in placed), default=1.0))
    ends = [_through(patch, places, along, normal) for patch, places, _ in placed]
    every = np.concatenate([np.zeros((0, 2, 2)), *ends])
    return strokes_in(patches, shapely.linestrings(every), list(map(len, ends)))


def directions(angle_deg: float) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Unit vectors along the lines and across them.

    The one across points to the right, or upwards where the lines are lengthwise, so that
    positions count from the left end or the lower edge.
    """
    radians = np.radians(angle_deg % 180.0)
    along = np.array([np.cos(radians), np.sin(radians)])
    along[np.abs(along) < 1e-15] = 0.0
    across = np.array([along[1], -along[0]])
    return along, across if along[1] else -across


def extent(shape: object, direction: NDArray[np.float64]) -> tuple[float, float]:
    """Least and greatest coordinate of a shape along a unit vector, in mm."""
    across = shapely.get_coordinates(shape) @ direction
    return float(across.min()), float(across.max())


def _placed(
    layer: _Parallels, patch: Patch, normal: NDArray[np.float64]
) -> tuple[NDArray[np.float64], float]:
    """Positions along the normal, and the mean gap."""
    low, high = extent(patch.shape, normal)
    if layer.edge:
        mean = even_gap(high - low, layer.spacing.mm)
        check_amount(patch.shape.area / mean, mean)
        return divided(low, high, layer.spacing.mm, layer.edge), mean
    gaps = gaps_of(layer, high - low)
    mean = float(gaps.mean())
    check_amount(patch.shape.area / mean, mean)
    return line_positions(low, high, gaps, layer.anchor), mean


def _through(
    patch: Patch,
    places: NDArray[np.float64],
    along: NDArray[np.float64],
    normal: NDArray[np.float64],
) -> Floats:
    """(n, 2, 2) ends of lines right across the patch, 1 mm longer than it on both sides."""
    low, high = extent(patch.shape, along)
    ends = np.array([low - 1.0, high + 1.0])
    return np.asarray(places[:, None, None] * normal + ends[:, None] * along)


KINDS = (
    Kind(StraightLayer, WALKING, over_patches=straight),
    Kind(GridLayer, WALKING, over_patches=grid),
)
