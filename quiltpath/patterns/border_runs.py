"""Borders that turn their corners, in whole repeats: cables, plaits, chains, vines, feathers."""

from __future__ import annotations

from typing import Annotated, ClassVar, Literal

import shapely
from pydantic import Field
from shapely.geometry import Polygon

from quiltpath.errors import InputError
from quiltpath.geometry.curves import Points
from quiltpath.geometry.runner_shapes import Patch
from quiltpath.patterns.kind import EITHER, Kind
from quiltpath.patterns.layer import INCH, RepertoireLayer, about
from quiltpath.schema import Length, LengthOrZero, Spacing

NARROWEST_MM = 6.0
"""A band that is narrower once its inset is taken off holds no figure."""

LEAST_INSIDE = 0.25
"""Share of a border's outline that it goes round; a smaller hole is a motif in the way."""


class BorderRunsLayer(RepertoireLayer):
    """A figure round a border, as many repeats to each side as fit, the corners turned alike.

    In a region round one large hole, such as a printed border, it fills the band between its edges;
    in any other it runs inside the edge, ``width`` wide and clear of what lies inside.
    """

    amount_key: ClassVar[str] = "repeat"
    lines_in_it: ClassVar[float] = 1.0
    kind: Literal["border-runs"]
    figure: Literal["wave", "cable", "plait", "chain", "loops", "vine", "feather"] = "cable"
    """what runs along the border"""
    repeat: Spacing = about(3 * INCH)
    """one wave of a strand or a spine, one link, or a leaf to either side, along the border"""
    width: Length = 2 * INCH
    """of the band, where the region has no inner edge; at most a third of a narrow region"""
    fullness: Annotated[float, Field(ge=0.2, le=0.95)] = 0.8
    """the share of the band's width that the figure fills"""
    under: LengthOrZero = 0.0
    """left out to either side where a strand or a link passes under another"""
    single: bool = False
    """one strand that goes round a cable twice, by half a repeat more or less"""


def border_runs(layer: BorderRunsLayer, patch: Patch) -> list[Points]:
    """Closed lines, or pieces where they pass under; see ``geometry/free_curves``.

    Raises :class:`InputError` for a region whose edges are not convex with the same corners.
    """
    from quiltpath.geometry.free_curves import border_figures

    band = band_in(patch, layer.inset, layer.width)
    if band is None:
        return []
    try:
        return border_figures.border_runs(
            band,
            layer.figure,
            layer.repeat.mm,
            full=layer.fullness,
            under_gap_mm=layer.under,
            one_path=layer.single,
        )
    except ValueError as error:
        raise no_border(patch, error) from None


def no_border(patch: Patch, error: ValueError) -> InputError:
    """What is said of a region round which no figure can be led."""
    return InputError(
        "", "region", f"{patch.name} is no border with plain corners: {error}",
        'name a region with straight sides, or use kind = "cable"',
    )  # fmt: skip


def band_in(patch: Patch, inset_mm: float, width_mm: float) -> Polygon | None:
    """The band to be filled, its inset taken off on both sides; None where there is no room."""
    if not isinstance(patch.shape, Polygon):
        return None
    outer = shapely.buffer(Polygon(patch.shape.exterior), -inset_mm, join_style="mitre")
    if outer.is_empty:
        return None
    holes = shapely.union_all([Polygon(ring) for ring in patch.shape.interiors])
    inside = shapely.buffer(holes, inset_mm, join_style="mitre")
    if len(patch.shape.interiors) == 1 and inside.area > LEAST_INSIDE * outer.area:
        inner = inside
    else:
        low_x, low_y, high_x, high_y = outer.bounds
        room = [] if inside.is_empty else [shapely.distance(outer.exterior, inside)]
        width = min(width_mm, (high_x - low_x) / 3, (high_y - low_y) / 3, *room)
        inner = shapely.buffer(outer, -width, join_style="mitre")
    wide_enough = shapely.distance(inner, outer.exterior) >= NARROWEST_MM
    band = shapely.difference(outer, inner)
    return band if wide_enough and isinstance(band, Polygon) and not band.is_empty else None


TURN_TIGHTLY = ("loops", "vine", "feather")

KINDS = (
    Kind(
        BorderRunsLayer,
        EITHER,
        in_patch=border_runs,
        one_path=True,
        by_hand=lambda own: own.figure in TURN_TIGHTLY,
    ),
)
