"""A whole crosshatch in one line, which bounces from edge to edge like a ball on a table.

Divide a rectangle into n rows and m columns of equal cells and let a line leave the lower edge
half a cell from the corner, along the cells' diagonal, turning at every edge. Unfold the
reflections and it runs straight on a torus of 2n by 2m cells, so it comes back to its start after
2 lcm(n, m) diagonals of a cell. The whole crosshatch, every cell crossed once each way, is 2nm of
them: it falls into 2nm / (2 lcm(n, m)) = gcd(n, m) loops, and is one line where n and m are
coprime. Any offset but half a cell makes gaps that are wide and narrow by turns.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Annotated, Literal

import numpy as np
import shapely
from numpy.typing import NDArray
from pydantic import Field

from quiltpath.geometry.arrays import distinct
from quiltpath.geometry.curves import Points
from quiltpath.geometry.runner_shapes import Patch
from quiltpath.patterns.clear_rooms import ClearRoom
from quiltpath.patterns.diamond_walk import diamond_walks
from quiltpath.patterns.frame import Frame, frame_of
from quiltpath.patterns.kind import WALKING, Kind
from quiltpath.patterns.layer import INCH, RepertoireLayer, about
from quiltpath.patterns.lines import Remark
from quiltpath.patterns.strokes import WITHIN_MM
from quiltpath.schema import Spacing
from quiltpath.units import inch_fraction

WINDOW = 12
"""Numbers tried on either side of the ideal ones before the bound is known."""

DIAMOND = np.array([[0.0, -0.5], [0.5, 0.0], [0.0, 0.5], [-0.5, 0.0]])


class OneLineCrosshatchLayer(RepertoireLayer):
    """A whole crosshatch in one line that turns at the region's edges, and comes back to its start.

    The numbers of cells are chosen so that there is one line only, as near as can be to the
    spacing and the angle wished for. Turns at the edge want an inset that keeps them inside the
    trim line; 0 puts them on the finished edge itself.
    """

    kind: Literal["one-line-crosshatch"]
    spacing: Spacing = about(INCH)
    """between neighbouring lines"""
    angle: Annotated[float, Field(gt=0, lt=90)] = 45.0
    """slope of the lines against the length of the region"""


@dataclass(frozen=True)
class OneLine:
    """A rectangle ``length_mm`` by ``width_mm`` in ``columns`` by ``rows`` cells, coprime."""

    columns: int
    rows: int
    length_mm: float
    width_mm: float

    @property
    def cell_mm(self) -> tuple[float, float]:
        """Size of a cell along and across."""
        return self.length_mm / self.columns, self.width_mm / self.rows

    @property
    def angle_deg(self) -> float:
        """Slope of the lines against the rectangle's length."""
        along, across = self.cell_mm
        return math.degrees(math.atan2(across, along))

    @property
    def gap_mm(self) -> float:
        """Distance between neighbouring lines of one direction, square to them."""
        along, across = self.cell_mm
        return along * across / math.hypot(along, across)

    @property
    def sewn_mm(self) -> float:
        """Length of the one line: each direction covers the area once at its gap."""
        return 2 * self.length_mm * self.width_mm / self.gap_mm

    @property
    def lines_replaced(self) -> int:
        """Straight lines that the same crosshatch takes one by one, and its pivots."""
        return 2 * (self.columns + self.rows)


def one_line_crosshatch(layer: OneLineCrosshatchLayer, room: ClearRoom) -> list[Points]:
    """The closed line over a rectangle; round motifs one over each part.

    There the line turns at the cells that are left out as it does at the edge (``diamond_walk``).
    """
    frame = room.frame(layer.turned)
    if frame is None:
        return []
    chosen = one_line(layer, frame)
    cell = np.array(chosen.cell_mm)
    if room.has_no_motifs:
        return [frame.placed(bounces(chosen.columns, chosen.rows) * cell)]
    kept = _clear_cells(chosen, frame, room)
    return [frame.placed(path * cell) for path in diamond_walks(kept)]


def _clear_cells(chosen: OneLine, frame: Frame, room: ClearRoom) -> NDArray[np.bool_]:
    """(rows, columns) whether the diamond through the middles of a cell's sides lies clear."""
    rows, columns = np.mgrid[: chosen.rows, : chosen.columns]
    middle = np.stack([columns.ravel(), rows.ravel()], axis=1)[:, None] + 0.5
    corners = (middle + DIAMOND) * np.array(chosen.cell_mm)
    placed = frame.placed(corners.reshape(-1, 2)).reshape(-1, len(DIAMOND), 2)
    within = shapely.buffer(room.clear, WITHIN_MM)
    shapely.prepare(within)
    clear = shapely.covers(within, shapely.polygons(placed))
    return np.asarray(clear.reshape(rows.shape))


def one_line(layer: OneLineCrosshatchLayer, frame: Frame) -> OneLine:
    """The cells chosen for a frame."""
    return nearest_one_line(frame.length, frame.width, layer.spacing.mm, layer.angle)


def one_lines(
    layer: OneLineCrosshatchLayer, patches: Sequence[Patch]
) -> tuple[tuple[str, OneLine], ...]:
    """The name of each patch that is large enough, with the cells chosen for it."""
    framed = [(patch.name, frame_of(patch, layer.inset, layer.turned)) for patch in patches]
    return tuple((name, one_line(layer, frame)) for name, frame in framed if frame is not None)


