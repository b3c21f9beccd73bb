"""How an unevenly quilted piece will lie, in the words of the trade."""

from __future__ import annotations

from collections.abc import Callable, Iterator

from quiltpath.checks.distortion import TOLD_MM, Distortion, EdgeBow, Sizes

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

PARTS = {1 / 4: "a quarter", 1 / 3: "a third", 2 / 3: "two thirds", 3 / 4: "three quarters"}
"""Places between, as an eye finds them."""


def distortion_words(
    distortion: Distortion, length: Length, least_mm: float = TOLD_MM
) -> tuple[str, ...]:
    """Clauses without a full stop, the width first.

    What is less than ``least_mm``, or than a quarter of the worst, is left out.
    """
    least_mm = max(least_mm, WORTH_SHARE * distortion.worst_mm)
    across = _Words(distortion.widths, "narrower", "long edges", ("upwards", "downwards"))
    along = _Words(distortion.lengths, "shorter", "ends", ("to the right", "to the left"))
    return (*across.told(length, least_mm), *along.told(length, least_mm))


class _Words:
    """The words for one way of measuring: widths along the piece, or lengths across it."""

    def __init__(self, sizes: Sizes, smaller: str, edges: str, ways: tuple[str, str]) -> None:
        self._sizes, self._smaller, self._edges, self._ways = sizes, smaller, edges, ways
        along = smaller == "narrower"
        self._places = ("left end", "right end") if along else ("lower edge", "upper edge")
        self._both = "ends" if along else "long edges"
        self._way = "from the left end" if along else "up"

    def told(self, length: Length, least_mm: float) -> Iterator[str]:
        """The difference of sizes, then the bow of the edges."""
        if self._sizes.spread_mm >= least_mm:
            few, many = self._smallest_and_largest()
            verb = "come" if few.startswith(f"the {self._both}") else "comes"
            yield f"{few} {verb} out {length(self._sizes.spread_mm)} {self._smaller} than {many}"
        yield from self._bows(length, least_mm)

    def _smallest_and_largest(self) -> tuple[str, str]:
        more = self._sizes.more_mm
        least, most = int(more.argmin()), int(more.argmax())
        ends, enough = more[[0, -1]], BOTH_ENDS_SHARE * self._sizes.spread_mm
        if ends.min() - more[least] >= enough:
            return self._place(least), f"the {self._both}"
        if more[most] - ends.max() >= enough:
            return f"the {self._both}", self._place(most)
        return self._place(least), self._place(most)

    def _place(self, station: int) -> str:
        share = float(self._sizes.at_mm[station] / self._sizes.at_mm[-1])
        end = self._places[0] if share < 0.5 else self._places[1]
        away = min(share, 1 - share)
        if away <= NEAR_SHARE:
            return f"the part near the {end}" if away > END_SHARE else f"the {end}"
        if away >= 0.5 - MIDDLE_SHARE:
            return "the middle"
        part = PARTS[min(PARTS, key=lambda one: abs(one - share))]
        return f"the part {part} of the way {self._way}"

    def _bows(self, length: Length, least_mm: float) -> Iterator[str]:
        low, high = self._sizes.low, self._sizes.high
        lesser, greater = sorted((abs(low.bow_mm), abs(high.bow_mm)))
        if greater < least_mm:
            return
        if lesser < BOTH_EDGES_SHARE * greater:
            edge = low if abs(low.bow_mm) == greater else high
            yield f"the {edge.name} bows {_in_or_out(edge)} by {length(greater)}"
        elif low.bow_mm * high.bow_mm > 0:
            yield f"both {self._edges} bow {_in_or_out(low)} by {length(greater)}"
        else:
            way = self._ways[0] if self._sizes.curve_mm > 0 else self._ways[1]
            yield f"both {self._edges} curve {way} by {length(greater)}"


def _in_or_out(edge: EdgeBow) -> str:
    return "out" if edge.bow_mm > 0 else "in"
