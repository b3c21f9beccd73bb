"""Where something lies, as a quilter says it: ``"block C1, 2 in from its left edge, ..."``."""

from __future__ import annotations

import itertools
from collections.abc import Sequence
from dataclasses import dataclass

import shapely
from shapely.geometry import Point

from quiltpath.geometry.runner_shapes import Region, RegionKind, Runner
from quiltpath.language import message, say, say_filled, say_known
from quiltpath.units import Measures, join_with_and

AT_MM = 3.0
"""What lies as near to an edge is said to lie on it."""


@dataclass(frozen=True)
class _EdgeWords:
    """What is said of a place level with an edge, inside it, outside of it, and on it.

    ``level_whole`` and ``inside_whole`` name the runner, for one without blocks.
    """

    name: str
    level: str
    inside: str
    outside: str
    on: str
    level_whole: str = ""
    inside_whole: str = ""


Words = tuple[_EdgeWords, _EdgeWords]
SIDES: Words = (
    _EdgeWords(
        "left",
        message("level with its left edge"),
        message("{far} from its left edge"),
        message("{far} to the left of {name}"),
        message("on the left edge of {name}"),
        message("level with the runner's left edge"),
        message("{far} from the runner's left edge"),
    ),
    _EdgeWords(
        "right",
        message("level with its right edge"),
        message("{far} from its right edge"),
        message("{far} to the right of {name}"),
        message("on the right edge of {name}"),
        message("level with the runner's right edge"),
        message("{far} from the runner's right edge"),
    ),
)
ROWS: Words = (
    _EdgeWords(
        "lower",
        message("level with its lower edge"),
        message("{far} above its lower edge"),
        message("{far} below {name}"),
        message("on the lower edge of {name}"),
    ),
    _EdgeWords(
        "upper",
        message("level with its upper edge"),
        message("{far} below its upper edge"),
        message("{far} above {name}"),
        message("on the upper edge of {name}"),
    ),
)
CORNERS = {
    ("lower", "left"): message("the lower left corner of {name}"),
    ("lower", "right"): message("the lower right corner of {name}"),
    ("upper", "left"): message("the upper left corner of {name}"),
    ("upper", "right"): message("the upper right corner of {name}"),
}


def place_on(runner: Runner, at_mm: tuple[float, float], words: Measures | None = None) -> str:
    """The place of a point, from edges that can be seen on the cloth.

    Args:
        runner: the runner as it lies flat.
        at_mm: the point in mm from the runner's lower left corner.
        words: the units in which lengths are said; both, if not given.

    Returns:
        The block that it lies in, or beside, with the distances from the block's nearest edges;
        on a runner without blocks those from the runner's ends and edges.

    Example:
        >>> from quiltpath.project import parse
        >>> from quiltpath.runner import build
        >>> runner = build(parse('runner = { length = "600 mm", width = "200 mm" }'))
        >>> place_on(runner, (25.4, 150.0), Measures("metric"))
        "25.5 mm from the runner's left edge, 50 mm below its upper edge"
    """
    measures = words or Measures()
    here = Point(at_mm)
    off = shapely.distance(runner.outline, here) > 0
    block = None if off else _nearest(runner.blocks, here)
    box = runner.outline.bounds if block is None else block.shape.bounds
    name = say("the runner") if block is None else say("block {name}", name=block.name)
    across, along = _from_edge(at_mm[1], box[1::2], ROWS), _from_edge(at_mm[0], box[::2], SIDES)
    if abs(across.mm) <= AT_MM and abs(along.mm) <= AT_MM:
        return say("at {corner}", corner=_corner(across, along, name))
    if across.mm < -AT_MM and along.mm < -AT_MM:
        return say("beyond {corner}", corner=_corner(across, along, name))
    for one, other in ((across, along), (along, across)):
        if abs(one.mm) <= AT_MM:
            return f"{say_filled(one.words.on, name=name)}, {other.in_words(measures)}"
        if one.mm < 0:
            far = measures.cut(-one.mm)
            outside = say_filled(one.words.outside, far=far, name=name)
            return f"{outside}, {other.in_words(measures)}"
    if block is None:
        return f"{along.in_words(measures, whole=True)}, {across.in_words(measures)}"
    return f"{name}, {along.in_words(measures)}, {across.in_words(measures)}"


@dataclass(frozen=True)
class _FromEdge:
    """Distance inwards from the nearer of two edges, and the words for it."""

    mm: float
    words: _EdgeWords

    def in_words(self, measures: Measures, *, whole: bool = False) -> str:
        if abs(self.mm) <= AT_MM:
            return say_known(self.words.level_whole if whole else self.words.level)
        inside = self.words.inside_whole if whole else self.words.inside
        return say_filled(inside, far=measures.cut(abs(self.mm)))


def _from_edge(at: float, ends: tuple[float, float], words: Words) -> _FromEdge:
    low, high = at - ends[0], ends[1] - at
    return _FromEdge(low, words[0]) if low <= high else _FromEdge(high, words[1])