def one_line_remark(
    layer: OneLineCrosshatchLayer, patches: Sequence[Patch], pieces: int
) -> Remark | None:
    """What was chosen and what it saves, or that something cuts it so that it is one no more.

    ``pieces`` is the number of lines that are left of the layer.
    """
    chosen = one_lines(layer, patches)
    if not chosen:
        return None
    name = layer.name or layer.kind
    if pieces != len(chosen):
        return Remark(
            "one-line-cut",
            f"{name}: {len(chosen)} closed lines are cut into {pieces} pieces",
            "give it regions that are rectangles, with room all round their motifs",
        )
    place, first = chosen[0]
    where = f" (in {place})" if len(chosen) > 1 else ""
    saved = sum(one.lines_replaced for _, one in chosen)
    return Remark(
        "one-line",
        f"{name}: {len(chosen)} start{'s' if len(chosen) > 1 else ''} in place of {saved} lines;"
        f" {first.rows} x {first.columns} cells{where},"
        f" gap {inch_fraction(first.gap_mm)} ({first.gap_mm:.1f} mm),"
        f" {first.angle_deg:.1f} degrees",
        "baste firmly, as it is not sewn from the centre outwards",
    )


def bounces(columns: int, rows: int, start: float = 0.5) -> Points:
    """(k + 1, 2) pivots of the loop that leaves (``start``, 0) upwards, in cells; closed.

    ``start`` is an odd number of half cells; the loop has k = 2 (columns + rows) / gcd pivots.
    """
    first = round(2 * start)
    period = 2 * math.lcm(2 * columns, 2 * rows)
    level = np.arange(0, period + 1, 2 * rows)
    upright = np.arange(2 * columns - first, period, 2 * columns)
    at = distinct(np.concatenate([level, upright]))
    return np.column_stack([_fold(at + first, 2 * columns), _fold(at, 2 * rows)]) / 2.0


def _fold(at: NDArray[np.int64], size: int) -> NDArray[np.int64]:
    """Straight travel as it goes there and back between 0 and ``size``."""
    return size - np.abs(at % (2 * size) - size)


@dataclass(frozen=True)
class _Wish:
    """A rectangle with the gap and the slope (radians) wished for."""

    length_mm: float
    width_mm: float
    gap_mm: float
    slope: float

    def cells(self, gap_mm: float, slope: float) -> tuple[float, float]:
        """Columns and rows, not whole, that a gap and a slope come to."""
        return (
            self.length_mm * math.sin(slope) / gap_mm,
            self.width_mm * math.cos(slope) / gap_mm,
        )

    def miss(self, columns: NDArray[np.int64], rows: NDArray[np.int64]) -> NDArray[np.float64]:
        """(gap / wish - 1)^2 + (slope - wish)^2; infinite where not coprime."""
        along, across = self.length_mm / columns, self.width_mm / rows
        gap, slope = along * across / np.hypot(along, across), np.arctan2(across, along)
        miss = (gap / self.gap_mm - 1) ** 2 + (slope - self.slope) ** 2
        return np.where(np.gcd(columns, rows) == 1, miss, np.inf)

    def best(self, columns: NDArray[np.int64], rows: NDArray[np.int64]) -> tuple[int, int, float]:
        """The nearest coprime pair of the given numbers, and its miss."""
        column, row = (grid.ravel() for grid in np.meshgrid(columns, rows, indexing="ij"))
        miss = self.miss(column, row)
        at = int(miss.argmin())
        return int(column[at]), int(row[at]), float(miss[at])


def nearest_one_line(
    length_mm: float, width_mm: float, gap_mm: float, angle_deg: float = 45.0
) -> OneLine:
    """The coprime numbers of cells whose gap and angle come nearest to those wished for.

    Nearest: the least (gap / wish - 1)^2 + (angle - wish)^2, angles in radians, so that a tenth
    of the gap weighs as much as 5.7 degrees. The first find bounds the numbers that any better
    pair can have, and all of those are tried; where the gap does not fit the rectangle even
    roughly, the nearest of the smallest numbers is taken.
    """
    wish = _Wish(length_mm, width_mm, gap_mm, math.radians(angle_deg))
    around = [_whole(x - WINDOW, x + WINDOW) for x in wish.cells(gap_mm, wish.slope)]
    columns, rows, miss = wish.best(*around)
    off = math.sqrt(miss)
    if off < 1:
        columns, rows, _ = wish.best(*_bounds(wish, off))
    return OneLine(columns, rows, length_mm, width_mm)


def _bounds(wish: _Wish, off: float) -> tuple[NDArray[np.int64], NDArray[np.int64]]:
    """All numbers of columns and of rows whose gap and slope can lie within ``off``."""
    wide, close = wish.gap_mm * (1 + off), wish.gap_mm * (1 - off)
    flat, steep = max(wish.slope - off, 0.0), min(wish.slope + off, math.pi / 2)
    return (
        _whole(wish.cells(wide, flat)[0], wish.cells(close, steep)[0]),
        _whole(wish.cells(wide, steep)[1], wish.cells(close, flat)[1]),
    )


def _whole(low: float, high: float) -> NDArray[np.int64]:
    """The whole numbers from ``low`` to ``high``, from 1 upwards."""
    return np.arange(max(1, math.floor(low)), max(1, math.ceil(high)) + 1, dtype=np.int64)


KINDS = (
    Kind(
        OneLineCrosshatchLayer,
        WALKING,
        in_clear=one_line_crosshatch,
        one_path=True,
        remark=one_line_remark,
    ),
)
