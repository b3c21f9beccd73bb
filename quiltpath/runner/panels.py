"""From the table and the panels at hand to a size: what they give, and where each is trimmed.

Runner length = table length + 2 x drop; width a quarter to a third of the table's (published
rules: engineerfix.com and ehow.com; drops of 6 to 12 in are common practice).

A panel is printed on cloth that is a little larger; its print ends in a strip of sashing at each
end. Two panels meet in a sashing strip (each end strip is trimmed to half the finished sashing
plus one seam allowance) or across the print (a printed overlap, nothing trimmed). The join stays
in the centre: whatever must come off the length comes off both ends alike.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from enum import Enum

from quiltpath.language import message
from quiltpath.units import MM_PER_INCH

LEEWAY_MM = 0.5
"""Rounding to a ruler's marks may leave a runner this much short."""

SLIVER_MM = 1e-6

NARROWEST_SHARE, WIDEST_SHARE = 1 / 4, 1 / 3
SHORTEST_DROP_MM, LONGEST_DROP_MM = 6 * MM_PER_INCH, 12 * MM_PER_INCH


@dataclass(frozen=True)
class Panel:
    """One kind of panel, ``count`` of which are at hand; lengths in mm.

    ``length_mm``, ``width_mm``  the cloth as bought
    ``printed_length_mm``, ``printed_width_mm``  the print, end strips and overlap included
    ``end_strip_mm``  from the last printed line to the end of the print, 0 without end strips
    ``seam_mm``       seam allowance of the join
    ``overlap_mm``    extra print at each end for a join across the print, 0 where there is none
    """

    name: str
    length_mm: float
    width_mm: float
    printed_length_mm: float
    printed_width_mm: float
    end_strip_mm: float = 0.0
    seam_mm: float = 6.35
    overlap_mm: float = 0.0
    count: int = 1

    @property
    def rim_mm(self) -> tuple[float, float]:
        """Unprinted cloth at each end and along each side; the print lies in the middle."""
        return (
            (self.length_mm - self.printed_length_mm) / 2,
            (self.width_mm - self.printed_width_mm) / 2,
        )


class Join(Enum):
    """How the panels of a choice meet."""

    NONE = message("one panel")
    SASHING = message("two panels, joined in the sashing")
    PRINT = message("two panels, joined across the print")
    EDGE = message("two panels, joined edge to edge")


@dataclass(frozen=True)
class TrimLine:
    """A cut: so far from a printed line, outwards where positive; ``removed_mm`` of print goes."""

    panel: str
    where: str
    from_line: str
    offset_mm: float
    removed_mm: float


@dataclass(frozen=True)
class PanelChoice:
    """What one way of using the panels gives: a top before quilting; lengths in mm.

    ``fault`` says why the choice cannot be sewn; empty where it can.
    """

    panel: Panel
    join: Join
    length_mm: float
    width_mm: float
    drop_mm: float
    wanted_length_mm: float
    trims: tuple[TrimLine, ...]
    waste_mm2: float
    fault: str = ""

    @property
    def panels_used(self) -> int:
        """One or two."""
        return 1 if self.join is Join.NONE else 2

    @property
    def reaches(self) -> bool:
        """True where the wanted length is there."""
        return not self.fault and self.length_mm >= self.wanted_length_mm - LEEWAY_MM

    @property
    def waste_share(self) -> float:
        """Part of the cloth that is cut off."""
        cloth = self.panels_used * self.panel.length_mm * self.panel.width_mm
        return self.waste_mm2 / cloth

    def ends_off_mm(self, number: int) -> tuple[float, float]:
        """What comes off the print at the left and the right end of a panel, counted from 0."""
        off = {"left": 0.0, "right": 0.0}
        own = {"panel", ("left panel", "right panel")[number]}
        for trim in self.trims:
            if trim.panel in own and trim.where.split()[0] in off:
                off[trim.where.split()[0]] = trim.removed_mm
        return off["left"], off["right"]

    @property
    def end_off_mm(self) -> float:
        """What comes off the print at each outer end."""
        most = _longest(self.panel, self.join, self.inner_kept_mm)
        return max(0.0, (most - self.length_mm) / 2)

    @property
    def side_off_mm(self) -> float:
        """What comes off the print at each side."""
        return max(0.0, (self.panel.printed_width_mm - self.width_mm) / 2)

    @property
    def inner_kept_mm(self) -> float:
        """What is kept beyond the last printed line at a join in the sashing."""
        inner = [trim.offset_mm for trim in self.trims if trim.where.endswith("at the join")]
        return inner[0] if inner else 0.0


def inner_trim_mm(sashing_mm: float, seam_mm: float) -> float:
    """What is left of each end strip at a join in the sashing.

    Half the finished sashing plus one seam allowance; 2 in with 1/4 in seams: 1 1/4 in.
    """
    return sashing_mm / 2 + seam_mm


def panel_choices(
    panels: Sequence[Panel],
    table: Table,
    wanted_length_mm: float,
    width_mm: float,
    sashing_mm: float = 0.0,
    step_mm: float = 1.0,
    kept_share: float = 1.0,
    joined: bool | None = None,
) -> tuple[PanelChoice, ...]:
    """Every way to use the panels, the best first: it reaches, fewer panels, less waste.

    ``wanted_length_mm`` is what the top should measure, table length + 2 x drop with anything
    that quilting takes, of which ``kept_share`` is left when it is done. ``sashing_mm`` is the
    finished sashing; trimming lines are rounded to ``step_mm``, or exact where that is 0.
    ``joined`` asks for one panel or for two joined ones, where that can be; None leaves it open.
    An empty result means that there is no panel.
    """
    choices = [
        _choice(panel, join, table, wanted_length_mm, width_mm, sashing_mm, step_mm, kept_share)
        for panel in panels
        for join in _joins(panel, sashing_mm)
    ]
    asked = [choice for choice in choices if joined in (None, choice.join is not Join.NONE)]
    return tuple(sorted(asked or choices, key=_preference))


