"""A pieced top: what is cut, sewn into which rows or columns, and what each must measure.

The sewn top measures, from raw edge to raw edge, exactly the flat size that is named. So a piece is
as large as it shows on the flat top and a seam allowance more on each side that is sewn; on the
outside there is none, since the binding is sewn on level with the raw edge.

Where sashing crosses on cornerstones, or there is none across, rows are sewn and joined. Without
cornerstones the crosswise strips run through: columns are sewn, and joined by the long strips.
Seams are pressed so that those that meet lie in opposite directions (common practice).
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Literal

from quiltpath.geometry.runner_shapes import Region, RegionKind
from quiltpath.materials.piecing import CutPiece
from quiltpath.runner.grid import Band, BandKind, column_letter
from quiltpath.units import MM_PER_INCH

MITRE_SPARE_MM = 2 * MM_PER_INCH
"""A strip that is mitred is cut so much longer, an inch at each end (common practice)."""

Corners = Literal["butted", "mitred"]


@dataclass(frozen=True)
class CutCount:
    """So many equal pieces of one kind; cut size in mm, seam allowances included."""

    kind: RegionKind
    count: int
    along_mm: float
    across_mm: float
    letter: str = ""

    @property
    def long_mm(self) -> float:
        """The longer side."""
        return max(self.along_mm, self.across_mm)

    @property
    def short_mm(self) -> float:
        """The shorter side."""
        return min(self.along_mm, self.across_mm)

    def pieces(self) -> Iterator[CutPiece]:
        """Each piece, the longer side along the cloth."""
        name = f"{self.kind.value} {self.letter}".strip()
        for _ in range(self.count):
            yield CutPiece(name, self.long_mm, self.short_mm, may_turn=True)


@dataclass(frozen=True)
class TopUnit:
    """A row or column that is sewn by itself, and all that are like it.

    ``numbers``  which rows or columns it is, counted from the lower edge or the left end
    ``letters``  its pieces in order, from the left or from below
    ``along_mm``, ``across_mm``  what it must measure, raw edges included
    """

    numbers: tuple[int, ...]
    letters: tuple[str, ...]
    along_mm: float
    across_mm: float


@dataclass(frozen=True)
class TopBorder:
    """Strips round the joined middle; lengths in mm as cut.

    ``sides`` go along the runner and are sewn on first, ``ends`` across it.
    ``middle_mm``  what the middle must measure before they are sewn on, along and across
    ``side_at_mm``, ``end_at_mm``  where a strip that is shorter than its side begins on it
    """

    sides: CutCount
    ends: CutCount
    corners: Corners
    middle_mm: tuple[float, float]
    seam_mm: float
    side_at_mm: float = 0.0
    end_at_mm: float = 0.0

    @property
    def mitre_deg(self) -> float:
        """Angle between a long side and the mitre, which runs from the inner to the outer corner.

        45 degrees where sides and ends are equally wide; they are cut a seam wider than they show.
        """
        seam = self.seam_mm
        return math.degrees(math.atan2(self.sides.across_mm - seam, self.ends.along_mm - seam))


@dataclass(frozen=True)
class PiecedTop:
    """Everything to cut and the order to sew it in; the sewn top is ``size_mm`` along and across.

    ``by``     whether the units are rows or columns
    ``has_sashing``  true where strips lie between or round blocks
    """

    cuts: tuple[CutCount, ...]
    units: tuple[TopUnit, ...]
    by: Literal["row", "column"]
    has_sashing: bool
    seam_mm: float
    size_mm: tuple[float, float]
    border: TopBorder | None = None

    @property
    def joined_units(self) -> int:
        """Rows or columns that are joined to each other."""
        return sum(len(unit.numbers) for unit in self.units)


@dataclass(frozen=True)
class Reach:
    """How far the finished shape reaches into the border, in mm on the flat top.

    Along the side strips, and across the end strips: (from, to). A rectangle reaches everywhere.
    """

    side: tuple[float, float]
    end: tuple[float, float]


@dataclass(frozen=True)
class _Letters:
    """Cut sizes by letter, as they come; equal ones share a letter."""

    seen: dict[tuple[RegionKind, float, float], CutCount]

    def of(self, kind: RegionKind, along_mm: float, across_mm: float) -> str:
        """The letter of a piece, counted once more."""
        key = (kind, to_tenth(along_mm), to_tenth(across_mm))
        had = self.seen.get(key)
        if had is None:
            had = CutCount(kind, 0, key[1], key[2], column_letter(len(self.seen)))
        self.seen[key] = replace(had, count=had.count + 1)
        return had.letter


def piece_top(
    along: Sequence[Band],
    across: Sequence[Band],
    *,
    cornerstones: bool,
    seam_mm: float,
    corners: Corners = "butted",
    reach: Reach | None = None,
) -> PiecedTop:
    """The top of these bands, as large as they are on the flat top."""
    letters = _Letters({})
    inner = tuple(
        tuple(b for b in bands if b.kind is not BandKind.BORDER) for bands in (along, across)
    )
    bordered = len(inner[0]) < len(along) or len(inner[1]) < len(across)
    columns, rows = (_Axis(bands, seam_mm, bordered) for bands in inner)
    by_row = cornerstones or len(inner[1]) == 1 or not any(b.is_strip for b in inner[0])
    units = _rows(columns, rows, letters) if by_row else _columns(columns, rows, letters)
    size = tuple(sum(b.high - b.low for b in bands) for bands in (along, across))
    border = None
    if bordered:
        width = (_width(along), _width(across))
        border = _border(columns, rows, width, (size[0], size[1]), seam_mm, corners, reach, letters)
    return PiecedTop(
        cuts=tuple(letters.seen.values()),
        units=units,
        by="row" if by_row else "column",
        has_sashing=any(b.is_strip for bands in inner for b in bands),
        seam_mm=seam_mm,
        size_mm=(size[0], size[1]),
        border=border,
    )


@dataclass(frozen=True)
class _Axis:
    """The bands of one axis inside the border, with what each is cut."""

    bands: tuple[Band, ...]
    seam_mm: float
    sewn_outside: bool

    def cut_mm(self, first: int, last: int) -> float:
        """Cut size of a piece from one band to another: a seam on each side that is sewn."""
        shown = self.bands[last].high - self.bands[first].low
        low = first > 0 or self.sewn_outside
        high = last < len(self.bands) - 1 or self.sewn_outside
        return shown + self.seam_mm * (low + high)

    @property
    def whole_mm(self) -> float:
        """All of it, with the seams outside."""
        return self.cut_mm(0, len(self.bands) - 1)


def _kind(column: Band, row: Band) -> RegionKind:
    """What lies where two bands cross."""
    if column.is_strip and row.is_strip:
        return RegionKind.CORNERSTONE
    strip = column if column.is_strip else row
    if not strip.is_strip:
        return RegionKind.BLOCK
    outer = strip.kind is BandKind.OUTER_SASHING
    return RegionKind.OUTER_SASHING if outer else RegionKind.SASHING


def _rows(columns: _Axis, rows: _Axis, letters: _Letters) -> tuple[TopUnit, ...]:
    made = []
    for j, row in enumerate(rows.bands):
        high = rows.cut_mm(j, j)
        told = tuple(
            letters.of(_kind(column, row), columns.cut_mm(i, i), high)
            for i, column in enumerate(columns.bands)
        )
        made.append(TopUnit((j + 1,), told, columns.whole_mm, high))
    return _alike(made)


def _columns(columns: _Axis, rows: _Axis, letters: _Letters) -> tuple[TopUnit, ...]:
    """Columns of blocks and short strips; between them strips that run through."""
    made = []
    for i, column in enumerate(columns.bands):
        wide = columns.cut_mm(i, i)
        if column.is_strip:
            told: tuple[str, ...] = (letters.of(_kind(column, _BLOCK), wide, rows.whole_mm),)
        else:
            told = tuple(
                letters.of(_kind(column, row), wide, rows.cut_mm(j, j))
                for j, row in enumerate(rows.bands)
            )
        made.append(TopUnit((i + 1,), told, wide, rows.whole_mm))
    return _alike(made)


_BLOCK = Band(BandKind.BLOCK, 0.0, 1.0)


def _alike(units: Sequence[TopUnit]) -> tuple[TopUnit, ...]:
    """Units of the same pieces together, in the order in which they first come."""
    first = {unit.letters: unit for unit in reversed(units)}
    order = list(dict.fromkeys(unit.letters for unit in units))
    numbers = {
        told: tuple(n for unit in units if unit.letters == told for n in unit.numbers)
        for told in order
    }
    return tuple(replace(first[told], numbers=numbers[told]) for told in order)


def _width(bands: Sequence[Band]) -> float:
    """Width of the border at the ends of an axis, 0 where it has none."""
    outer = bands[0]
    return outer.high - outer.low if outer.kind is BandKind.BORDER else 0.0


def _border(
    columns: _Axis,
    rows: _Axis,
    width_mm: tuple[float, float],
    size_mm: tuple[float, float],
    seam_mm: float,
    corners: Corners,
    reach: Reach | None,
    letters: _Letters,
) -> TopBorder:
    """Two sides and two ends: butted ones as long as what they are sewn to, sides first.

    An outline that does not reach into the corners leaves butted strips shorter than their sides.
    """
    middle = columns.whole_mm, rows.whole_mm
    if corners == "mitred":
        long, tall = (mm + MITRE_SPARE_MM for mm in size_mm)
        side_at = end_at = 0.0
    else:
        side, end = _reached(reach, middle, size_mm, width_mm, seam_mm)
        (side_at, long), (end_at, tall) = (side[0], side[1] - side[0]), (end[0], end[1] - end[0])
    for _ in range(2):
        letters.of(RegionKind.BORDER, long, width_mm[1] + seam_mm)
    sides = letters.seen[(RegionKind.BORDER, to_tenth(long), to_tenth(width_mm[1] + seam_mm))]
    for _ in range(2):
        letters.of(RegionKind.BORDER, width_mm[0] + seam_mm, tall)
    ends = letters.seen[(RegionKind.BORDER, to_tenth(width_mm[0] + seam_mm), to_tenth(tall))]
    return TopBorder(sides, ends, corners, middle, seam_mm, side_at, end_at)


def _reached(
    reach: Reach | None,
    middle: tuple[float, float],
    size_mm: tuple[float, float],
    width_mm: tuple[float, float],
    seam_mm: float,
) -> tuple[tuple[float, float], tuple[float, float]]:
    """From where to where butted strips lie, on what they are sewn to: (side, end)."""
    whole = (0.0, middle[0]), (0.0, size_mm[1])
    if reach is None:
        return whole
    offset = seam_mm - width_mm[0]
    side = (reach.side[0] + offset, reach.side[1] + offset)
    return _widen(side, whole[0]), _widen(reach.end, whole[1])


def _widen(span: tuple[float, float], whole: tuple[float, float]) -> tuple[float, float]:
    """An inch more at each end, and no more than there is."""
    low = max(whole[0], span[0] - MM_PER_INCH)
    return low, max(low, min(whole[1], span[1] + MM_PER_INCH))


def to_tenth(mm: float) -> float:
    """To 0.1 mm, so that sizes a rounding error apart are one size, half tenths as well."""
    return round(mm + 1e-6, 1)


def cut_mm(shown_mm: float, seam_mm: float) -> float:
    """Cut size of a part with a seam on either side (1/4 in seams take 1/2 in)."""
    return shown_mm + 2 * seam_mm


def pieced_cuts(regions: tuple[Region, ...], seam_mm: float) -> tuple[CutCount, ...]:
    """What to cut for regions that no grid orders, equal pieces together, to 0.1 mm.

    A part is cut with a seam all round: what it is sewn to is not known.
    """
    counts: Counter[tuple[RegionKind, float, float]] = Counter()
    for region in regions:
        low_x, low_y, high_x, high_y = region.shape.bounds
        size = to_tenth(cut_mm(high_x - low_x, seam_mm)), to_tenth(cut_mm(high_y - low_y, seam_mm))
        counts[(region.kind, *size)] += 1
    return tuple(
        CutCount(kind, count, along, across, column_letter(index))
        for index, ((kind, along, across), count) in enumerate(counts.items())
    )
