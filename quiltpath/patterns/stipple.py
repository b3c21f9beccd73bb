"""Stippling: one smooth line that wanders round motifs and never crosses itself."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated, Literal, Self

import numpy as np
import shapely
from pydantic import Field, model_validator
from shapely.geometry.base import BaseGeometry

from quiltpath.geometry.curves import Points
from quiltpath.patterns.clear_rooms import ClearRoom
from quiltpath.patterns.kind import FREE, Kind
from quiltpath.patterns.layer import INCH, QUARTER_INCH, Edge, RepertoireLayer, about
from quiltpath.schema import Length, LengthOrZero, Spacing, fault
from quiltpath.units import both_units

if TYPE_CHECKING:
    from quiltpath.geometry.free_curves.stippling import SpacingAt

EDGE_SPACINGS: dict[Edge, float] = {"line": 0.0, "half": 0.5, "gap": 1.0}

MOST_SPACINGS = 6_000
"""Some ten seconds' work on one core, twice as much while the flat top is settled."""

LOOKS = 60
"""Places along and across at which a varying gap is looked at for its mean."""

MOST_CHANGE = 3.0
"""A line can open and close by so much and stay even."""


class StippleLayer(RepertoireLayer):
    """A smooth line that wanders by even bends round all motifs and ends where it began."""

    kind: Literal["stipple"]
    spacing: Spacing = about(INCH / 2)
    """the usual gap between neighbouring lines"""
    clearance: LengthOrZero | None = QUARTER_INCH
    edge: Edge = "line"
    """what lies on the inset edge: the line itself, or the middle or the end of a gap"""
    seed: Annotated[int, Field(ge=0, le=999_999)] = 1
    """another number, another wandering"""
    closer_to: Literal["motifs", "edge"] | None = None
    """where the line is to lie closer"""
    near: Length | None = None
    """the gap there; half the spacing where it is left out"""
    within: Length = 3 * INCH
    """how far from there the gap has opened to the spacing"""

    @model_validator(mode="after")
    def _opens_evenly(self) -> Self:
        near = self.spacing.mm / 2 if self.near is None else self.near
        if self.closer_to and not self.spacing.mm / MOST_CHANGE <= near <= self.spacing.mm:
            least = both_units(self.spacing.mm / MOST_CHANGE)
            raise fault("near does not go with the spacing", f"give {least} up to the spacing")
        return self


def stipple(layer: StippleLayer, room: ClearRoom) -> list[Points]:
    """One closed line for each part of the room that is wide enough (``geometry/free_curves``)."""
    from quiltpath.geometry.free_curves import stippling

    gap = layer.spacing.mm
    return stippling.stipple(
        room.clear,
        gap,
        edge_mm=EDGE_SPACINGS[layer.edge] * gap,
        motif_mm=0.0,
        seed=layer.seed,
        spacing_at=_gap_at(layer, room),
    )


def _gap_at(layer: StippleLayer, room: ClearRoom) -> SpacingAt | None:
    """The gap at a place, where it varies."""
    from quiltpath.geometry.free_curves import stippling

    target = _closer_to(layer, room)
    if target is None:
        return None
    near = layer.spacing.mm / 2 if layer.near is None else layer.near
    return stippling.closer_towards(target, near, layer.spacing.mm, layer.within)


def mean_gap_mm(layer: StippleLayer, room: ClearRoom) -> float:
    """The one even gap at which a line would be as long."""
    gap_at = _gap_at(layer, room)
    if gap_at is None:
        return layer.spacing.mm
    low_x, low_y, high_x, high_y = room.clear.bounds
    x, y = np.meshgrid(np.linspace(low_x, high_x, LOOKS), np.linspace(low_y, high_y, LOOKS))
    inside = shapely.contains_xy(room.clear, x, y)
    if not inside.any():  # too thin for any of them
        return layer.spacing.mm
    return float(1 / np.mean(1 / gap_at(np.stack([x[inside], y[inside]], axis=1))))


def _closer_to(layer: StippleLayer, room: ClearRoom) -> BaseGeometry | None:
    """What the line lies closer to, where there is such a thing."""
    if layer.closer_to is None:
        return None
    target = room.motifs if layer.closer_to == "motifs" else shapely.boundary(room.whole)
    return None if target.is_empty else target


KINDS = (
    Kind(
        StippleLayer,
        FREE,
        in_clear=stipple,
        one_path=True,
        most_spacings=MOST_SPACINGS,
        length_share=0.975,
        mean_gap_mm=mean_gap_mm,
    ),
)