def _preference(choice: PanelChoice) -> tuple[bool, bool, float, int, float, str]:
    short = 0.0 if choice.reaches else choice.wanted_length_mm - choice.length_mm
    fault = bool(choice.fault)
    return (
        fault,
        not choice.reaches,
        short,
        choice.panels_used,
        choice.waste_mm2,
        choice.join.name,
    )


def _joins(panel: Panel, sashing_mm: float) -> list[Join]:
    joins = [Join.NONE] if panel.count >= 1 else []
    if panel.count >= 2 and sashing_mm > 0 and panel.end_strip_mm > 0:
        joins.append(Join.SASHING)
    if panel.count >= 2 and panel.overlap_mm > 0:
        joins.append(Join.PRINT)
    if panel.count >= 2 and len(joins) == 1:
        joins.append(Join.EDGE)
    return joins


def _choice(
    panel: Panel,
    join: Join,
    table: Table,
    wanted: float,
    width_mm: float,
    sashing_mm: float,
    step_mm: float,
    kept_share: float,
) -> PanelChoice:
    kept = inner_trim_mm(sashing_mm, panel.seam_mm)
    kept = round(kept / step_mm) * step_mm if step_mm else kept
    most = _longest(panel, join, kept)
    end_off = _to_step(max(0.0, (most - wanted) / 2), step_mm)
    side_off = _to_step(max(0.0, (panel.printed_width_mm - width_mm) / 2), step_mm)
    length, width = most - 2 * end_off, panel.printed_width_mm - 2 * side_off
    trims = (*_inner_trims(panel, join, kept), *_outer_trims(panel, join, end_off))
    trims += _side_trims(side_off)
    used = _cut_area(panel, join, length, width)
    cloth = (1 if join is Join.NONE else 2) * panel.length_mm * panel.width_mm
    return PanelChoice(
        panel, join, length, width, (kept_share * length - table.length_mm) / 2, wanted, trims,
        cloth - used, _fault(panel, join, width_mm, sashing_mm),
    )  # fmt: skip


def _to_step(mm: float, step_mm: float) -> float:
    """Down to a mark of the ruler, so that nothing wanted is cut off."""
    return int(mm / step_mm + 1e-9) * step_mm if step_mm else mm


def _longest(panel: Panel, join: Join, kept: float) -> float:
    """Finished length before anything comes off the outer ends; ``kept`` of an inner end strip."""
    if join is Join.NONE:
        return panel.printed_length_mm
    if join is Join.SASHING:
        return 2 * (panel.printed_length_mm - panel.end_strip_mm + kept - panel.seam_mm)
    lost = panel.overlap_mm if join is Join.PRINT else panel.seam_mm
    return 2 * (panel.printed_length_mm - lost)


def _cut_area(panel: Panel, join: Join, length: float, width: float) -> float:
    """Cloth that goes into the runner, the seam allowances of the join with it."""
    seam = {Join.NONE: 0.0, Join.PRINT: panel.overlap_mm}.get(join, panel.seam_mm)
    return (length + 2 * seam) * width


def _inner_trims(panel: Panel, join: Join, kept: float) -> tuple[TrimLine, ...]:
    if join is not Join.SASHING:
        return ()
    off = max(0.0, panel.end_strip_mm - kept)
    return tuple(
        TrimLine(side, f"{end} end, at the join", "last printed line", kept, off)
        for side, end in (("left panel", "right"), ("right panel", "left"))
    )


def _outer_trims(panel: Panel, join: Join, off: float) -> tuple[TrimLine, ...]:
    if off < SLIVER_MM:
        return ()
    if join is Join.NONE:
        ends = (("panel", "left"), ("panel", "right"))
    else:
        ends = (("left panel", "left"), ("right panel", "right"))
    line = "first printed line" if panel.end_strip_mm else "end of the print"
    return tuple(
        TrimLine(side, f"{end} end", line, panel.end_strip_mm - off, off) for side, end in ends
    )


def _side_trims(off: float) -> tuple[TrimLine, ...]:
    if off < SLIVER_MM:
        return ()
    return tuple(
        TrimLine("each panel", side, "edge of the print", -off, off)
        for side in ("upper side", "lower side")
    )


def _fault(panel: Panel, join: Join, width_mm: float, sashing_mm: float) -> str:
    """Why this cannot be sewn, or nothing."""
    if panel.printed_width_mm < width_mm - LEEWAY_MM:
        return "the print is narrower than the runner"
    if join is Join.SASHING and panel.end_strip_mm < sashing_mm / 2:
        return "the end strip is narrower than half the finished sashing"
    beyond = (panel.length_mm - panel.printed_length_mm) / 2
    if join is Join.SASHING and panel.end_strip_mm + beyond < inner_trim_mm(
        sashing_mm, panel.seam_mm
    ):
        return "there is too little cloth for the seam allowance"
    if join is Join.PRINT and abs(panel.overlap_mm - panel.seam_mm) > LEEWAY_MM:
        return "the printed overlap is not as wide as the seam allowance"
    return ""


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
