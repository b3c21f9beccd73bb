"""A binding for one edge: strips, joins, mitres, and where it starts."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import shapely
from shapely.geometry import LineString

from quiltpath.errors import InputError
from quiltpath.language import message
from quiltpath.materials.binding import (
    MOST_STRIPS,
    StripLength,
    Strips,
    bias_length,
    bias_pieces,
    cut_strips,
    edge_needs_bias,
    joined_length,
    laid_length,
    rectangle_for_bias,
    square_for_bias,
    strip_length_needed,
)
from quiltpath.materials.binding_joins import BindingJoins, BindingRound, place_joins
from quiltpath.materials.edge_corners import Corner, Edge
from quiltpath.materials.piecing import CutPiece
from quiltpath.materials.shopping import Cloth
from quiltpath.project.materials_sections import BindingSection
from quiltpath.units import both_units


@dataclass(frozen=True)
class MitreRow:
    """Corners of one inner angle: how many, where the seam stops, the angle of the first fold."""

    angle_deg: float
    corners: int
    stop_mm: float
    fold_deg: float
    is_inner: bool


@dataclass(frozen=True)
class BindingPlan:
    """The whole binding; lengths in mm, places along the edge from ``edge.ring``'s start.

    ``bias_mm`` is the rectangle for continuous bias (along, across the cloth), None for straight.
    """

    setting: BindingSection
    edge: Edge
    needed: StripLength
    laid_mm: float
    strips: Strips
    joins: BindingJoins
    panel_joins_mm: tuple[float, ...]
    bias_mm: tuple[float, float] | None = None

    @property
    def mitres(self) -> tuple[MitreRow, ...]:
        """Corners by angle, sharpest first."""
        return mitre_sheet(self.edge.corners, self.setting.seam_mm)

    @property
    def keeps_clear(self) -> bool:
        """True where no join comes too near to a corner, a panel join or another join."""
        return self.joins.keeps_clear(self.setting.clear)

    @property
    def spare_mm(self) -> float:
        """Joined strip beyond what stays on the runner: ends to handle, and what is cut off."""
        joined = joined_length(self.strips.lengths_mm, self.setting.join_mm)
        return max(0.0, joined - self.laid_mm)

    @property
    def one_less_mm(self) -> float | None:
        """What would be over with one strip less, below 0 where it would not reach; None where
        there is but one strip, or one piece for bias."""
        fewer = self.strips.lengths_mm[:-1]
        if self.bias_mm is not None or not fewer:
            return None
        return joined_length(fewer, self.setting.join_mm) - self.laid_mm

    @property
    def handling_mm(self) -> float:
        """What is reckoned to be over, so that the ends can be laid one over the other."""
        return self.needed.total_mm - self.laid_mm

    @property
    def needs_bias(self) -> bool:
        """True where the edge curves too tightly for these strips."""
        return edge_needs_bias(self.edge, self.setting)

    @property
    def closing_radius_mm(self) -> float:
        """Radius of the edge over the open stretch; infinite where it is straight."""
        return self.edge.bends.radius_mm(self.joins.start_mm, self.setting.open / 2)

    @property
    def join_radius_mm(self) -> float:
        """The tightest radius of the edge at any other join; infinite where it is straight."""
        reach = join_reach_mm(self.setting)
        found = [self.edge.bends.radius_mm(at, reach) for at in self.joins.joins_mm]
        return min(found, default=math.inf)

    def pieces(self) -> tuple[tuple[str, CutPiece], ...]:
        """What is cut from which cloth."""
        if self.bias_mm is not None:
            square = CutPiece(message("binding, for bias"), *self.bias_mm)
            return ((self.strips.cloths[0], square),)
        width = self.setting.width_mm
        strips = zip(self.strips.cloths, self.strips.lengths_mm, strict=True)
        return tuple(
            (cloth, CutPiece(f"binding {number}", width, length))
            for number, (cloth, length) in enumerate(strips, 1)
        )


def plan_binding(
    edge: Edge,
    seams: Sequence[LineString],
    setting: BindingSection,
    cloths: Sequence[Cloth],
) -> BindingPlan:
    """The binding of ``edge``; ``seams`` of the top are kept clear of joins."""
    corners = len(edge.corners)
    needed = strip_length_needed(edge.length_mm, corners, setting)
    laid = laid_length(edge.length_mm, corners, setting)
    strips, bias = strips_for(needed.total_mm, setting, cloths)
    crossings = seam_crossings(edge, seams)
    laying = BindingRound(
        laid_mm=laid,
        edge_mm=edge.length_mm,
        join_mm=setting.width_mm,
        corners_mm=tuple(corner.along_mm for corner in edge.corners),
        panel_joins_mm=crossings,
        clear_mm=setting.clear,
        closing_mm=max(0.0, setting.open / 2 - setting.clear),
        wished_start_mm=edge.longest_side_middle_mm(),
        hold_mm=setting.open / 2,
        bends=edge.bends,
        open_reach_mm=setting.open / 2,
        join_reach_mm=join_reach_mm(setting),
    )
    joins = place_joins(strips.lengths_mm, laying)
    return BindingPlan(setting, edge, needed, laid, strips, joins, crossings, bias)


def join_reach_mm(setting: BindingSection) -> float:
    """So far to either side of a diagonal join the edge should be straight.

    The seam itself spans one strip width; the clearance is what joins keep of corners as well.
    """
    return max(setting.width_mm / 2, setting.clear)


def strips_for(
    total_mm: float, setting: BindingSection, cloths: Sequence[Cloth]
) -> tuple[Strips, tuple[float, float] | None]:
    """The strips to cut, and the rectangle for continuous bias where that is asked for."""
    if setting.cut == "straight":
        strips = cut_strips(total_mm, cloths, setting.width_mm, setting.join_mm)
        _check_number(len(strips.lengths_mm), total_mm, setting)
        return strips, None
    cloth = max(cloths, key=lambda c: c.usable_mm)
    side = square_for_bias(total_mm, setting.width_mm)
    across = min(side, cloth.usable_mm)
    along = side if across == side else rectangle_for_bias(total_mm, setting.width_mm, across)
    each = min(along, across) * math.sqrt(2) - setting.join_mm
    _check_number(math.ceil(total_mm / each) if each > 0 else 0, total_mm, setting)
    gives_mm = bias_length((along, across), setting.width_mm)
    pieces = bias_pieces(gives_mm, min(along, across), setting.join_mm)
    strips = Strips(pieces, (cloth.name,) * len(pieces), ((cloth.name, along),))
    return strips, (along, across)


def _check_number(strips: int, total_mm: float, setting: BindingSection) -> None:
    """There must be a strip, and no more of them than anybody joins."""
    if not 0 < strips <= MOST_STRIPS:
        raise InputError(
            "", "binding",
            f"no cloth gives strips {both_units(setting.width_mm)} wide that reach"
            f" {both_units(total_mm)} in {MOST_STRIPS} pieces", "name a larger cloth for it",
        )  # fmt: skip


def seam_crossings(edge: Edge, seams: Sequence[LineString]) -> tuple[float, ...]:
    """Where seams of the top end at the edge, along it in mm."""
    if not seams:
        return ()
    ring = LineString(edge.ring)
    ends = [shapely.Point(seam.coords[i]) for seam in seams for i in (0, -1)]
    on_edge = [end for end in ends if ring.distance(end) < 1.0]
    return tuple(sorted(float(at) for at in shapely.line_locate_point(ring, on_edge)))


def mitre_sheet(corners: Sequence[Corner], seam_mm: float) -> tuple[MitreRow, ...]:
    """Corners with equal angles (to a tenth of a degree) in one row, sharpest first."""
    by_angle: dict[float, list[Corner]] = {}
    for corner in corners:
        by_angle.setdefault(round(corner.angle_deg, 1), []).append(corner)
    return tuple(
        MitreRow(angle, len(group), group[0].stop_mm(seam_mm), angle / 2, group[0].is_inner)
        for angle, group in sorted(by_angle.items())
    )
