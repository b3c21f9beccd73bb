"""Lengths and times: what people write, millimetres and minutes inside, what people read.

Inside the package every length is a float in millimetres. One inch is 25.4 mm exactly (the
international inch), one yard is 36 inches. :class:`Measures` says lengths in the units that the
reader asked for: inches, metric or both.
"""

from __future__ import annotations

import math
import re
from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import Literal

from quiltpath.language import numerals, say, say_count, say_list

MM_PER_INCH = 25.4

MM_PER_UNIT = {
    "mm": 1.0,
    "cm": 10.0,
    "m": 1000.0,
    "in": MM_PER_INCH,
    "ft": 12 * MM_PER_INCH,
    "yd": 36 * MM_PER_INCH,
}

_SPELLINGS = {
    '"': "in",
    "″": "in",
    "inch": "in",
    "inches": "in",
    "'": "ft",
    "′": "ft",
    "foot": "ft",
    "feet": "ft",
    "yard": "yd",
    "yards": "yd",
    "metre": "m",
    "metres": "m",
    "meter": "m",
    "meters": "m",
    "ins": "in",
    "''": "in",
    "′′": "in",
    "\u201d": "in",
    "\u201c": "in",
    "\u2019\u2019": "in",
    "\u2019": "ft",
    "yds": "yd",
    "centimetre": "cm",
    "centimetres": "cm",
    "centimeter": "cm",
    "centimeters": "cm",
    "cms": "cm",
    "millimetre": "mm",
    "millimetres": "mm",
    "millimeter": "mm",
    "millimeters": "mm",
    "mms": "mm",
}

_VULGAR = {
    "½": "1/2", "⅓": "1/3", "⅔": "2/3", "¼": "1/4", "¾": "3/4", "⅕": "1/5", "⅖": "2/5",
    "⅗": "3/5", "⅘": "4/5", "⅙": "1/6", "⅚": "5/6", "⅛": "1/8", "⅜": "3/8", "⅝": "5/8", "⅞": "7/8",
}  # fmt: skip

_NUMBER = r"(?P<whole>\d+(?:\.\d+)?|\.\d+)?(?:(?:^|(?<=\d)[\s-]+)(?P<part>\d+\s*/\s*\d+))?"
_LENGTH = re.compile(rf"^(?P<sign>[+-])?\s*{_NUMBER}\s*(?P<unit>[^\d\s./][^\d\s]*)?$")

_FEET_AND_INCHES = re.compile(
    r"^(?P<feet>\d+)\s*(?:ft\.?|feet|foot|['′\u2019])\s*(?P<inches>\d.*)$", re.IGNORECASE
)

_BETWEEN_LENGTHS = re.compile(r"(?<![a-z])\s*(?:[x×*]|by)\s*(?![a-z])")
_UNIT_AT_THE_END = re.compile(r"[a-z\"'′″]+\.?$")

_TIME = re.compile(r"^\s*(?:(\d+(?:\.\d+)?)\s*h)?\s*(?:(\d+(?:\.\d+)?)\s*min)?\s*$")

Units = Literal["both", "inches", "metric"]

YARD_MM = MM_PER_UNIT["yd"]
_SLACK = 1e-6


def parse_length(text: str | int | float, default_unit: str | None = None) -> float:
    """Millimetres of a length as a person writes it.

    Accepts ``"1 1/4 in"``, ``"1¼ in"``, ``'2"'``, ``"48 cm"``, ``"3.2 mm"``, ``"2 yd"``; a bare
    number takes ``default_unit``; feet may be followed by inches. Raises ``ValueError`` with a
    plain sentence otherwise.
    """
    if isinstance(text, bool):
        raise ValueError("a length is a number with a unit")
    if isinstance(text, int | float):
        return _in_unit(float(text), default_unit)
    if both := _FEET_AND_INCHES.match(text.strip()):
        return _feet_and_inches(both["feet"], both["inches"])
    sign, magnitude, unit = _split(text)
    return sign * _in_unit(magnitude, unit or default_unit)


def _feet_and_inches(feet: str, inches: str) -> float:
    sign, magnitude, unit = _split(inches)
    if sign < 0 or (unit or "in") != "in" or magnitude >= 12:
        raise ValueError(f"{feet} ft {inches} is not a length: inches, fewer than 12, follow feet")
    return _in_unit(float(feet), "ft") + _in_unit(magnitude, "in")


