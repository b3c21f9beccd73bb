"""All layers of a project as lines on its runner."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import replace
from typing import Any

import shapely

from quiltpath.errors import InputError
from quiltpath.geometry.runner_shapes import Runner, area_of, patches
from quiltpath.patterns.finishing import (
    bend_to_print,
    clearance_curves,
    distortion_facts,
    drop_crumbs,
    keep_clear,
    near_even_facts,
    off_the_edge,
    overrun_length,
    run_on,
    under_the_binding,
)
from quiltpath.patterns.kind import Kind
from quiltpath.patterns.kinds import KINDS
from quiltpath.patterns.layer import Layer, check_sum
from quiltpath.patterns.lines import LineRole, Lines, Remark, join, layer_lines
from quiltpath.patterns.strokes import Strokes, clip_strokes, objects


def draw(
    runner: Runner,
    layers: Sequence[Layer],
    lines_of: Callable[[Runner, Any], Lines] | None = None,
) -> Lines:
    """The lines of all layers, in the order given; layer indices follow that order.

    Args:
        runner: the flat runner.
        layers: one ``[[quilting]]`` entry each.
        lines_of: stands in for :func:`draw_layer`, for somebody who keeps what was drawn before.

    Returns:
        Lines in mm, with the layer, the role and the place of each.

    Raises:
        InputError: a region that is not there, an overrun wider than the margin, or a spacing that
            would make more stitches than anybody sews.

    Example:
        >>> import quiltpath
        >>> project = quiltpath.parse('''
        ... units = "mm"
        ... runner = { length = 600, width = 200, size_is = "flat" }
        ... quilting = [{ kind = "straight", spacing = 25 }]
        ... ''')
        >>> quiltpath.draw(quiltpath.build(project), project.quilting)
        Lines(7 lines in 1 layer, 4.4 m)
    """
    drawn, drawn_mm = [], 0.0
    lines_of = lines_of or draw_layer
    _check_together(runner, layers)
    for number, layer in enumerate(layers, start=1):
        with _told_of_layer(number):
            drawn.append(lines_of(runner, layer))
            drawn_mm += float(shapely.length(drawn[-1].geometry).sum())
            check_sum(drawn_mm)
    lines = join(drawn)
    warp = runner.print_warp
    if warp is None:
        return lines
    if runner.even is None:
        return lines.with_remarks(near_even_facts(warp))
    bends = any(_follows(runner, layer) for layer in layers)
    return lines.with_remarks(distortion_facts(warp)) if bends else lines


def _check_together(runner: Runner, layers: Sequence[Layer]) -> None:
    """Several free curves together find their way through no more places than one of them may."""
    free = [(number, layer) for number, layer in enumerate(layers, 1) if KINDS[layer.kind].in_clear]
    if len(free) < 2:
        return
    together = 0.0
    for number, layer in free:
        with _told_of_layer(number):
            share = KINDS[layer.kind].share_of_the_most(
                runner, layer, patches(runner, layer.region)
            )
            if share <= 1 < together + share:  # alone it is told by its own figures
                raise InputError(
                    "",
                    layer.amount_key,
                    "is too close together with the free curves before it: their lines would have"
                    f" to find their way through {together + share:.1f} times as many places as"
                    " one runner may have",
                    "give a wider one here or there, or fill blocks alone",
                )
            together += share


@contextmanager
def _told_of_layer(number: int) -> Iterator[None]:
    """Gives an :class:`InputError` inside the place of the layer in the file."""
    try:
        yield
    except InputError as error:
        raise error.at("", f"quilting[{number}]") from None


def is_slow_to_draw(layers: Sequence[Layer]) -> bool:
    """Whether there are layers among them whose length is told before they are drawn."""
    return any(KINDS[layer.kind].length_share for layer in layers)


def expected_length_mm(
    runner: Runner, layers: Sequence[Layer], lines_of: Callable[[Runner, Any], Lines]
) -> float:
    """About how long the lines of all layers will be; ``lines_of`` draws those that are not slow.

    Raises :class:`InputError` as :func:`draw` does.
    """
    total = 0.0
    for number, layer in enumerate(layers, start=1):
        with _told_of_layer(number):
            kind = KINDS[layer.kind]
            if kind.length_share:
                total += kind.expected_length_mm(runner, layer, patches(runner, layer.region))
            else:
                total += float(shapely.length(lines_of(runner, layer).geometry).sum())
    return total


def _follows(runner: Runner, layer: Layer) -> bool:
    """True where the layer is drawn even and then bent with the print."""
    even = runner.even is not None and KINDS[layer.kind].drawn_even
    return even and layer.follow == "print"


def draw_layer(runner: Runner, layer: Any) -> Lines:
    """The lines of one layer: drawn, cut to its region, kept clear of motifs, run on past the edge.

    ``layer`` is of one of the models in ``KINDS``.
    """
    kind = KINDS[layer.kind]
    overrun = overrun_length(runner, layer.overrun)
    cut = _strokes(runner, layer, kind)
    curves = objects([])
    if layer.clearance is not None and kind.keeps_clear and runner.motifs:
        if kind.in_clear is None:
            cut = _cut_clear(cut, runner, layer)
        if layer.clearance > 0:
            area = area_of(patches(runner, layer.region))
            curves = clearance_curves(runner, layer.clearance, area)
    shown = off_the_edge(cut.geometry, runner.outline)
    hidden = int(under_the_binding(cut.geometry[shown], runner.outline).sum())
    lines = layer_lines(
        run_on(cut.geometry[shown], runner.outline, overrun),
        name=layer.name or layer.kind,
        role=LineRole[layer.role.upper()] if layer.role else kind.role,
        retraceable=kind.hides_thread,
        source=list(cut.source[shown]),
    )
    lines = replace(lines, curves=curves)
    if not len(lines):
        return lines.with_remarks(_nothing_drawn(layer))
    return lines.with_remarks(*_remarks(runner, layer, kind, lines, hidden))


def _cut_clear(drawn: Strokes, runner: Runner, layer: Any) -> Strokes:
    """What the layer's clearance leaves of lines that were drawn over motifs."""
    cut = keep_clear(drawn, runner, layer.clearance)
    if layer.holes == "wide":
        cut = drop_crumbs(cut, runner, layer.clearance, _apart_mm(layer))
    return cut


