"""How an unevenly quilted piece will lie, in the words of the trade."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass

from quiltpath.checks.distortion import TOLD_MM, Distortion, EdgeBow, Sizes
from quiltpath.language import message, say_filled, say_known

Length = Callable[[float], str]
"""Says a length in the units that the reader asked for."""

END_SHARE, NEAR_SHARE, MIDDLE_SHARE = 0.02, 0.15, 0.08
"""Places so near an end, or the middle, go by that name."""
BOTH_ENDS_SHARE = 2 / 3
"""Both ends stand against the middle where the lesser difference is so much of the greater."""
BOTH_EDGES_SHARE = 0.5
"""Both edges bow where the lesser bow is so much of the greater."""
WORTH_SHARE = 0.25
"""Beside the worst, what is less than so much of it is not worth a word."""


@dataclass(frozen=True)
class _WayWords:
    """The words for one way of measuring: widths along the piece, or lengths across it.

    ``ends``     the first and the last place, ``near`` beside them, ``both`` of them together
    ``parts``    places between by their share of the way, as an eye finds them
    ``one``      what is said of one place that is smaller, ``several`` of two
    ``both_bow`` of both edges that bow out or in, ``curves`` of both that bow one way
    """

    ends: tuple[str, str]
    near: tuple[str, str]
    both: str
    parts: Mapping[float, str]
    one: str
    several: str
    both_bow: tuple[str, str]
    curves: tuple[str, str]


ACROSS = _WayWords(
    (message("the left end"), message("the right end")),
    (message("the part near the left end"), message("the part near the right end")),
    message("the ends"),
    {
        1 / 4: message("the part a quarter of the way from the left end"),
        1 / 3: message("the part a third of the way from the left end"),
        2 / 3: message("the part two thirds of the way from the left end"),
        3 / 4: message("the part three quarters of the way from the left end"),
    },
    message("{small} comes out {by} narrower than {large}"),
    message("{small} come out {by} narrower than {large}"),
    (message("both long edges bow out by {by}"), message("both long edges bow in by {by}")),
    (
        message("both long edges curve upwards by {by}"),
        message("both long edges curve downwards by {by}"),
    ),
)
ALONG = _WayWords(
    (message("the lower edge"), message("the upper edge")),
    (message("the part near the lower edge"), message("the part near the upper edge")),
    message("the long edges"),
    {
        1 / 4: message("the part a quarter of the way up"),
        1 / 3: message("the part a third of the way up"),
        2 / 3: message("the part two thirds of the way up"),
        3 / 4: message("the part three quarters of the way up"),
    },
    message("{small} comes out {by} shorter than {large}"),
    message("{small} come out {by} shorter than {large}"),
    (message("both ends bow out by {by}"), message("both ends bow in by {by}")),
    (
        message("both ends curve to the right by {by}"),
        message("both ends curve to the left by {by}"),
    ),
)
MIDDLE = message("the middle")
BOWS = message("{edge} bows out by {by}"), message("{edge} bows in by {by}")


def distortion_words(distortion: Distortion, length: Length) -> tuple[str, ...]:
    """Clauses without a full stop, the width first.

    What is less than ``TOLD_MM``, or than a quarter of the worst, is left out.
    """
    least_mm = max(TOLD_MM, WORTH_SHARE * distortion.worst_mm)
    across = _Clauses(distortion.widths, ACROSS, ALONG.ends)
    along = _Clauses(distortion.lengths, ALONG, ACROSS.ends)
    return (*across.told(length, least_mm), *along.told(length, least_mm))


class _Clauses:
    """What is said of one way of measuring; ``edges`` are the two between which it is measured."""

    def __init__(self, sizes: Sizes, words: _WayWords, edges: tuple[str, str]) -> None:
        self._sizes, self._words, self._edges = sizes, words, edges

    def told(self, length: Length, least_mm: float) -> Iterator[str]:
        """The difference of sizes, then the bow of the edges."""
        if self._sizes.spread_mm >= least_mm:
            few, many = self._smallest_and_largest()
            clause = self._words.several if few == self._words.both else self._words.one
            by = length(self._sizes.spread_mm)
            yield say_filled(clause, small=say_known(few), by=by, large=say_known(many))
        yield from self._bows(length, least_mm)

    def _smallest_and_largest(self) -> tuple[str, str]:
        more = self._sizes.more_mm
        least, most = int(more.argmin()), int(more.argmax())
        ends, enough = more[[0, -1]], BOTH_ENDS_SHARE * self._sizes.spread_mm
        if ends.min() - more[least] >= enough:
            return self._place(least), self._words.both
        if more[most] - ends.max() >= enough:
            return self._words.both, self._place(most)
        return self._place(least), self._place(most)

    def _place(self, station: int) -> str:
        share = float(self._sizes.at_mm[station] / self._sizes.at_mm[-1])
        far = int(share >= 0.5)
        away = min(share, 1 - share)
        if away <= NEAR_SHARE:
            return self._words.near[far] if away > END_SHARE else self._words.ends[far]
        if away >= 0.5 - MIDDLE_SHARE:
            return MIDDLE
        parts = self._words.parts
        return parts[min(parts, key=lambda one: abs(one - share))]

    def _bows(self, length: Length, least_mm: float) -> Iterator[str]:
        low, high = self._sizes.low, self._sizes.high
        lesser, greater = sorted((abs(low.bow_mm), abs(high.bow_mm)))
        if greater < least_mm:
            return
        if lesser < BOTH_EDGES_SHARE * greater:
            far = int(abs(low.bow_mm) != greater)
            clause, edge = BOWS[_inwards((low, high)[far])], say_known(self._edges[far])
            yield say_filled(clause, edge=edge, by=length(greater))
        elif low.bow_mm * high.bow_mm > 0:
            yield say_filled(self._words.both_bow[_inwards(low)], by=length(greater))
        else:
            clause = self._words.curves[int(self._sizes.curve_mm <= 0)]
            yield say_filled(clause, by=length(greater))


def _inwards(edge: EdgeBow) -> int:
    return int(edge.bow_mm <= 0)
