"""What dividing a design into parts costs a person, and which way of dividing it was taken.

A loading takes a quarter of an hour, a cut in the open is seen for as long as the runner lasts, a
start is a thread to hold and two ends, a hidden cut is no more than a place to meet. So they are
counted in this order, and what comes later only decides between equals.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import NamedTuple

from quiltpath.units import both_units, count

MOST_TOLD = 3
"""Places where passes meet that are told; a list of more is not read."""


class PartCost(NamedTuple):
    """What a division costs, dearest first: less is better, compared in this order.

    ``loadings``     how often the work is clamped
    ``open_cuts``    cuts in lines at places that nothing hides
    ``starts``       starts of thread
    ``hidden_cuts``  cuts at a crossing, on the sashing or at a corner
    ``unevenness``   share of the sewing by which the largest part exceeds an even one, in percent
    """

    loadings: int
    open_cuts: int
    starts: int
    hidden_cuts: int
    unevenness: int

    @property
    def cuts(self) -> int:
        """Cuts in lines, open and hidden."""
        return self.open_cuts + self.hidden_cuts


def unevenness(lengths: Sequence[float]) -> int:
    """How much more than an even share the largest of ``lengths`` is, in whole percent."""
    even = sum(lengths) / max(len(lengths), 1)
    return round(100 * (max(lengths, default=0.0) / even - 1)) if even > 0 else 0


@dataclass(frozen=True)
class PartWay:
    """The setting of a division.

    ``overlap_mm``  what neighbours have in common at least
    ``overrun_mm``  how far lines run on beyond the edge where that was shortened, else None
    ``crosswise``   the whole runner lies turned a quarter in the machine
    ``line_mm``     where passes give way to each other, in mm across them
    """

    overlap_mm: float
    overrun_mm: float | None = None
    crosswise: bool = False
    line_mm: tuple[float, ...] = ()


@dataclass(frozen=True)
class PartDivision:
    """A way of dividing a design and what it costs; ``sewn`` is false where it was not put in
    sewing order, so that its starts are not known."""

    way: PartWay
    cost: PartCost
    sewn: bool = True


@dataclass(frozen=True)
class Choice:
    """The division that was taken, the next best one, and what none can do without.

    ``runner_up``  None where there is no other
    ``fewest``     loadings that no division can do without
    ``tried``      divisions that were looked at
    """

    taken: PartDivision
    runner_up: PartDivision | None = None
    fewest: int = 1
    tried: int = 1

    def words(self, part: str, parts: str) -> tuple[str, ...]:
        """For a sheet: what was taken, the next best, and the bound; ``part`` and ``parts`` name
        one loading and several."""
        cost, way = self.taken.cost, self.taken.way
        told = [_taken(cost, way, part, parts)]
        if self.runner_up is not None:
            told.append(_next_best(self.taken, self.runner_up, part, parts))
        if cost.loadings > 1:
            names = part if self.fewest == 1 else parts
            told.append(
                f"No division takes fewer than {self.fewest} {names}."
                if self.fewest < cost.loadings
                else f"Fewer than {self.fewest} {names} do not reach all of it."
            )
        return tuple(told)


def _taken(cost: PartCost, way: PartWay, part: str, parts: str) -> str:
    clamped = f"{cost.loadings} {part if cost.loadings == 1 else parts}{_setting(way)}"
    return f"{clamped}: {_cuts(cost)}; {count(cost.starts, 'start')} of thread."


def _cuts(cost: PartCost) -> str:
    if not cost.cuts:
        return "no line goes on from one into the next"
    on = (
        f"{count(cost.cuts, 'line')} {'goes' if cost.cuts == 1 else 'go'} on from one into the next"
    )
    if not cost.open_cuts:
        return f"{on}, each joined where it is not seen"
    return f"{on}, {cost.open_cuts} of them joined where it may be seen"


def _setting(way: PartWay) -> str:
    said = ["crosswise"] if way.crosswise else []
    if way.overlap_mm:
        said.append(f"overlapping by {_length(way.overlap_mm)} or more")
    if way.overrun_mm is not None:
        said.append(f"lines ending {_length(way.overrun_mm)} beyond the edge")
    return f" ({', '.join(said)})" if said else ""


def _next_best(taken: PartDivision, other: PartDivision, part: str, parts: str) -> str:
    """The runner-up in words, with what sets it apart."""
    mine, its = taken.cost, other.cost
    names = part if its.loadings == 1 else parts
    said = [
        _difference(its.open_cuts - mine.open_cuts, "cut", " in the open"),
        _difference(its.starts - mine.starts, "start", "") if other.sewn else "",
        _difference(its.hidden_cuts - mine.hidden_cuts, "hidden cut", ""),
    ]
    kept = [words for words in said if words]
    what = ", ".join(kept) if kept else "as many cuts"
    return f"Next best: {its.loadings} {names}{_apart(taken.way, other.way)}: {what}."


def _apart(mine: PartWay, other: PartWay) -> str:
    """What sets the other way apart from mine."""
    said = []
    if other.crosswise != mine.crosswise:
        said.append("crosswise" if other.crosswise else "lengthwise")
    if other.overlap_mm not in (mine.overlap_mm, 0.0) and mine.overlap_mm:
        said.append(f"overlapping by {_length(other.overlap_mm)} or more")
    if other.overrun_mm != mine.overrun_mm:
        out = other.overrun_mm
        said.append(f"lines ending {'as in the guide' if out is None else _length(out) + ' out'}")
    if not said and other.line_mm != mine.line_mm:
        at = ", ".join(_length(line) for line in other.line_mm[:MOST_TOLD])
        said.append(f"meeting {at} from the {'left end' if other.crosswise else 'near edge'}")
    return f" ({', '.join(said)})" if said else ""


def _length(mm: float) -> str:
    return both_units(mm, 16)


def _difference(more: int, what: str, where: str) -> str:
    if not more:
        return ""
    names = what if abs(more) == 1 else f"{what}s"
    return f"{abs(more)} {'more' if more > 0 else 'fewer'} {names}{where}"
