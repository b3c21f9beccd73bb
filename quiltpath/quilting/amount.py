"""How much thread path a layer will make, known before anything is drawn."""

from __future__ import annotations

import math

from quiltpath.errors import InputError
from quiltpath.units import both_units

MOST_STITCHES = 5_000_000
SHORTEST_STITCH_MM = 3.0


def check_amount(expected_mm: float, spacing_mm: float, key: str = "spacing") -> None:
    """Refuse a layer that would make more than five million stitches of 3 mm.

    Lines a distance s apart on an area A are A / s long in all, whatever their direction (the
    coarea formula), so the bound needs no drawing. Raises :class:`InputError`.
    """
    stitches = expected_mm / SHORTEST_STITCH_MM
    if stitches <= MOST_STITCHES:
        return
    # A little more, and to a whole tenth upwards, so that what is offered is accepted.
    least = math.ceil(10 * spacing_mm * stitches / MOST_STITCHES * 1.01) / 10
    raise InputError(
        "",
        key,
        f"{spacing_mm:g} mm is so small that it would make about {stitches:,.0f} stitches,"
        f" more than {MOST_STITCHES:,}",
        f"give {least:g} mm ({both_units(least, 16).split(' (')[0]}) or more",
    )


def check_sum(drawn_mm: float) -> None:
    """Refuse layers that come to more stitches together than one alone may make."""
    stitches = drawn_mm / SHORTEST_STITCH_MM
    if stitches > MOST_STITCHES:
        raise InputError(
            "",
            "",
            f"with this layer all come to about {stitches:,.0f} stitches,"
            f" more than {MOST_STITCHES:,}",
            "leave out layers or space them wider",
        )
