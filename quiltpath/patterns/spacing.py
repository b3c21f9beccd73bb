"""Where parallel lines fall on an axis: spacing, even division and anchor."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from quiltpath.patterns.layer import Edge, SpacedLayer
from quiltpath.schema import Spacing

ON_THE_EDGE_MM = 1e-6
Anchor = str | float


def even_gap(width_mm: float, wanted_mm: float) -> float:
    """The gap nearest ``wanted_mm`` that divides ``width_mm`` into equal parts.

    gap = width / round(width / wanted): 320 mm at about 25 mm is 13 gaps of 24.62 mm.
    """
    return width_mm / even_number(width_mm, wanted_mm)


def even_number(width_mm: float, wanted_mm: float) -> int:
    """How many equal parts of about ``wanted_mm`` fit ``width_mm``; at least one."""
    return max(1, math.floor(width_mm / wanted_mm + 0.5))


def gap_of(spacing: Spacing, width_mm: float) -> float:
    """The spacing as given, or the even division of ``width_mm`` where it says "about"."""
    return even_gap(width_mm, spacing.mm) if spacing.about else spacing.mm


def divided(low: float, high: float, wanted_mm: float, edge: Edge) -> NDArray[np.float64]:
    """Positions of lines that divide ``low`` to ``high`` into equal gaps of about ``wanted_mm``.

    ``edge`` says how both ends begin: with a ``"line"``, ``"half"`` a gap or a whole ``"gap"``.
    There is always a line, so that no gap at the ends is wider than those between.
    """
    number = even_number(high - low, wanted_mm)
    number = max(number, 2) if edge == "gap" else number
    first = {"line": 0.0, "half": 0.5, "gap": 1.0}[edge]
    lines = first + np.arange(number + 1 - round(2 * first), dtype=np.float64)
    return low + (high - low) / number * lines


def line_positions(
    low: float,
    high: float,
    gaps: NDArray[np.float64],
    anchor: Anchor,
    *,
    reach: float = 0.0,
) -> NDArray[np.float64]:
    """Sorted positions of lines between ``low`` and ``high``, widened by ``reach`` both ways.

    ``gaps`` (k,) mm follow one another and repeat. ``anchor`` is ``"centre"``, ``"halfway"``,
    ``"edge"``, or a distance from ``low``. Lines that lie on either end are left out, except for
    the anchor ``"edge"``, which asks for them.
    """
    period = float(gaps.sum())
    steps = np.concatenate([[0.0], np.cumsum(gaps)[:-1]])
    start = _start(low, high, gaps, anchor)
    first = math.floor((low - reach - start) / period)
    last = math.ceil((high + reach - start) / period)
    places = (start + np.arange(first, last + 1)[:, None] * period + steps).ravel()
    slack = ON_THE_EDGE_MM if anchor == "edge" else -ON_THE_EDGE_MM
    return places[(places > low - reach - slack) & (places < high + reach + slack)]


def _start(low: float, high: float, gaps: NDArray[np.float64], anchor: Anchor) -> float:
    """Where the first line of one repeat lies."""
    middle = (low + high) / 2
    if anchor == "centre":
        return middle - _mirror_axes(gaps)[0]
    if anchor == "halfway":
        return middle - _mirror_axes(gaps)[1]
    return low if anchor == "edge" else low + float(anchor)


def _mirror_axes(gaps: NDArray[np.float64]) -> tuple[float, float]:
    """Distances from the first line to the two places about which the repeat is its own mirror.

    A repeat of gaps that reads the same backwards from somewhere has two such axes, half a period
    apart: on a line or in the middle of a gap. An axis on a line comes first. A repeat that has
    none is centred on its first line, or halfway across its first gap.
    """
    count, half = len(gaps), float(gaps.sum()) / 2
    if count == 1:
        return 0.0, half
    steps = np.concatenate([[0.0], np.cumsum(gaps)])
    for index in range(count):
        after = np.roll(gaps, -index)
        if np.allclose(after, after[::-1]):
            return float(steps[index]), float(steps[index]) + half
    for index in range(count):
        rest = np.roll(gaps, -index)[1:]
        if np.allclose(rest, rest[::-1]):
            axis = float(steps[index] + gaps[index] / 2)
            return axis, axis + half
    return 0.0, float(gaps[0]) / 2


def gaps_of(layer: SpacedLayer, width_mm: float) -> NDArray[np.float64]:
    """(k,) gaps of the layer's first family of lines over a region ``width_mm`` across."""
    if layer.spacings:
        return np.asarray(layer.spacings, dtype=np.float64)
    return np.array([gap_of(layer.spacing, width_mm)])
