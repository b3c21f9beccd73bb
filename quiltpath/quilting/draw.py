"""All layers of a project as lines on its runner."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Any

from quiltpath.errors import InputError
from quiltpath.project.layer_section import Layer
from quiltpath.quilting.chevron import chevron
from quiltpath.quilting.clearance import kept_clear
from quiltpath.quilting.echo import echo
from quiltpath.quilting.lines import LineRole, Lines, Remark, join, layer_lines
from quiltpath.quilting.motif import motif
from quiltpath.quilting.overrun import off_the_edge, overrun_length, run_on
from quiltpath.quilting.region import patches
from quiltpath.quilting.repertoire import REPERTOIRE, repertoire
from quiltpath.quilting.sashing import sashing
from quiltpath.quilting.straight import grid, straight
from quiltpath.quilting.strokes import Strokes, clipped
from quiltpath.runner.runner import Runner


@dataclass(frozen=True)
class Kind:
    """How one kind of layer is drawn, and what its lines are for unless the layer says."""

    strokes: Callable[..., Strokes]
    role: LineRole = LineRole.FILL
    retraceable: bool = False
    keeps_clear: bool = True


KINDS: dict[str, Kind] = {
    "straight": Kind(straight),
    "grid": Kind(grid),
    "chevron": Kind(chevron),
    "echo": Kind(echo),
    "sashing": Kind(sashing, LineRole.HOLD, retraceable=True),
    "motif": Kind(motif, LineRole.OUTLINE, retraceable=True, keeps_clear=False),
    **{name: Kind(repertoire) for name in REPERTOIRE},
}
"""One row a kind: the drawing side of the registry in ``project.quilting_sections``."""


def draw(runner: Runner, layers: Sequence[Layer]) -> Lines:
    """The lines of all layers, in the order given; layer indices follow that order.

    Raises :class:`InputError` for a region that is not there, an overrun wider than the margin,
    or a spacing that would make more stitches than anybody sews.
    """
    drawn = []
    for number, layer in enumerate(layers, start=1):
        try:
            drawn.append(draw_layer(runner, layer))
        except InputError as error:
            raise error.at("", f"quilting[{number}]") from None
    return join(drawn)


def draw_layer(runner: Runner, layer: Any) -> Lines:
    """The lines of one layer: drawn, cut to its region, kept clear of motifs, run on past the edge.

    ``layer`` is one of the models of ``project.quilting_sections``.
    """
    kind = KINDS[layer.kind]
    overrun = overrun_length(runner, layer.overrun)
    cut = clipped(kind.strokes(runner, layer, patches(runner, layer.region)))
    if layer.clearance is not None and kind.keeps_clear and runner.motifs:
        cut = kept_clear(cut, runner, layer.clearance)
    shown = off_the_edge(cut.geometry, runner.outline)
    lines = layer_lines(
        run_on(cut.geometry[shown], runner.outline, overrun),
        name=layer.name or layer.kind,
        role=LineRole[layer.role.upper()] if layer.role else kind.role,
        retraceable=kind.retraceable,
        source=list(cut.source[shown]),
    )
    return lines if len(lines) else lines.with_remarks(_nothing_drawn(layer))


def _nothing_drawn(layer: Any) -> Remark:
    name = layer.name or layer.kind
    return Remark(
        "no-lines",
        f"the layer {name!r} draws no lines",
        "give it a closer spacing, a smaller clearance or another region",
    )
