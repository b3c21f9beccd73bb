"""From the table to the finished size: drop, proportions, place mats.

Runner length = table length + 2 x drop; width a quarter to a third of the table's (published
rules: engineerfix.com and ehow.com; drops of 6 to 12 in are common practice).
"""

from __future__ import annotations

from dataclasses import dataclass

from quiltpath.units import MM_PER_INCH

NARROWEST_SHARE, WIDEST_SHARE = 1 / 4, 1 / 3
SHORTEST_DROP_MM, LONGEST_DROP_MM = 6 * MM_PER_INCH, 12 * MM_PER_INCH


@dataclass(frozen=True)
class Table:
    """The table top in mm; ``place_mat_mm`` is how far mats reach in from the long edges."""

    length_mm: float
    width_mm: float
    place_mat_mm: float = 0.0


@dataclass(frozen=True)
class Fit:
    """How a finished runner lies on a table; lengths in mm.

    ``drop_mm`` is negative where the runner ends on the table. ``mat_clearance_mm`` is the bare
    strip between runner and place mat on each side, negative where they overlap.
    """

    table: Table
    length_mm: float
    width_mm: float

    @property
    def drop_mm(self) -> float:
        """Overhang at each end."""
        return (self.length_mm - self.table.length_mm) / 2

    @property
    def drop_is_usual(self) -> bool:
        """True from 6 to 12 in, or from 150 to 305 mm as a metric tape has it."""
        return SHORTEST_DROP_MM - 3 <= self.drop_mm <= LONGEST_DROP_MM + 1

    @property
    def width_share(self) -> float:
        """Runner width over table width."""
        return self.width_mm / self.table.width_mm

    @property
    def width_is_usual(self) -> bool:
        """True from a quarter to a third of the table, give or take three percent of it."""
        return NARROWEST_SHARE - 0.03 <= self.width_share <= WIDEST_SHARE + 0.03

    @property
    def mat_clearance_mm(self) -> float:
        """Room on each side between runner and place mat."""
        return (self.table.width_mm - self.width_mm) / 2 - self.table.place_mat_mm

    @property
    def fold_lines_mm(self) -> tuple[float, ...]:
        """Where the runner bends over the table's ends, from its left end; none without a drop."""
        if self.drop_mm <= 0:
            return ()
        return (self.drop_mm, self.length_mm - self.drop_mm)


def fit_to_table(table: Table, drop_mm: float, width_mm: float | None = None) -> Fit:
    """The finished size for ``table`` with ``drop_mm`` at each end.

    Without a width the runner takes a third of the table's.
    """
    width = table.width_mm * WIDEST_SHARE if width_mm is None else width_mm
    return Fit(table, table.length_mm + 2 * drop_mm, width)


def cut_size(finished_mm: float, quilting_share: float = 0.0, washing_share: float = 0.0) -> float:
    """Size to cut so that ``finished_mm`` is left after quilting and washing draw the piece up.

    finished / ((1 - q)(1 - w)): the two follow each other, so the shares multiply.
    """
    for share in (quilting_share, washing_share):
        if not 0 <= share < 1:
            raise ValueError("a share drawn up lies from 0 to below 1")
    return finished_mm / ((1 - quilting_share) * (1 - washing_share))
