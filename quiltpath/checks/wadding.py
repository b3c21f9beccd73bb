"""How far apart quilting may be for the wadding to hold, and what would close a wider gap.

The remedy names the layer to draw closer and the widest of its spacings that passes.
"""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import cache

import numpy as np
from numpy.typing import NDArray
from shapely.geometry import Polygon

from quiltpath.checks.largest_empty_circle import Gaps, leaves_wider_than
from quiltpath.errors import InputError
from quiltpath.findings import Finding, Remedy, Setting
from quiltpath.geometry.runner_shapes import Runner
from quiltpath.patterns import Lines, draw, is_slow_to_draw
from quiltpath.patterns.kinds import fill_spacing
from quiltpath.patterns.layer import Layer
from quiltpath.patterns.straight import StraightLayer
from quiltpath.project import Project
from quiltpath.schema import Spacing
from quiltpath.units import MM_PER_INCH, both_units, inch_fraction

_WADDING = ("wadding", "batting", "")

STEP_MM = MM_PER_INCH / 8
"""spacings are offered in the steps of a quilter's ruler"""

MOST_TRIES, MOST_LAYERS = 64, 4
"""Spacings of one layer, and layers of a project, that a remedy is looked for among: 8 in of every
eighth, and no search without an end."""

MOST_TRIES_IF_SLOW = 8
"""The same for free curves, which take long to draw."""

SURELY_CLOSE = 1 / 4
"""Lines this share of the limit apart leave no gap where there are any."""

CLOSER_THERE = Remedy("quilt it closer there")
"""where nothing better is known"""

GRACE_MM = 0.05
"""a gap that is over the limit by less than anybody can sew is not over it"""


@dataclass(frozen=True)
class WaddingKind:
    """A kind of wadding with the range of distances that is usual on its packets, in inches."""

    name: str
    careful_in: float
    most_in: float

    @property
    def limit_mm(self) -> float:
        """The careful end of the range."""
        return self.careful_in * MM_PER_INCH


WADDING_KINDS = (
    WaddingKind("cotton with scrim", 8, 10),
    WaddingKind("cotton", 2, 4),
    WaddingKind("polyester", 3, 4),
    WaddingKind("wool", 3, 4),
    WaddingKind("insulated", 3, 4),
)
"""Common practice; "cotton" is without scrim. The figure on the packet counts."""

OTHER_NAMES = {
    "80/20": "cotton",
    "cotton 80/20": "cotton",
    "80/20 cotton": "cotton",
    "cotton blend": "cotton",
    "cotton polyester": "cotton",
    "poly": "polyester",
    "cotton scrim": "cotton with scrim",
    "scrim": "cotton with scrim",
    "thermal": "insulated",
    "heat resistant": "insulated",
}
"""What else a packet says; a blend keeps to the narrower limit of its two (common practice)."""


def wadding_limit_mm(kind: str | None, packet_mm: float | None) -> float | None:
    """The packet's figure, else the careful end of what is usual for the kind, else None.

    Raises ``ValueError`` with a plain sentence for a kind that is not known.
    """
    if packet_mm is not None:
        return packet_mm
    if kind is None:
        return None
    limits = {known.name: known.limit_mm for known in WADDING_KINDS}
    plain = " ".join(word for word in re.split(r"[\s_-]+", kind.lower()) if word not in _WADDING)
    kind = OTHER_NAMES.get(plain, plain)
    if kind not in limits:
        names = ", ".join(limits)
        raise ValueError(f"there is no wadding kind {kind!r}; use {names}, or give limit")
    return limits[kind]


def is_too_wide(gaps: Gaps, limit_mm: float | None) -> bool:
    """Whether the widest unquilted circle is wider than the wadding allows."""
    return limit_mm is not None and gaps.widest_mm > limit_mm + GRACE_MM


def gap_findings(
    gaps: Gaps,
    limit_mm: float | None,
    remedy: Callable[[], Remedy] = lambda: CLOSER_THERE,
    often_washed_mm: float | None = None,
) -> tuple[Finding, ...]:
    """Says no where the widest unquilted circle is wider than the wadding allows.

    Where it is not, but is wider than what stands frequent washing, a remark says so. ``remedy``
    is asked only where the answer is no: it may take long to compute.
    """
    wide = both_units(gaps.widest_mm)
    if is_too_wide(gaps, limit_mm):
        assert limit_mm is not None
        message = (
            f"the widest unquilted place is {wide}, the wadding holds up to {both_units(limit_mm)}"
        )
        mend, at = remedy(), gaps.widest[0].centre
        return (Finding("gap-too-wide", message, mend.words, at, settings=mend.settings),)
    if often_washed_mm is not None and gaps.widest_mm > often_washed_mm + GRACE_MM:
        message = (
            f"the widest unquilted place is {wide}; a runner that is washed often keeps its"
            f" shape better with no more than {both_units(often_washed_mm)}"
        )
        at = gaps.widest[0].centre
        return (Finding("gap-often-washed", message, "quilt closer if it will be", at),)
    return ()