def likely_lengths(text: str) -> tuple[str, ...]:
    """What somebody meant whose text is no length: one or two lengths as they are written.

    Sees a comma in a number, ``"72,5 cm"`` or ``"1,800 mm"``, and a size in place of a length,
    ``"44 x 11 in"``. Empty where there is nothing to guess from.
    """
    plain = re.sub(r"(?<=[1-9]),(?=\d{3}(?!\d))", "", " ".join(text.split()))
    plain = re.sub(r"(?<=\d),(?=\d)", ".", plain)
    parts = [part.strip() for part in _BETWEEN_LENGTHS.split(plain.lower())]
    unit = _UNIT_AT_THE_END.search(parts[-1])
    if len(parts) == 2 and unit and not _UNIT_AT_THE_END.search(parts[0]):
        parts[0] = f"{parts[0]} {unit[0]}"
    if len(parts) > 2 or (len(parts) == 1 and plain == text):
        return ()
    try:
        mm = [parse_length(part, "in") for part in parts]
    except (ValueError, OverflowError):
        return ()
    return tuple(part.replace('"', " in") for part in parts) if min(mm) > 0 else ()


def parse_size(text: str) -> tuple[float, float]:
    """Millimetres of a length and a width as a person writes them.

    Accepts ``"44 x 11 in"``, ``"44 in x 11 in"``, ``"112 × 28 cm"``; a unit that stands once holds
    for both. Raises ``ValueError`` with a plain sentence otherwise.
    """
    parts = re.split(r"\s*[x×]\s*", text.strip().lower())
    if len(parts) != 2 or not all(parts):
        raise ValueError("a size is a length and a width, such as 44 x 11 in")
    unit = _split(parts[1])[2] or _split(parts[0])[2]
    length, width = (parse_length(part, unit) for part in parts)
    if min(length, width) <= 0:
        raise ValueError("a size is larger than nothing both ways")
    return length, width


def _in_unit(magnitude: float, unit: str | None) -> float:
    if not math.isfinite(magnitude):
        raise ValueError("a length must be a finite number")
    if unit is None:
        raise ValueError("the unit is missing")
    return magnitude * MM_PER_UNIT[unit]


def _split(text: str) -> tuple[int, float, str | None]:
    """Sign, magnitude and canonical unit of a written length."""
    plain = text.strip()
    for sign_char, fraction in _VULGAR.items():
        plain = plain.replace(sign_char, f" {fraction}")
    match = _LENGTH.match(" ".join(plain.split()))
    if match is None or not (match["whole"] or match["part"]):
        raise ValueError(f"{text!r} is not a length")
    magnitude = _magnitude(match["whole"] or "0", match["part"] or "0/1")
    return (-1 if match["sign"] == "-" else 1), magnitude, _canonical_unit(match["unit"])


def _magnitude(whole: str, fraction: str) -> float:
    numerator, denominator = (int(number) for number in fraction.split("/"))
    if denominator == 0:
        raise ValueError("a fraction cannot have 0 below the line")
    return float(Fraction(whole) + Fraction(numerator, denominator))


def _canonical_unit(written: str | None) -> str | None:
    if written is None:
        return None
    unit = written.lower().rstrip(".")
    unit = _SPELLINGS.get(unit, unit)
    if unit not in MM_PER_UNIT:
        raise ValueError(f"{written!r} is not a unit of length; use mm, cm, m, in, ft or yd")
    return unit


def inch_fraction(mm: float, denominator: int = 8) -> str:
    """Inches to the nearest 1/``denominator`` as a ruler shows them: ``"1 1/4 in"``."""
    steps = round(mm / MM_PER_INCH * denominator)
    sign, (whole, rest) = ("-" if steps < 0 else ""), divmod(abs(steps), denominator)
    parts = ([str(whole)] if whole or not rest else []) + (
        [str(Fraction(rest, denominator))] if rest else []
    )
    return f"{sign}{' '.join(parts)} {say('in')}"


def inch_decimal(mm: float) -> str:
    """Inches to two decimals, for places where a fraction would hide too much."""
    return f"{numerals(f'{mm / MM_PER_INCH:.2f}')} {say('in')}"


def millimetres(mm: float) -> str:
    """Millimetres to the nearest half, without a needless ``.0``: ``"25.5 mm"``."""
    half = round(mm * 2) / 2
    return f"{half:.0f} mm" if half == int(half) else f"{numerals(f'{half:.1f}')} mm"


def both_units(mm: float, denominator: int = 8) -> str:
    """Inches with millimetres beside them: ``"1 1/4 in (32 mm)"``."""
    return f"{inch_fraction(mm, denominator)} ({millimetres(mm)})"


