"""Lengths in the words that the reader asked for: inches, metric or both."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from quiltpath.materials.cloth import eighths_of_a_yard, tenths_of_a_metre
from quiltpath.units import both_units, inch_fraction, millimetres

Units = Literal["both", "inches", "metric"]


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
        return f"{self.cut(along_mm)} by {self.cut(across_mm)}"

    def short(self, mm: float) -> str:
        """One unit only, for drawings: inches unless metric was asked for."""
        return millimetres(mm) if self.units == "metric" else inch_fraction(mm, 8)

    def to_buy(self, mm: float) -> str:
        """Yards up to the next 1/8, metres up to the next 0.1."""
        yards = f"{inch_fraction(eighths_of_a_yard(mm) * 25.4, 8).removesuffix(' in')} yd"
        metres = f"{tenths_of_a_metre(mm):.1f} m"
        return {"both": f"{yards} ({metres})", "inches": yards, "metric": metres}[self.units]


def count(number: int, one: str, many: str = "") -> str:
    """``"1 strip"``, ``"6 strips"``."""
    return f"{number} {one}" if number == 1 else f"{number} {many or one + 's'}"


def listed(parts: list[str]) -> str:
    """``"a, b and c"``."""
    return parts[0] if len(parts) == 1 else f"{', '.join(parts[:-1])} and {parts[-1]}"
