"""Wood grain: long lines that part round knots."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Annotated, ClassVar, Literal

import numpy as np
import shapely
from numpy.typing import NDArray
from pydantic import Field

from quiltpath.geometry.curves import STRAY_MM, Points
from quiltpath.patterns.frame import Frame
from quiltpath.patterns.kind import WALKING, Kind
from quiltpath.patterns.layer import INCH, RepertoireLayer, about
from quiltpath.patterns.spacing import even_gap
from quiltpath.schema import LengthOrZero, Spacing

Array = NDArray[np.float64]

LONG = 3.0
"""A knot is so many times as long as wide."""

KNOT_SPACINGS = 1.5
"""Half the width of a knot, in spacings."""

ROOM = 1.2
"""Half the length along the board that a knot has for itself, in halves of its own length."""

SWAY = 0.35
"""How far the grain sways to either side, in spacings, over each of two lengths."""

SWAY_LENGTHS = (23.0, 37.0)
EDGE_SPACINGS = 5.0
"""So near to an inset edge lines run straighter, so that none strays over it."""

HALVINGS = 40
STEP_MM = 0.5


class WoodGrainLayer(RepertoireLayer):
    """Lines along the region that sway a little and part round knots, with rings in each knot.

    With an inset all lines keep within it, and turn there from one to the next.
    """

    lines_in_it: ClassVar[float] = 1.2
    kind: Literal["wood-grain"]
    inset: LengthOrZero = 0.0
    spacing: Spacing = about(INCH / 2)
    """between neighbouring lines away from knots; half as much beside them"""
    knots: Annotated[int, Field(ge=0, le=60)] = 4
    """how many, as far as there is room for them"""
    seed: Annotated[int, Field(ge=0, le=999_999)] = 1
    """another number, another board"""


@dataclass(frozen=True)
class Knot:
    """Where grain parts: its middle in the axes of the board, and half its width."""

    x: float
    y: float
    half: float

    def aside(self, x: Array, level: Array) -> Array:
        """How far a stream that flows round the knot is moved up there, level far away.

        Of the stream round a circle of radius a (Milne-Thomson, Theoretical Hydrodynamics) the line
        that is level at c far away runs where y (1 - a^2 / (x^2 + y^2)) = c; x is drawn out.
        """
        x, c, a = (x - self.x) / LONG, np.abs(level - self.y), self.half
        low, high = c, c + a
        for _ in range(HALVINGS):
            y = (low + high) / 2
            beyond = y * (1 - a * a / np.maximum(x * x + y * y, 1e-12)) > c
            low, high = np.where(beyond, low, y), np.where(beyond, y, high)
        return np.where(level < self.y, -1.0, 1.0) * ((low + high) / 2 - c)


def wood_grain(layer: WoodGrainLayer, frame: Frame) -> list[Points]:
    """Lines from end to end, and rings in each knot, none of which crosses another.

    Knots lie midway between two lines, one after the other along the board, and each moves all of
    them a little.
    """
    gap = even_gap(frame.width, layer.spacing.mm)
    rows = round(frame.width / gap)
    rng = np.random.default_rng(layer.seed)
    knots = _knots(layer.knots, frame, rows, rng)
    along = np.linspace(0, frame.length, math.ceil(frame.length / STEP_MM) + 1)
    sway = _sway(gap, rng)
    beyond = 0 if layer.inset else 1  # one more past each edge, for the sway
    heights = gap * (np.arange(-beyond, rows + beyond) + 0.5)

    def moved(x: Array, level: float, by: Sequence[Knot]) -> Array:
        levels = np.full_like(x, level)
        return levels + sway(x) + sum((knot.aside(x, levels) for knot in by), np.zeros_like(x))

    def placed(x: Array, y: Array) -> Points:
        if layer.inset:
            out = moved(x, 0.0, knots), moved(x, frame.width, knots) - frame.width
            y = y - _eased(y / gap) * out[0] - _eased((frame.width - y) / gap) * out[1]
        return _thin(np.column_stack([x, y]))

    lines = [placed(along, moved(along, height, knots)) for height in heights]
    if layer.inset:
        lines = [np.concatenate([line[:: 1 - 2 * (k % 2)] for k, line in enumerate(lines)])]
    for knot in knots:
        others = [other for other in knots if other is not knot]
        rings = [placed(x, y + moved(x, knot.y, others)) for x, y in _rings(knot, gap)]
        lines += [np.concatenate([ring[:-1], ring[:1]]) for ring in rings]
    return lines


def _eased(gaps: Array) -> Array:
    """How much of what would stray over an edge is taken back, so many gaps off it."""
    return np.asarray((1 - gaps / EDGE_SPACINGS).clip(0, 1) ** 2)


def _knots(number: int, frame: Frame, rows: int, rng: np.random.Generator) -> list[Knot]:
    """Knots in equal shares of the length, each somewhere in its own, midway between two lines.

    Each lies at least two lines off the edges, and off the height of the one before.
    """
    gap = frame.width / rows
    half = KNOT_SPACINGS * gap
    inner = np.arange(2, rows - 1)
    number = min(number, int(frame.length / (2 * ROOM * LONG * half)))
    found: list[Knot] = []
    for share in range(number if len(inner) else 0):
        long = frame.length / number
        x = long * (share + 0.5) + rng.uniform(-1, 1) * (long / 2 - ROOM * LONG * half)
        off = inner[np.abs(inner * gap - found[-1].y) > 2 * half] if found else inner
        row = rng.choice(off if len(off) else inner)
        found.append(Knot(float(x), float(row * gap), half))
    return found


def _rings(knot: Knot, gap: float) -> list[tuple[Array, Array]]:
    """Rings inside the knot, a gap apart and the outermost half a gap inside its edge.

    Places along the board, and heights above the knot's middle.
    """
    count = max(1, round(knot.half / gap))
    turn = np.linspace(0, 2 * math.pi, 241)
    sizes = knot.half * (np.arange(count) + 0.5) / count
    return [(knot.x + LONG * size * np.cos(turn), size * np.sin(turn)) for size in sizes]


def _sway(gap: float, rng: np.random.Generator) -> Callable[[Array], Array]:
    """How far all lines are moved up alike, so that they keep their distance, along the board."""
    phases = rng.uniform(0, 2 * math.pi, len(SWAY_LENGTHS))

    def sway(x: Array) -> Array:
        waves = [
            np.sin(2 * math.pi * x / (length * gap) + phase)
            for length, phase in zip(SWAY_LENGTHS, phases.tolist(), strict=True)
        ]
        return SWAY * gap * np.asarray(sum(waves))

    return sway


def _thin(points: Points) -> Points:
    """Without points that the chord past them strays from by next to nothing."""
    return shapely.get_coordinates(shapely.LineString(points).simplify(STRAY_MM / 2))


KINDS = (Kind(WoodGrainLayer, WALKING, in_frame=wood_grain),)
