"""From panels as bought to the flat top, step by step, as values that can be carried out.

Every cut is measured from a line that a person can see on the cloth, outwards from the middle of
the piece, and says what it keeps beyond that line and what falls off.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from enum import Enum

from quiltpath.language import message
from quiltpath.project import Project
from quiltpath.runner.panels import SLIVER_MM, Join, Panel, PanelChoice, Table, panel_choices
from quiltpath.runner.states import Pair


class PieceEdge(Enum):
    """An edge of a piece as it lies, right side up."""

    LEFT = message("left end")
    RIGHT = message("right end")
    LOWER = message("lower edge")
    UPPER = message("upper edge")

    @property
    def is_end(self) -> bool:
        """True for the two ends."""
        return self in (PieceEdge.LEFT, PieceEdge.RIGHT)


class SeenLine(Enum):
    """A line on the cloth from which a cut is measured."""

    PRINT = "the outer edge of the print"
    OUTERMOST = "the outermost printed line"
    CLOTH = "the edge of the cloth"


@dataclass(frozen=True)
class PanelCut:
    """A straight cut along one edge of a piece; lengths in mm.

    ``beyond_mm``  cloth that is kept beyond the line; below 0 the cut lies inside it
    ``off_mm``     cloth that falls off
    """

    piece: str
    edge: PieceEdge
    line: SeenLine
    beyond_mm: float
    off_mm: float


@dataclass(frozen=True)
class PanelSeam:
    """Two pieces sewn together, the right end of one to the left end of the other."""

    left: str
    right: str
    seam_mm: float
    into: str


@dataclass(frozen=True)
class PanelMeasure:
    """What a piece must measure now, in mm."""

    piece: str
    length_mm: float
    width_mm: float


PanelStep = PanelCut | PanelSeam | PanelMeasure
TOP = "top"

NEARLY_WIDE_SHARE = 0.95
"""A print that is narrower by less is used as it is: quilting took the difference, no slip did."""


def panels_at_hand(
    project: Project, flat_mm: Pair, kept_share: float = 1.0
) -> tuple[PanelChoice, ...]:
    """Every way to make a flat top of that size from the project's panels, the best first."""
    copies = project.materials.copies
    panels = [
        Panel(p.name, *p.size, *p.print_mm, p.end_strip, p.seam, p.overlap, p.count // copies)
        for p in project.panel
        if p.count >= copies
    ]
    table = project.table
    widest = max((panel.printed_width_mm for panel in panels), default=0.0)
    if NEARLY_WIDE_SHARE * flat_mm[1] <= widest < flat_mm[1]:
        flat_mm = flat_mm[0], widest
    return panel_choices(
        panels,
        Table(table.length, table.width, table.place_mats) if table else Table(*flat_mm),
        *flat_mm,
        sashing_mm=project.grid.sashing if project.grid else 0.0,
        step_mm=0.0,
        kept_share=kept_share,
        joined=project.runner.panel_join != "none",
    )


def panel_steps(choice: PanelChoice) -> tuple[PanelStep, ...]:
    """All cuts of the panels, their seam, and what the flat top then measures."""
    names = piece_names(choice)
    cuts = [cut for number, name in enumerate(names) for cut in _cuts(choice, number, name)]
    seam = [PanelSeam(names[0], names[1], choice.panel.seam_mm, TOP)] if len(names) > 1 else []
    whole = TOP if len(names) > 1 else names[0]
    return (*cuts, *seam, PanelMeasure(whole, choice.length_mm, choice.width_mm))


def piece_names(choice: PanelChoice) -> tuple[str, ...]:
    """What the panels are called before they are joined."""
    return (
        (message("panel"),)
        if choice.join is Join.NONE
        else (message("left panel"), message("right panel"))
    )


def _cuts(choice: PanelChoice, number: int, name: str) -> Iterator[PanelCut]:
    """Round the print first, then the ends, then the sides."""
    panel, (rim_x, rim_y) = choice.panel, choice.panel.rim_mm
    inner = _inner_edge(choice, number)
    # A strip that is narrower than its seam needs takes the rest from the rim.
    keeps_rim = choice.join is Join.SASHING and choice.inner_kept_mm > panel.end_strip_mm
    for edge in PieceEdge:
        rim = rim_x if edge.is_end else rim_y
        if rim > SLIVER_MM and not (keeps_rim and edge is inner):
            yield PanelCut(name, edge, SeenLine.PRINT, 0.0, rim)
    for edge in (PieceEdge.LEFT, PieceEdge.RIGHT):
        if edge is inner:
            yield from _inner_cut(choice, name, edge, rim_x if keeps_rim else 0.0)
        elif choice.end_off_mm > SLIVER_MM:
            yield _end_cut(panel, name, edge, choice.end_off_mm)
    if choice.side_off_mm > SLIVER_MM:
        off = choice.side_off_mm
        yield from (
            PanelCut(name, edge, SeenLine.CLOTH, -off, off)
            for edge in (PieceEdge.LOWER, PieceEdge.UPPER)
        )


def _inner_edge(choice: PanelChoice, number: int) -> PieceEdge | None:
    if choice.join is Join.NONE:
        return None
    return PieceEdge.RIGHT if number == 0 else PieceEdge.LEFT


def _inner_cut(choice: PanelChoice, name: str, edge: PieceEdge, rim: float) -> Iterator[PanelCut]:
    if choice.join is Join.SASHING:
        off = choice.panel.end_strip_mm + rim - choice.inner_kept_mm
        if off > SLIVER_MM:
            yield PanelCut(name, edge, SeenLine.OUTERMOST, choice.inner_kept_mm, off)


def _end_cut(panel: Panel, name: str, edge: PieceEdge, off: float) -> PanelCut:
    if panel.end_strip_mm > 0:
        return PanelCut(name, edge, SeenLine.OUTERMOST, panel.end_strip_mm - off, off)
    return PanelCut(name, edge, SeenLine.CLOTH, -off, off)


def reachable_size_mm(project: Project, wanted: Sequence[float]) -> Pair:
    """The flat size that the panels give where they fall short of the wanted one, in mm."""
    wanted_mm = float(wanted[0]), float(wanted[1])
    if not project.panel:
        return wanted_mm
    best = next(iter(panels_at_hand(project, wanted_mm)), None)
    if best is None or best.fault:  # too few for the copies, or none that fits: findings say so
        return wanted_mm
    return min(wanted_mm[0], best.length_mm), min(wanted_mm[1], best.width_mm)