def minutes_of(text: str) -> float:
    """Minutes of ``"2 h"``, ``"1.5 h"``, ``"90 min"`` or ``"1 h 30 min"``."""
    match = _TIME.match(text)
    if match is None or not any(match.groups()):
        raise ValueError(f"{text!r} is not a time")
    hours, minutes = (float(part or 0) for part in match.groups())
    return 60 * hours + minutes


@dataclass(frozen=True)
class Measures:
    """How lengths are written."""

    units: Units = "both"

    def cut(self, mm: float) -> str:
        """To 1/8 in or half a millimetre: what is cut or measured with a ruler."""
        return self._length(mm, 8)

    def fine(self, mm: float) -> str:
        """To 1/16 in or half a millimetre: seams and folds."""
        return self._length(mm, 16)

    def _length(self, mm: float, denominator: int) -> str:
        if self.units == "both":
            return both_units(mm, denominator)
        return inch_fraction(mm, denominator) if self.units == "inches" else millimetres(mm)

    def size(self, along_mm: float, across_mm: float) -> str:
        """Two lengths, "a by b"."""
        return say("{along} by {across}", along=self.cut(along_mm), across=self.cut(across_mm))

    def short(self, mm: float) -> str:
        """One unit only, for drawings: inches unless metric was asked for."""
        return millimetres(mm) if self.units == "metric" else inch_fraction(mm, 8)

    def usual(self, inches_mm: float, metric_mm: float) -> str:
        """A figure for which either side has a usual one of its own, such as 1/4 in or 6 mm."""
        return self.fine(metric_mm if self.units == "metric" else inches_mm)

    def to_buy(self, mm: float) -> str:
        """Yards up to the next 1/8, metres up to the next 0.1."""
        eighths = inch_fraction(eighths_of_a_yard(mm) * MM_PER_INCH, 8)
        yards = f"{eighths.removesuffix(say('in')).strip()} yd"
        metres = f"{numerals(f'{tenths_of_a_metre(mm):.1f}')} m"
        return {"both": f"{yards} ({metres})", "inches": yards, "metric": metres}[self.units]


_TO = r"\s(?:to|bis|à|a)\s"
_INCHES = (
    r"(?:in(?:\s(?:full|scant))?|Inch(?:\s(?:reichlich|knapp))?|po(?:\s(?:fort|faible))?"
    r"|pulg\.(?:\s(?:largas|escasas))?)"
)
_IN_BOTH = re.compile(
    rf"(?<![\d/])(-?(?:\d+\s)?\d+(?:/\d+)?(?:{_TO}\d+(?:/\d+)?)?\s+{_INCHES})"
    rf"\s+\((-?\d[\d.,]*(?:{_TO}[\d.,]+)?\s+mm)\)( ?)"
)
"""What :func:`both_units` writes, or a range, in any language: ``"6 to 12 in (150 to 300 mm)"``."""


_BREAK = re.compile(r"\n *")


def say_in_units(text: str, units: Units) -> str:
    """A sentence whose lengths stand in both units, with them in the units asked for.

    Example:
        >>> say_in_units("a drop of 8 1/2 in (216 mm)", "metric")
        'a drop of 216 mm'
    """
    if units == "both":
        return text

    def said(both: re.Match[str]) -> str:
        own = both[1] if units == "inches" else both[2]
        broken = _BREAK.search(both[0]) if "\n" not in own else None
        if broken is None:
            return f"{own}{both[3]}"
        # a line that was broken stays so, before what follows or before the unit
        return f"{own}{broken[0]}" if both[3] else broken[0].join(own.rsplit(" ", 1))

    return _IN_BOTH.sub(said, text)


UNITS_OF_PAPERS: dict[str | None, Units] = {"in": "inches", "mm": "metric", "cm": "metric"}
"""Units of all that people read by the unit of a file; both where it has none."""


def units_of_faults(own: str | None) -> Units:
    """Units in which a mistake is told, by those of a file: millimetres as they are, but an inch to
    the nearest eighth is no figure to reckon with, so that both stand there."""
    return "metric" if own in ("mm", "cm") else "both"


def count(number: int, one: str, many: str = "") -> str:
    """``"1 strip"``, ``"6 strips"``."""
    return say_count(number, one, many or f"{one}s")


def join_with_and(parts: Sequence[str]) -> str:
    """``"a, b and c"``."""
    return say_list(parts)


def eighths_of_a_yard(mm: float) -> float:
    """Yards to buy: up to the next eighth."""
    return math.ceil(mm / (YARD_MM / 8) - _SLACK) / 8


def tenths_of_a_metre(mm: float) -> float:
    """Metres to buy: up to the next tenth."""
    return math.ceil(mm / 100 - _SLACK) / 10
