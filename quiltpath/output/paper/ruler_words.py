"""Positions and angles as a person reads them off a ruler."""

from __future__ import annotations

from quiltpath.output.paper.ruler import NEARLY_PARALLEL_DEG
from quiltpath.units import MM_PER_INCH, inch_fraction, millimetres


def reading(mm: float) -> str:
    """A position in both units: ``"2 3/16 in full (56 mm)"``.

    "Full" and "scant" (the trade's words) say that the true place lies beyond or short of the
    sixteenth by more than half a millimetre.
    """
    sixteenths = round(mm / MM_PER_INCH * 16) * MM_PER_INCH / 16
    off = mm - sixteenths
    shade = " full" if off > 0.5 else " scant" if off < -0.5 else ""
    return f"{inch_fraction(mm, 16)}{shade} ({millimetres(mm)})"


def ruler_words(angle: float) -> str:
    """How to lay the ruler for lines at an angle from the runner's length."""
    square = min(angle, 180 - angle) < NEARLY_PARALLEL_DEG
    if square or abs(angle - 90) < NEARLY_PARALLEL_DEG:
        edge = "left and right edges" if square else "lower and upper edges"
        return f"Mark both {edge} and join the marks with the ruler."
    against = angle if angle < 90 else 180 - angle
    lean = "rising to the right" if angle < 90 else "rising to the left"
    if abs(against - round(against)) < 0.05 and round(against) in (30, 45, 60):
        return (
            f"Lines {lean}. Lay the ruler's {round(against)}° line along the lower edge, or join"
            " the two marks of each line."
        )
    return f"Lines {lean} at {against:.1f}°. Join the two marks of each line."