def widest_passing_spacing(
    draw_layer: Callable[[float], Sequence[object] | NDArray[np.object_]],
    others: Sequence[object] | NDArray[np.object_],
    outline: Polygon,
    limit_mm: float,
    spacing_mm: float,
    least_mm: float = 2 * STEP_MM,
    slow: bool = False,
) -> float | None:
    """The widest spacing of a layer, in steps of 1/8 in, that leaves no gap over the limit.

    ``draw_layer`` gives the layer's LineStrings at a spacing in mm; ``others`` are all other
    lines. Tries the steps below ``spacing_mm`` and below the outline's size, the widest first,
    because how the lines fall on the edges can make a closer spacing leave a wider gap. Where these
    are more than may be tried some are left out: first a few over the whole range, then those
    between the widest that passes and the next above it. None where not even ``least_mm`` passes:
    the gap then lies where this layer draws nothing. That is asked first, unless the layer is
    ``slow`` to draw, and only where a quarter of the limit, which is drawn sooner, does not pass.
    A spacing that nobody would sew passes nothing.
    """

    @cache
    def passes(steps: int) -> bool:
        try:
            drawn = draw_layer(steps * STEP_MM)
        except InputError:
            return False
        lines = np.array([*drawn, *others], dtype=object)
        return not leaves_wider_than(limit_mm, lines, outline)

    low_x, low_y, high_x, high_y = outline.bounds
    reach_mm = min(spacing_mm, math.hypot(high_x - low_x, high_y - low_y) + STEP_MM)
    most, least = int(np.ceil(reach_mm / STEP_MM - 1e-6)) - 1, round(least_mm / STEP_MM)
    if most < least:
        return None
    close = min(max(int(SURELY_CLOSE * limit_mm / STEP_MM), least), most)
    if not slow and not passes(close) and not passes(least):
        return None
    widest = _widest_step(passes, most, least, MOST_TRIES_IF_SLOW if slow else MOST_TRIES)
    return None if widest is None else widest * STEP_MM


def _widest_step(
    passes: Callable[[int], bool], most: int, least: int, most_tries: int
) -> int | None:
    """The widest step that passes, of as many as may be tried."""
    if most - least < most_tries:
        return next((steps for steps in range(most, least - 1, -1) if passes(steps)), None)
    coarse = [int(step) for step in np.geomspace(most, least, most_tries // 2).round()]
    coarse = sorted({*coarse, least}, reverse=True)
    widest = next((step for step in coarse if passes(step)), None)
    if widest is None:
        return None
    above = coarse[max(coarse.index(widest) - 1, 0)]
    between = np.linspace(above, widest, most_tries // 2 + 1).round().astype(int)[1:-1]
    finer = dict.fromkeys(int(step) for step in between)
    return next((step for step in finer if passes(step)), widest)


def spacing_remedy(layer: str, spacing_mm: float | None) -> str:
    """What to say about a layer of which a spacing is known that passes."""
    if spacing_mm is None:
        return f"no spacing of {layer} closes it: quilt something inside that place"
    return f"set the spacing of {layer} to {both_units(spacing_mm)}, which is close enough"


def gap_remedy(project: Project, runner: Runner, lines: Lines, limit_mm: float) -> Remedy:
    """Of the fill layers with a spacing, the one that may stay widest, and how wide."""
    spaced = {
        index: spacing
        for index, layer in enumerate(project.quilting)
        if (spacing := fill_spacing(layer)) is not None
    }
    if not spaced:
        return Remedy("add a layer of quilting that reaches there")
    tried = sorted(spaced, key=lambda index: -spaced[index].mm)[:MOST_LAYERS]
    best, widest = tried[0], 0.0
    for index in tried:
        if spaced[index].mm > widest:
            others = lines.geometry[lines.layer != index]
            layer, least_mm = project.quilting[index], widest + STEP_MM
            passing = _passing(runner, layer, spaced[index], others, limit_mm, least_mm)
            best, widest = (index, passing) if passing else (best, widest)
    words = spacing_remedy(f"{lines.layers[best]!r}", widest or None)
    if not widest:
        return Remedy(words)
    written = inch_fraction(widest) if project.units == "in" else f"{widest:.2f} mm"
    # Tried with the freedom that the file gives it: without that lines fall elsewhere.
    about = "about " if spaced[best].about else ""
    return Remedy(words, (Setting(best, "spacing", f"{about}{written}"),))


def _passing(
    runner: Runner,
    layer: Layer,
    spacing: Spacing,
    others: NDArray[np.object_],
    limit_mm: float,
    least_mm: float,
) -> float | None:
    """The widest spacing of a layer that passes, of those from ``least_mm`` on."""

    def drawn(spacing_mm: float) -> NDArray[np.object_]:
        return draw(runner, [respaced(layer, spacing_mm, spacing.about)]).geometry

    slow = is_slow_to_draw([layer])
    if slow:
        sketch = _filled_with_lines(layer, SURELY_CLOSE * limit_mm)
        filled = np.concatenate([draw(runner, [sketch]).geometry, others])
        if leaves_wider_than(limit_mm, filled, runner.outline):
            return None
    return widest_passing_spacing(
        drawn,
        others,
        runner.outline,
        limit_mm,
        spacing.mm,
        least_mm=max(least_mm, 2 * STEP_MM),
        slow=slow,
    )


def _filled_with_lines(layer: Layer, spacing_mm: float) -> StraightLayer:
    """Straight lines wherever the layer goes: soon drawn, and what they cannot reach it cannot."""
    return StraightLayer(
        kind="straight",
        spacing=Spacing(mm=spacing_mm),
        region=layer.region,
        clearance=layer.clearance,
    )


def respaced(layer: Layer, spacing_mm: float, about: bool) -> Layer:
    """The layer with another spacing, that gives way to even division or not."""
    return layer.model_copy(update={"spacing": Spacing(mm=spacing_mm, about=about)})
