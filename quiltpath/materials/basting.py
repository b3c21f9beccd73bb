"""Holding layers together: wadding joins, pins, spray, a frame's rollers.

Butted wadding is held with fusible tape or a hand herringbone stitch; the layers with pins about
a hand's width apart or with spray, half the piece at a time. A frame holds them on its rollers:
there the top is basted along its edges alone (common practice).
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from quiltpath.project.materials_sections import BastingSection
from quiltpath.units import MM_PER_INCH


@dataclass(frozen=True)
class Herringbone:
    """Hand stitches over a butted join: in mm, ``stitches`` on both sides together."""

    join_mm: float
    stitches: int
    thread_mm: float


STITCHES_APART_MM, STITCH_REACH_MM = MM_PER_INCH / 2, 3 * MM_PER_INCH / 8
"""Herringbone stitches are about 1/2 in apart, 1/4 to 1/2 in from the join (common practice)."""


def herringbone(join_mm: float) -> Herringbone:
    """A herringbone plan for a join.

    Stitches lie in turn on either side. Thread goes slantwise over the join, three quarters of
    the way to the next stitch forward, and a quarter of it back under the stitch; a hand's length
    of tail more at either end.
    """
    stitches = math.ceil(join_mm / STITCHES_APART_MM - 1e-9) + 1
    slant = math.hypot(0.75 * STITCHES_APART_MM, 2 * STITCH_REACH_MM)
    thread = (stitches - 1) * slant + stitches * STITCHES_APART_MM / 4 + 2 * 100.0
    return Herringbone(join_mm, stitches, thread)


@dataclass(frozen=True)
class Pins:
    """Basting pins on an even grid: so many along and across, so far apart in mm."""

    along: int
    across: int
    apart_along_mm: float
    apart_across_mm: float

    @property
    def count(self) -> int:
        """Pins in all."""
        return self.along * self.across


def pins(length_mm: float, width_mm: float, apart_mm: float) -> Pins:
    """Pins no further apart than asked for, half of it from the edges."""
    along = max(1, math.ceil(length_mm / apart_mm - 1e-9))
    across = max(1, math.ceil(width_mm / apart_mm - 1e-9))
    return Pins(along, across, length_mm / along, width_mm / across)


def spray_sections(length_mm: float, at_a_go_mm: float) -> tuple[float, ...]:
    """Where sections of spray end, from the left end: each half in goes no longer than asked for.

    The work starts in the middle; the last number is the length itself.
    """
    in_half = max(1, math.ceil(length_mm / 2 / at_a_go_mm - 1e-9))
    count = 2 * in_half
    return tuple(length_mm * number / count for number in range(1, count + 1))


EDGE_BASTING_MM = 3.0
"""From the top's edge to the stitches that hold it on a frame: 1/8 in, which the binding covers
(common practice)."""


@dataclass(frozen=True)
class Basting:
    """What holds the layers; ``tape_mm`` and ``stitches`` are for the joins of the wadding.

    On a frame there are neither pins nor sections of spray.
    """

    setting: BastingSection
    pins: Pins | None
    sections_mm: tuple[float, ...]
    tape_mm: float
    stitches: Herringbone | None

    @property
    def on_a_frame(self) -> bool:
        """True where rollers hold the layers."""
        return self.pins is None and not self.sections_mm

    @property
    def method(self) -> str:
        """``"pins"``, ``"spray"`` or ``"frame"``."""
        return "frame" if self.on_a_frame else self.setting.method


def is_held_by_rollers(setting: BastingSection, *, frame: bool) -> bool:
    """Whether a ``frame`` holds the layers, the backing wound on its rollers: unless the file names
    pins or spray, since some frames take layers that are basted already."""
    return frame and "method" not in setting.model_fields_set


def baste(
    length_mm: float,
    width_mm: float,
    wadding_join_mm: float,
    setting: BastingSection,
    *,
    frame: bool = False,
) -> Basting:
    """The plan for a top of this size, over wadding with so much join.

    Where a ``frame`` holds the layers nothing is pinned or sprayed.
    """
    held = is_held_by_rollers(setting, frame=frame)
    pinned, taped = setting.method == "pins", setting.wadding_join == "tape"
    return Basting(
        setting,
        pins(length_mm, width_mm, setting.pins_apart) if pinned and not held else None,
        () if pinned or held else spray_sections(length_mm, setting.at_a_go),
        wadding_join_mm if taped else 0.0,
        None if taped or wadding_join_mm <= 0 else herringbone(wadding_join_mm),
    )
