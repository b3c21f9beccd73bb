"""The traditional repertoire: one row a pattern.

[[quilting]]: the layers of lines, in the order in which they are drawn.

The traditional repertoire: one model a pattern, with defaults and limits.

A drawing function of the same name stands in ``quiltpath.patterns.kinds``.

Patterns of figures that repeat both ways: shells, fans, petals, circles, squares, hexagons.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Annotated, Any

import shapely
from pydantic import BeforeValidator

from quiltpath.geometry.curves import Points
from quiltpath.geometry.runner_shapes import Patch, Runner
from quiltpath.patterns.bands_along_strips import CableLayer, VineLayer, cable, leaf_vine
from quiltpath.patterns.bundles import BambooLayer, BasketWeaveLayer, bamboo, basket_weave
from quiltpath.patterns.chevron import ChevronLayer, chevron
from quiltpath.patterns.circles import (
    CirclesLayer,
    OrangePeelLayer,
    orange_peel,
    overlapping_circles,
)
from quiltpath.patterns.echo import EchoLayer, echo
from quiltpath.patterns.frame import Frame, frame_of
from quiltpath.patterns.layer import Layer, RepertoireLayer, check_amount
from quiltpath.patterns.lines import LineRole, Remark
from quiltpath.patterns.meander import MeanderLayer, meander
from quiltpath.patterns.one_line import OneLineCrosshatchLayer, one_line_crosshatch, one_line_remark
from quiltpath.patterns.own_drawing import DrawingLayer, drawing
from quiltpath.patterns.printed_lines import MotifLayer, SashingLayer, motif, sashing
from quiltpath.patterns.rows import (
    SerpentineLayer,
    SwitchbackLayer,
    WavesLayer,
    serpentine,
    switchback,
    waves,
)
from quiltpath.patterns.shells import ClamshellsLayer, FansLayer, clamshells, fans
from quiltpath.patterns.spirals import (
    RadiatingLayer,
    SpiralLayer,
    SquareSpiralLayer,
    radiating,
    spiral,
    square_spiral,
)
from quiltpath.patterns.squares import (
    ConcentricLayer,
    HexagonsLayer,
    InterlockingSquaresLayer,
    concentric,
    interlocking_squares,
    nested_hexagons,
)
from quiltpath.patterns.straight import GridLayer, StraightLayer, grid, straight
from quiltpath.patterns.strokes import Strokes, gathered, strokes
from quiltpath.schema import fault

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


REPERTOIRE_KINDS: dict[str, type[RepertoireLayer]] = {
    "waves": WavesLayer,
    "serpentine": SerpentineLayer,
    "switchback": SwitchbackLayer,
    "meander": MeanderLayer,
    "clamshells": ClamshellsLayer,
    "fans": FansLayer,
    "orange-peel": OrangePeelLayer,
    "overlapping-circles": CirclesLayer,
    "interlocking-squares": InterlockingSquaresLayer,
    "nested-hexagons": HexagonsLayer,
    "basket-weave": BasketWeaveLayer,
    "bamboo": BambooLayer,
    "spiral": SpiralLayer,
    "square-spiral": SquareSpiralLayer,
    "concentric": ConcentricLayer,
    "radiating": RadiatingLayer,
    "one-line-crosshatch": OneLineCrosshatchLayer,
    "cable": CableLayer,
    "leaf-vine": VineLayer,
}


LAYER_KINDS: dict[str, type[Layer]] = {
    "straight": StraightLayer,
    "grid": GridLayer,
    "chevron": ChevronLayer,
    "echo": EchoLayer,
    "sashing": SashingLayer,
    "motif": MotifLayer,
    **REPERTOIRE_KINDS,
    "drawing": DrawingLayer,
}
"""One row a kind; a new kind is a model here and a drawing function in ``quiltpath.patterns``."""


def _by_kind(value: Any, info: Any) -> Layer:
    if isinstance(value, Layer):
        return value
    if not isinstance(value, dict):
        raise fault("a layer is a table", 'begin it with [[quilting]] and kind = "straight"')
    if "kind" not in value:
        raise fault("the layer has neither kind nor pattern", "give one: see 'quiltpath patterns'")
    if not isinstance(value["kind"], str) or value["kind"] not in LAYER_KINDS:
        raise fault(f"there is no kind {value['kind']!r}", f"use {', '.join(LAYER_KINDS)}")
    model = LAYER_KINDS[value["kind"]]
    return model.model_validate(value, context=info.context)


AnyLayer = Annotated[Layer, BeforeValidator(_by_kind)]


@dataclass(frozen=True)
class Kind:
    """How one kind of layer is drawn, and what its lines are for unless the layer says.

    ``drawn_even``: drawn as if the print were even and then bent with it. The others start from
    outlines and printed lines, which lie where they lie.
    """

    strokes: Callable[..., Strokes]
    role: LineRole = LineRole.FILL
    retraceable: bool = False
    keeps_clear: bool = True
    drawn_even: bool = False
    remark: Callable[..., Remark | None] | None = None


KINDS: dict[str, Kind] = {
    "straight": Kind(straight, drawn_even=True),
    "grid": Kind(grid, drawn_even=True),
    "chevron": Kind(chevron, drawn_even=True),
    "echo": Kind(echo),
    "sashing": Kind(sashing, LineRole.HOLD, retraceable=True),
    "motif": Kind(motif, LineRole.OUTLINE, retraceable=True, keeps_clear=False),
    "drawing": Kind(drawing, drawn_even=True),
    **{
        name: Kind(repertoire, retraceable=entry.hides_thread, drawn_even=True, remark=entry.remark)
        for name, entry in REPERTOIRE.items()
    },
}
"""One row a kind: the drawing side of the registry in ``project.quilting_sections``."""


def unmarked(layer: Layer) -> str | None:
    """Why a layer needs no marks on the cloth, or None where it does."""
    if layer.marking == "none":
        return "as the project asks"
    if layer.marking == "auto" and isinstance(layer, SashingLayer) and layer.offset == 0:
        return "it follows printed or sewn lines"
    return None