def _apart_mm(layer: Any) -> float:
    """Distance between neighbouring lines, 0 for a layer that has none."""
    spacing = getattr(layer, "spacing", None)
    return float(getattr(layer, "apart_mm", spacing.mm if spacing else 0.0))


def _strokes(runner: Runner, layer: Any, kind: Kind) -> Strokes:
    """What the layer draws, cut to its region and to the finished outline."""
    if runner.even is not None and _follows(runner, layer):
        even = runner.even
        drawn = clip_strokes(kind.strokes(even, layer, patches(even, layer.region)))
        return bend_to_print(drawn, runner)
    return clip_strokes(kind.strokes(runner, layer, patches(runner, layer.region)))


def _remarks(runner: Runner, layer: Any, kind: Kind, lines: Lines, hidden: int) -> list[Remark]:
    """What the layer has to say about itself."""
    told = [_under_the_binding(layer, hidden)] if hidden else []
    own = kind.remark(layer, patches(runner, layer.region), len(lines)) if kind.remark else None
    return [*told, own] if own else told


def _under_the_binding(layer: Any, count: int) -> Remark:
    runs = "1 line runs" if count == 1 else f"{count} lines run"
    return Remark(
        "line-near-edge",
        f"{runs} less than 1/4 in beside the finished edge in {layer.name or layer.kind!r},"
        " where the binding covers them",
        "change the spacing or the anchor, or leave them out when sewing",
    )


def _nothing_drawn(layer: Any) -> Remark:
    name = layer.name or layer.kind
    return Remark(
        "no-lines",
        f"the layer {name!r} draws no lines",
        "give it a closer spacing, a smaller clearance or another region",
    )