def _corner(across: _FromEdge, along: _FromEdge, name: str) -> str:
    return say_filled(CORNERS[across.words.name, along.words.name], name=name)


def _nearest(blocks: tuple[Region, ...], here: Point) -> Region | None:
    if not blocks:
        return None
    far = shapely.distance([block.shape for block in blocks], here)
    return blocks[int(far.argmin())]


def places_in_words(runner: Runner, places: Sequence[str]) -> str:
    """Places that are meant together: blocks by their letters, strips by the blocks beside them.

    Nobody finds "sashing 7" on the cloth.

    Example:
        >>> from quiltpath.project import parse
        >>> from quiltpath.runner import build
        >>> runner = build(parse('''
        ... units = "mm"
        ... runner = { length = 400, width = 120 }
        ... grid = { along = 3, sashing = 20, outer_sashing = 10 }
        ... '''))
        >>> places_in_words(runner, ["A1", "B1", "C1"])
        'each of A1 to C1'
        >>> places_in_words(runner, ["sashing 1", "sashing 2"])
        'left of A1, between A1 and B1'
    """
    if len(places) > 2 and _in_a_row(places):
        return say("each of {blocks}", blocks=_span(places))
    strips = {region.name: region for region in runner.regions if region.kind in STRIPS}
    told = [region_words(name) for name in places if name not in strips]
    sides: dict[str, list[str]] = {}
    for name in places:
        if name in strips:
            side, beside = _beside_what(runner, strips[name])
            sides.setdefault(side, []).extend(beside)
    for side, beside in sides.items():
        told.append(say_filled(side, blocks=_span(sorted(set(beside)))) if beside else side)
    return ", ".join(told)


def lie_beside_blocks(runner: Runner, places: Sequence[str]) -> bool:
    """Whether :func:`places_in_words` tells of a strip by the blocks beside it."""
    if len(places) > 2 and _in_a_row(places):
        return False
    strips = [region for region in runner.regions if region.name in places]
    strips = [region for region in strips if region.kind in STRIPS]
    return any(_beside_what(runner, strip)[0] != region_words(strip.name) for strip in strips)


STRIPS = (RegionKind.SASHING, RegionKind.OUTER_SASHING, RegionKind.BORDER)


ONE_SIDE = (
    message("right of {blocks}"),
    message("left of {blocks}"),
    message("above {blocks}"),
    message("below {blocks}"),
)


def _beside_what(runner: Runner, strip: Region) -> tuple[str, list[str]]:
    """A strip by the blocks on both its long sides, or on one with their names."""
    x0, y0, x1, y1 = strip.shape.bounds
    upright = y1 - y0 > x1 - x0
    low, high = (x0, x1) if upright else (y0, y1)
    before: list[str] = []
    behind: list[str] = []
    for block in runner.blocks:
        if shapely.distance(block.shape, strip.shape) < AT_MM:
            own = block.shape.bounds
            middle = (own[0] + own[2]) / 2 if upright else (own[1] + own[3]) / 2
            (before if middle < (low + high) / 2 else behind).append(block.name)
    if before and behind:
        return say("between {one} and {other}", one=_span(before), other=_span(behind)), []
    if not before and not behind:
        return region_words(strip.name), []
    sides = ONE_SIDE[:2] if upright else ONE_SIDE[2:]
    return sides[0] if before else sides[1], before or behind


def _in_a_row(names: Sequence[str]) -> bool:
    """Blocks with letters that follow one another, all in one row."""
    letters = [name[:1] for name in names]
    alike = len({name[1:] for name in names}) == 1 and all(len(name) == 2 for name in names)
    return alike and all(ord(b) - ord(a) == 1 for a, b in itertools.pairwise(letters))


def _span(names: Sequence[str]) -> str:
    """``"A1 to F1"``, or each by its name."""
    if len(names) > 2 and _in_a_row(names):
        return say("{first} to {last}", first=names[0], last=names[-1])
    return join_with_and(list(names))


def lean_words(angle_deg: float, both_ways: bool = False) -> str:
    """An angle as it is seen: along, across, on the diagonal, rising to one side."""
    if angle_deg in (0.0, 90.0):
        return say("across the runner") if angle_deg else say("along the runner")
    slope = min(angle_deg, 180.0 - angle_deg)
    how = say("on the diagonal") if slope == 45.0 else say("at {slope:g} degrees", slope=slope)
    if both_ways:
        return f"{how}, {say('both ways')}"
    rising = say("rising to the right") if angle_deg < 90.0 else say("rising to the left")
    return f"{how}, {rising}"


def region_words(name: str) -> str:
    """A part of the runner by its name: ``"sashing 7, part 2"``; blocks keep theirs."""
    if name == "runner":
        return say("runner")
    whole, _, part = name.partition(", part ")
    return (
        say("{whole}, part {part}", whole=say_known(whole), part=part) if part else say_known(name)
    )
