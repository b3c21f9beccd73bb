"""How wide text prints, so that none is cut: Helvetica's own widths, and lines that fit a room."""

from __future__ import annotations

import re
from collections.abc import Iterator
from functools import cache

from quiltpath.drawing.pdf import printable


def text_width(text: str, size_mm: float, *, bold: bool = False) -> float:
    """Width of a line in Helvetica, in mm."""
    advances = _advances(bold)
    return sum([advances[code] for code in printable(text).encode("cp1252")]) * size_mm


@cache
def _advances(bold: bool) -> tuple[float, ...]:
    """(256,) widths of Helvetica's letters for size 1, from Adobe's metrics in the PDF library."""
    from reportlab.pdfbase.pdfmetrics import stringWidth

    font = "Helvetica-Bold" if bold else "Helvetica"
    letters = [bytes([code]).decode("cp1252", "ignore") for code in range(256)]
    return tuple(float(stringWidth(letter, font, 1)) for letter in letters)


def size_that_fits(text: str, size_mm: float, room_mm: float, *, bold: bool = False) -> float:
    """The size at which the text fits into ``room_mm``, at most ``size_mm``."""
    wide = text_width(text, size_mm, bold=bold)
    return size_mm if wide <= room_mm else size_mm * room_mm / wide


def wrap_words(text: str, size_mm: float, room_mm: float, *, bold: bool = False) -> list[str]:
    """The text in lines that fit, broken at spaces; a word that is too long is split."""
    lines: list[str] = []
    line: list[str] = []
    gap, used = text_width(" ", size_mm, bold=bold), 0.0
    for word in _words(text, size_mm, room_mm, bold):
        wide = text_width(word, size_mm, bold=bold)
        if line and used + gap + wide > room_mm:
            lines.append(" ".join(line))
            line, used = [], 0.0
        used += wide + (gap if line else 0.0)
        line.append(word)
    return [*lines, " ".join(line)]


def _words(text: str, size_mm: float, room_mm: float, bold: bool) -> Iterator[str]:
    """The words; in place of one that is wider than the line, pieces of it.

    A no-break space is part of its word.
    """
    for word in filter(None, re.split(r"[ \t\n]+", text)):
        while (wide := text_width(word, size_mm, bold=bold)) > room_mm and len(word) > 1:
            most = max(1, int(len(word) * room_mm / wide) - 1)
            yield word[:most]
            word = word[most:]
        yield word
