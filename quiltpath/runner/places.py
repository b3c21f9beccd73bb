"""Where something lies, as a quilter says it: ``"block C1, 2 in from its left edge, ..."``."""

from __future__ import annotations

import itertools
from collections.abc import Sequence
from dataclasses import dataclass

import shapely
from shapely.geometry import Point

from quiltpath.geometry.runner_shapes import Region, RegionKind, Runner
from quiltpath.units import Measures, join_with_and

AT_MM = 3.0
"""What lies as near to an edge is said to lie on it."""

Words = tuple[tuple[str, str, str], tuple[str, str, str]]
SIDES: Words = (("left", "from", "to the left of"), ("right", "from", "to the right of"))
ROWS: Words = (("lower", "above", "below"), ("upper", "below", "above"))


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
    say = words or Measures()
    here = Point(at_mm)
    off = shapely.distance(runner.outline, here) > 0
    block = None if off else _nearest(runner.blocks, here)
    box = runner.outline.bounds if block is None else block.shape.bounds
    name = "the runner" if block is None else f"block {block.name}"
    across, along = _from_edge(at_mm[1], box[1::2], ROWS), _from_edge(at_mm[0], box[::2], SIDES)
    if abs(across.mm) <= AT_MM and abs(along.mm) <= AT_MM:
        return f"at the {across.edge} {along.edge} corner of {name}"
    if across.mm < -AT_MM and along.mm < -AT_MM:
        return f"beyond the {across.edge} {along.edge} corner of {name}"
    for one, other in ((across, along), (along, across)):
        if abs(one.mm) <= AT_MM:
            return f"on the {one.edge} edge of {name}, {other.in_words(say)}"
        if one.mm < 0:
            return f"{say.cut(-one.mm)} {one.outside} {name}, {other.in_words(say)}"
    if block is None:
        where = f"{along.in_words(say)}, {across.in_words(say)}"
        return where.replace("its", "the runner's", 1)
    return f"{name}, {along.in_words(say)}, {across.in_words(say)}"


@dataclass(frozen=True)
class _FromEdge:
    """Distance inwards from the nearer of two edges; ``outside`` is said of what lies beyond it."""

    mm: float
    edge: str
    inside: str
    outside: str

    def in_words(self, say: Measures) -> str:
        if abs(self.mm) <= AT_MM:
            return f"level with its {self.edge} edge"
        return f"{say.cut(abs(self.mm))} {self.inside} its {self.edge} edge"


def _from_edge(at: float, ends: tuple[float, float], words: Words) -> _FromEdge:
    low, high = at - ends[0], ends[1] - at
    return _FromEdge(low, *words[0]) if low <= high else _FromEdge(high, *words[1])


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
        return f"each of {_span(places)}"
    strips = {region.name: region for region in runner.regions if region.kind in STRIPS}
    told = [name for name in places if name not in strips]
    sides: dict[str, list[str]] = {}
    for name in places:
        if name in strips:
            side, beside = _beside_what(runner, strips[name])
            sides.setdefault(side, []).extend(beside)
    for side, beside in sides.items():
        told.append(f"{side} {_span(sorted(set(beside)))}" if side in ONE_SIDE else side)
    return ", ".join(told)


STRIPS = (RegionKind.SASHING, RegionKind.OUTER_SASHING, RegionKind.BORDER)


ONE_SIDE = ("right of", "left of", "above", "below")


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
        return f"between {_span(before)} and {_span(behind)}", []
    if not before and not behind:
        return strip.name, []
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
        return f"{names[0]} to {names[-1]}"
    return join_with_and(list(names))


def lean_words(angle_deg: float, both_ways: bool = False) -> str:
    """An angle as it is seen: along, across, on the diagonal, rising to one side."""
    if angle_deg in (0.0, 90.0):
        return "across the runner" if angle_deg else "along the runner"
    slope = min(angle_deg, 180.0 - angle_deg)
    how = "on the diagonal" if slope == 45.0 else f"at {slope:g} degrees"
    return f"{how}, {'both ways' if both_ways else 'rising to the ' + _side(angle_deg)}"


def _side(angle_deg: float) -> str:
    return "right" if angle_deg < 90.0 else "left"
