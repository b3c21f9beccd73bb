"""The traditional repertoire: one row a pattern."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Any

import shapely

from quiltpath.project.repertoire_layer import RepertoireLayer
from quiltpath.quilting.amount import check_amount
from quiltpath.quilting.curves import Points
from quiltpath.quilting.frame import Frame, frame_of
from quiltpath.quilting.lines import Remark
from quiltpath.quilting.region import Patch
from quiltpath.quilting.repertoire.bands import cable, leaf_vine
from quiltpath.quilting.repertoire.basket import bamboo, basket_weave
from quiltpath.quilting.repertoire.circles import orange_peel, overlapping_circles
from quiltpath.quilting.repertoire.meander import meander
from quiltpath.quilting.repertoire.one_line import one_line_crosshatch, one_line_remark
from quiltpath.quilting.repertoire.rows import serpentine, waves
from quiltpath.quilting.repertoire.shells import clamshells, fans
from quiltpath.quilting.repertoire.spirals import radiating, spiral, square_spiral
from quiltpath.quilting.repertoire.squares import concentric, interlocking_squares, nested_hexagons
from quiltpath.quilting.repertoire.switchback import switchback
from quiltpath.quilting.strokes import Strokes, gathered, strokes
from quiltpath.runner.runner import Runner

WALKING = "walking foot"
EITHER = "walking foot for large figures, darning foot for small ones"
FREE = "darning foot, or a frame machine"


@dataclass(frozen=True)
class Entry:
    """One pattern: how it is drawn, which foot or machine suits it, whether it is one path.

    ``in_frame`` draws in the axes of a rectangle; ``in_patch`` draws on the runner itself.
    ``one_path`` is true where a region that is a rectangle can be sewn in one run.
    ``hides_thread`` is true where the needle steps from line to line along one that is sewn, where
    a second thread hides. ``remark`` says what a person should know of the figures chosen.
    """

    foot: str
    one_path: bool
    in_frame: Callable[[Any, Frame], list[Points]] | None = None
    in_patch: Callable[[Any, Patch], list[Points]] | None = None
    cells: bool = False
    hides_thread: bool = False
    remark: Callable[..., Remark | None] | None = None


REPERTOIRE: dict[str, Entry] = {
    "waves": Entry(WALKING, False, waves),
    "serpentine": Entry(EITHER, False, serpentine),
    "switchback": Entry(EITHER, True, switchback),
    "meander": Entry(FREE, True, in_patch=meander),
    "clamshells": Entry(EITHER, True, clamshells),
    "fans": Entry(EITHER, False, fans, hides_thread=True),
    "orange-peel": Entry(EITHER, True, orange_peel),
    "overlapping-circles": Entry(EITHER, True, overlapping_circles),
    "interlocking-squares": Entry(WALKING, True, interlocking_squares),
    "nested-hexagons": Entry(WALKING, False, nested_hexagons),
    "basket-weave": Entry(WALKING, True, basket_weave),
    "bamboo": Entry(WALKING, False, bamboo, hides_thread=True),
    "spiral": Entry(EITHER, True, spiral, cells=True),
    "square-spiral": Entry(WALKING, True, square_spiral, cells=True),
    "concentric": Entry(WALKING, False, concentric, cells=True),
    "radiating": Entry(WALKING, False, radiating, cells=True),
    "one-line-crosshatch": Entry(WALKING, True, one_line_crosshatch, remark=one_line_remark),
    "cable": Entry(EITHER, True, in_patch=cable),
    "leaf-vine": Entry(FREE, True, in_patch=leaf_vine),
}


def repertoire(runner: Runner, layer: RepertoireLayer, patches: Sequence[Patch]) -> Strokes:
    """The lines of a pattern of the repertoire over every patch, fitted to each by itself."""
    entry = REPERTOIRE[layer.kind]
    area = sum(patch.shape.area for patch in patches)
    check_amount(area / layer.apart_mm, layer.size_mm, layer.amount_key)
    return gathered([_in_patch(entry, layer, patch) for patch in patches])


def _in_patch(entry: Entry, layer: RepertoireLayer, patch: Patch) -> Strokes:
    if entry.in_patch is not None:
        drawn = entry.in_patch(layer, patch)
    else:
        drawn = _in_frame(entry, layer, patch)
    return strokes([shapely.linestrings(points) for points in drawn], patch.shape, patch.name)


def _in_frame(entry: Entry, layer: RepertoireLayer, patch: Patch) -> list[Points]:
    frame = frame_of(patch, layer.inset, layer.turned)
    if frame is None or entry.in_frame is None:
        return []
    drawn = entry.in_frame(layer, frame)
    return drawn if entry.cells else [frame.placed(points) for points in drawn]
