"""What a check says: a stable code, a rank, a place, what is wrong and what would mend it."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from enum import Enum

from quiltpath.units import Units, say_in_units


class Rank(Enum):
    """How much a finding asks of a person."""

    STOP = "stop"
    """it will not hold, fit or load: ``quiltpath check`` exits with 1"""
    THINK = "think"
    """a person may want to change this"""
    RECORD = "record"
    """what the tool put right by itself, or what nobody sees: only in the report"""


RANKS = {
    "binding-allowance-short": Rank.STOP,
    "binding-too-short": Rank.STOP,
    "block-too-small": Rank.STOP,
    "gap-too-wide": Rank.STOP,
    "machine-cannot-sew-it": Rank.STOP,
    "panels-do-not-fit": Rank.STOP,
    "motif-too-small": Rank.STOP,
    "print-measures-disagree": Rank.STOP,
    "runner-too-large": Rank.STOP,
    "runner-too-small": Rank.STOP,
    "spacing-below-a-stitch": Rank.STOP,
    "strip-too-narrow": Rank.STOP,
    "turns-at-the-trim-line": Rank.STOP,
    "bobbin-change": Rank.RECORD,
    "cloth-too-short": Rank.RECORD,
    "drawing-simplified": Rank.RECORD,
    "gap-closed": Rank.RECORD,
    "gap-often-washed": Rank.RECORD,
    "hole-worn": Rank.RECORD,
    "line-near-edge": Rank.RECORD,
    "one-line": Rank.RECORD,
    "print-followed": Rank.RECORD,
    "print-nearly-even": Rank.RECORD,
    "pulls-askew-on-the-way": Rank.RECORD,
    "regions-uneven": Rank.RECORD,
    "sewn-once": Rank.RECORD,
    "short-dropped": Rank.RECORD,
    "short-joined": Rank.RECORD,
    "short-run": Rank.RECORD,
    "top-not-laid-out": Rank.RECORD,
}
"""By code; what is not named here is to be thought about. A check may call a slight case mild."""

MOST_TO_THINK_ABOUT = 5


@dataclass(frozen=True)
class Setting:
    """One key of a layer (by its number) and what is to stand there; empty to leave it out."""

    layer: int
    key: str
    value: str


@dataclass(frozen=True)
class Remedy:
    """What would mend it, in words, and as settings where it can be said so."""

    words: str
    settings: tuple[Setting, ...] = ()


@dataclass(frozen=True)
class Finding:
    """One thing to know before sewing.

    ``code``    stable, in words joined by hyphens, such as ``"gap-too-wide"``
    ``message`` what is wrong, in plain words with the figures
    ``remedy``  what would mend it
    ``at_mm``   the place on the runner, where there is one
    ``where``   the same in words, as a quilter says it
    ``settings`` the remedy as keys of the project file, where it is that plain
    ``mild``    true where the check finds the case too slight to be asked about
    """

    code: str
    message: str
    remedy: str = ""
    at_mm: tuple[float, float] | None = None
    mild: bool = False
    where: str = ""
    settings: tuple[Setting, ...] = ()

    def in_units(self, units: Units) -> Finding:
        """The same with its lengths in the units that were asked for."""
        if units == "both":
            return self
        message, remedy = say_in_units(self.message, units), say_in_units(self.remedy, units)
        return replace(self, message=message, remedy=remedy, where=say_in_units(self.where, units))

    @property
    def rank(self) -> Rank:
        """What it asks of a person."""
        return Rank.RECORD if self.mild else RANKS.get(self.code, Rank.THINK)

    @property
    def fails(self) -> bool:
        """True where the check says no (``quiltpath check`` then exits with 1)."""
        return self.rank is Rank.STOP

    @property
    def text(self) -> str:
        """Message, place and remedy as one line."""
        told = f"{self.message} ({self.where})" if self.where else self.message
        return f"{told}; {self.remedy}" if self.remedy else told


def for_a_person(findings: Iterable[Finding]) -> tuple[Finding, ...]:
    """What a person is told: all that stops the work, then a few things to think about.

    Like ones are joined, and nothing that is only for the record is among them.
    """
    joined: dict[str, list[Finding]] = {}
    for finding in findings:
        if finding.rank is not Rank.RECORD:
            joined.setdefault(finding.code, []).append(finding)
    told = [_together(alike) for alike in joined.values()]
    stops = [finding for finding in told if finding.rank is Rank.STOP]
    thoughts = [finding for finding in told if finding.rank is Rank.THINK]
    return (*stops, *thoughts[:MOST_TO_THINK_ABOUT])


def _together(alike: list[Finding]) -> Finding:
    first, *others = alike
    if not others:
        return first
    return replace(first, message=f"{first.message}, and {len(others)} more like it")
