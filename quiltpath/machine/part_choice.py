"""What dividing a design into parts costs a person, and which way of dividing it was taken.

A loading takes a quarter of an hour, a cut in the open is seen for as long as the runner lasts, a
start is a thread to hold and two ends, a hidden cut is no more than a place to meet. So they are
counted in this order, and what comes later only decides between equals.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import NamedTuple

from quiltpath.language import messages, say
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
            fewest = count(self.fewest, part, parts)
            told.append(
                say("No division takes fewer than {fewest}.", fewest=fewest)
                if self.fewest < cost.loadings
                else say("Fewer than {fewest} do not reach all of it.", fewest=fewest)
            )
        return tuple(told)


def _taken(cost: PartCost, way: PartWay, part: str, parts: str) -> str:
    clamped = f"{count(cost.loadings, part, parts)}{_setting(way)}"
    starts = count(cost.starts, "start of thread", "starts of thread")
    return f"{clamped}: {_cuts(cost)}; {starts}."


def _cuts(cost: PartCost) -> str:
    if not cost.cuts:
        return say("no line goes on from one into the next")
    lines = count(cost.cuts, "line goes", "lines go")
    if not cost.open_cuts:
        return say(
            "{lines} on from one into the next, each joined where it is not seen", lines=lines
        )
    return say(
        "{lines} on from one into the next, {open} of them joined where it may be seen",
        lines=lines,
        open=cost.open_cuts,
    )


def _setting(way: PartWay) -> str:
    said = [say("crosswise")] if way.crosswise else []
    if way.overlap_mm:
        said.append(say("overlapping by {far} or more", far=_length(way.overlap_mm)))
    if way.overrun_mm is not None:
        said.append(say("lines ending {far} beyond the edge", far=_length(way.overrun_mm)))
    return f" ({', '.join(said)})" if said else ""


def _next_best(taken: PartDivision, other: PartDivision, part: str, parts: str) -> str:
    """The runner-up in words, with what sets it apart."""
    mine, its = taken.cost, other.cost
    said = [
        _difference(its.open_cuts - mine.open_cuts, *OPEN_CUTS),
        _difference(its.starts - mine.starts, *STARTS) if other.sewn else "",
        _difference(its.hidden_cuts - mine.hidden_cuts, *HIDDEN_CUTS),
    ]
    kept = [words for words in said if words]
    what = ", ".join(kept) if kept else say("as many cuts")
    return say(
        "Next best: {parts}{apart}: {what}.",
        parts=count(its.loadings, part, parts),
        apart=_apart(taken.way, other.way),
        what=what,
    )


def _apart(mine: PartWay, other: PartWay) -> str:
    """What sets the other way apart from mine."""
    said = []
    if other.crosswise != mine.crosswise:
        said.append(say("crosswise") if other.crosswise else say("lengthwise"))
    if other.overlap_mm not in (mine.overlap_mm, 0.0) and mine.overlap_mm:
        said.append(say("overlapping by {far} or more", far=_length(other.overlap_mm)))
    if other.overrun_mm != mine.overrun_mm:
        out = other.overrun_mm
        said.append(
            say("lines ending as in the guide")
            if out is None
            else say("lines ending {far} out", far=_length(out))
        )
    if not said and other.line_mm != mine.line_mm:
        at = say(", ").join(_length(line) for line in other.line_mm[:MOST_TOLD])
        said.append(
            say("meeting {at} from the left end", at=at)
            if other.crosswise
            else say("meeting {at} from the near edge", at=at)
        )
    return f" ({', '.join(said)})" if said else ""


def _length(mm: float) -> str:
    return both_units(mm, 16)


Names = tuple[str, str]
"""Of one and of several."""

OPEN_CUTS = (
    messages("more cut in the open", "more cuts in the open"),
    messages("fewer cut in the open", "fewer cuts in the open"),
)
STARTS = messages("more start", "more starts"), messages("fewer start", "fewer starts")
HIDDEN_CUTS = (
    messages("more hidden cut", "more hidden cuts"),
    messages("fewer hidden cut", "fewer hidden cuts"),
)


def _difference(difference: int, more: Names, fewer: Names) -> str:
    if not difference:
        return ""
    return count(abs(difference), *(more if difference > 0 else fewer))
