"""Where something lies, as a quilter says it: ``"block C1, 2 in from its left edge, ..."``."""

from __future__ import annotations

from dataclasses import dataclass

import shapely
from shapely.geometry import Point

from quiltpath.geometry.runner_shapes import Region, Runner
from quiltpath.units import Measures

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
