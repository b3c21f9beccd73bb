"""The sashing grid as two rows of bands, one along the runner and one across it."""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum
from itertools import pairwise

from quiltpath.errors import InputError
from quiltpath.project.runner_sections import GridSection
from quiltpath.units import both_units

SUM_TOLERANCE_MM = 0.5
"""Sizes that are rounded to a ruler's marks may miss their sum by this much."""


class BandKind(Enum):
    """What a band is, seen along one axis."""

    BLOCK = "block"
    SASHING = "sashing"
    OUTER_SASHING = "outer sashing"
    BORDER = "border"


@dataclass(frozen=True)
class Band:
    """One stretch of an axis, from ``low`` to ``high`` in mm."""

    kind: BandKind
    low: float
    high: float

    @property
    def is_strip(self) -> bool:
        """True for sashing, inner or outer."""
        return self.kind in (BandKind.SASHING, BandKind.OUTER_SASHING)


def bands(grid: GridSection, axis: int, size_mm: float) -> tuple[Band, ...]:
    """Bands along axis 0 (the length) or 1 (the width), adding up to ``size_mm``.

    Raises :class:`InputError` that shows the sum where the sizes contradict each other.
    """
    measured = (grid.printed_along, grid.printed_across)[axis]
    if measured is not None:
        return _measured_bands(grid, axis, measured, size_mm)
    count = (grid.along, grid.across)[axis]
    block = _block_side(grid, axis, count, size_mm)
    widths = _outer_widths(grid)
    for index in range(count):
        widths.append((BandKind.BLOCK, block))
        if index < count - 1:
            widths.append((BandKind.SASHING, grid.sashing))
    widths += reversed(_outer_widths(grid))
    _check_sum(grid, axis, count, block, size_mm)
    return _laid_out(widths)


def _outer_widths(grid: GridSection) -> list[tuple[BandKind, float]]:
    return [(BandKind.BORDER, grid.border), (BandKind.OUTER_SASHING, grid.outer_sashing)]


def _block_side(grid: GridSection, axis: int, count: int, size_mm: float) -> float:
    """The given block side, or the one that fills the runner evenly."""
    if grid.block_size is not None:
        return grid.block_size[axis]
    rest = size_mm - 2 * (grid.border + grid.outer_sashing) - (count - 1) * grid.sashing
    if rest <= 0:
        raise InputError(
            "",
            f"grid.{_AXIS_KEY[axis]}",
            f"border and sashing take more than the {_AXIS_NAME[axis]} of {both_units(size_mm)}",
            "make them narrower or the blocks fewer",
        )
    return rest / count


_AXIS_KEY = ("along", "across")
_AXIS_NAME = ("length", "width")


def _check_sum(grid: GridSection, axis: int, count: int, block: float, size_mm: float) -> None:
    total = count * block + (count - 1) * grid.sashing + 2 * (grid.outer_sashing + grid.border)
    if abs(total - size_mm) <= SUM_TOLERANCE_MM:
        return
    parts = [f"{count} x {both_units(block)} blocks"]
    if count > 1 and grid.sashing:
        parts.append(f"{count - 1} x {both_units(grid.sashing)} sashing")
    if grid.outer_sashing:
        parts.append(f"2 x {both_units(grid.outer_sashing)} outer sashing")
    if grid.border:
        parts.append(f"2 x {both_units(grid.border)} border")
    raise InputError(
        "",
        f"grid.{_AXIS_KEY[axis]}",
        f"{' + '.join(parts)} = {both_units(total)}, but the {_AXIS_NAME[axis]} is"
        f" {both_units(size_mm)}",
        "change one of them, or leave block out to have it filled in evenly",
    )


def _measured_bands(
    grid: GridSection, axis: int, positions: tuple[float, ...], size_mm: float
) -> tuple[Band, ...]:
    """Bands between measured block edges; what is left at the ends is outer sashing."""
    if positions[0] < 0 or positions[-1] > size_mm + SUM_TOLERANCE_MM:
        raise InputError(
            "",
            f"grid.printed_{_AXIS_KEY[axis]}",
            f"a position lies outside the {_AXIS_NAME[axis]} of {both_units(size_mm)}",
            "measure from the finished edge",
        )
    edges = [0.0, *positions, size_mm]
    kinds = [BandKind.OUTER_SASHING]
    for index in range(len(positions) - 1):
        kinds.append(BandKind.SASHING if index % 2 else BandKind.BLOCK)
    kinds.append(BandKind.OUTER_SASHING)
    stretches = zip(kinds, pairwise(edges), strict=True)
    return tuple(Band(kind, low, high) for kind, (low, high) in stretches if high - low > 1e-6)


def _laid_out(widths: list[tuple[BandKind, float]]) -> tuple[Band, ...]:
    laid, at = [], 0.0
    for kind, width in widths:
        if width > 0:
            laid.append(Band(kind, at, at + width))
        at += width
    return tuple(laid)
