"""How far thread stands out from cloth, near to and from across the room.

Contrast ratio and relative luminance as in the Web Content Accessibility Guidelines 2.1 of the W3C
(from memory): (L1 + 0.05) / (L2 + 0.05), L = 0.2126 R + 0.7152 G + 0.0722 B of linear sRGB.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

ARC_MINUTE = math.tan(math.radians(1 / 60))
"""An eye of normal acuity (1.0, ISO 8596, from memory) tells apart what is one arc minute wide."""

LEAST_SEEN = 0.05
"""Share by which a spot must be lighter or darker to be noticed in room light (a round figure)."""


@dataclass(frozen=True)
class Shown:
    """Thread on one cloth.

    ``ratio``        contrast ratio, 1 (none) to 21
    ``merge_m``      beyond this distance neighbouring lines cannot be told apart
    ``vanish_m``     beyond this distance a single line cannot be seen
    """

    patch: str
    ratio: float
    merge_m: float
    vanish_m: float

    @property
    def as_lines_to_m(self) -> float:
        """As far away as lines are seen as lines."""
        return min(self.merge_m, self.vanish_m)

    @property
    def words(self) -> str:
        """How the thread shows near to."""
        if self.ratio < 1.5:
            return "blends in: hides a wobble, shows texture only"
        if self.ratio < 3:
            return "shows softly"
        return "stands out: every wobble shows"


def luminance(colour: str) -> float:
    """Relative luminance of ``#rrggbb``, 0 (black) to 1 (white)."""
    channels = [int(colour[at : at + 2], 16) / 255 for at in (1, 3, 5)]
    red, green, blue = (
        c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in channels
    )
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def contrast_ratio(one: str, other: str) -> float:
    """Contrast ratio of two colours, 1 to 21."""
    dark, light = sorted((luminance(one), luminance(other)))
    return (light + 0.05) / (dark + 0.05)


def shown(patch: str, thread: str, cloth: str, thread_mm: float, gap_mm: float) -> Shown:
    """How thread of a width, in lines a gap apart, shows on a cloth.

    Two lines merge where their gap is seen under two arc minutes, one for a line and one for the
    cloth between. A line thinner than one arc minute is smeared over that, and its contrast with
    the cloth falls in proportion, until it is too little to be seen.
    """
    dark, light = sorted((luminance(thread), luminance(cloth)))
    difference = (light - dark) / light if light > 0 else 0.0
    vanish = thread_mm * difference / (ARC_MINUTE * LEAST_SEEN)
    return Shown(
        patch,
        contrast_ratio(thread, cloth),
        merge_m=gap_mm / (2 * ARC_MINUTE) / 1000,
        vanish_m=vanish / 1000,
    )
