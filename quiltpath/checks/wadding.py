"""How far apart quilting may be for the wadding to hold."""

from __future__ import annotations

from quiltpath.checks.finding import Finding
from quiltpath.checks.gap import Gaps
from quiltpath.units import both_units

MM_PER_INCH = 25.4

LIMIT_MM: dict[str, float] = {
    "cotton with scrim": 8 * MM_PER_INCH,
    "cotton": 3 * MM_PER_INCH,
    "polyester": 3 * MM_PER_INCH,
    "wool": 3 * MM_PER_INCH,
    "insulated": 3 * MM_PER_INCH,
}
"""Common practice, the careful end of each range; the figure on the packet counts."""


def wadding_limit_mm(kind: str | None, packet_mm: float | None) -> float | None:
    """The packet's figure, else the usual one of the kind, else None.

    Raises ``ValueError`` with a plain sentence for a kind that is not known.
    """
    if packet_mm is not None:
        return packet_mm
    if kind is None:
        return None
    if kind not in LIMIT_MM:
        known = ", ".join(LIMIT_MM)
        raise ValueError(f"there is no wadding kind {kind!r}; use {known}, or give limit")
    return LIMIT_MM[kind]


def gap_findings(gaps: Gaps, limit_mm: float | None) -> tuple[Finding, ...]:
    """Says no where the widest unquilted circle is wider than the wadding allows."""
    if limit_mm is None or gaps.widest_mm <= limit_mm:
        return ()
    message = (
        f"the widest unquilted place is {both_units(gaps.widest_mm)},"
        f" the wadding holds up to {both_units(limit_mm)}"
    )
    remedy = "quilt it closer there"
    return (Finding("gap-too-wide", message, remedy, gaps.widest[0].centre, fails=True),)
