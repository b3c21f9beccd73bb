"""Values that the page sends: checked, and written as a person would have written them."""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import Any

from quiltpath.errors import InputError
from quiltpath.units import inch_decimal, inch_fraction, parse_length

SIXTEENTHS = 16
MOST_NUMBERS = 12


def plain(value: Any) -> Any:
    """A value of a file's text without what the text says round it."""
    return value.unwrap() if hasattr(value, "unwrap") else value


def number(value: Any) -> int | float:
    """A finite number to two places; raises :class:`InputError` for anything else."""
    if isinstance(value, bool) or not isinstance(value, int | float) or not math.isfinite(value):
        raise InputError("page", "value", f"{value!r} is not a number", "send a number")
    if abs(value) > 1e6:
        raise InputError("page", "value", f"{value!r} is out of all measure", "send mm")
    return int(value) if float(value).is_integer() else round(float(value), 2)


def numbers(value: Any) -> list[int | float]:
    """A short list of numbers."""
    if not isinstance(value, list) or not 1 <= len(value) <= MOST_NUMBERS:
        raise InputError("page", "value", "is not a list of numbers", "send numbers")
    return [number(part) for part in value]


def length(value: Any, units: str | None) -> str:
    """mm as sixteenths of an inch in a file in inches, as mm to one place in any other."""
    mm = float(number(value))
    if units == "in":
        return inch_fraction(mm, SIXTEENTHS)
    return f"{round(mm, 1):g} mm"


def fine_length(value: Any, units: str | None) -> str:
    """mm as hundredths of an inch in a file in inches: for curves, which no ruler measures."""
    mm = float(number(value))
    return inch_decimal(mm) if units == "in" else f"{round(mm, 1):g} mm"


def written_mm(value: Any, units: str | None) -> float:
    """mm of a length as it stands in a file; raises :class:`InputError` for what is none."""
    given = plain(value)
    try:
        return parse_length(given, units)
    except (ValueError, TypeError, AttributeError):
        raise InputError("page", "stitch", f"{given!r} is not a length", "mend the file") from None


def about_or_exact(value: Any, units: str | None) -> str:
    """``{"mm": 25.4, "about": true}`` as ``"about 1 in"``."""
    if not isinstance(value, Mapping):
        raise InputError("page", "spacing", "is not a distance", "send mm and about")
    return f"{'about ' if value.get('about') else ''}{length(value.get('mm'), units)}"


def pair(value: Any, units: str | None) -> list[str]:
    """A point as two lengths."""
    if not isinstance(value, list) or len(value) != 2:
        raise InputError("page", "point", f"{value!r} is not a point", "send two lengths in mm")
    return [length(part, units) for part in value]
