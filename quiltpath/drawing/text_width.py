"""How wide text prints, so that none is cut: widths of Helvetica in thousandths of its size.

From Adobe's core font metrics (public; from memory, each class rounded up to its widest letter but
for the few that stand alone).
"""

from __future__ import annotations

_WIDE = {"W": 944, "M": 833, "m": 833, "w": 722, "%": 889, "@": 1015, "G": 778, "O": 778, "Q": 778}
_NARROW = dict.fromkeys("iljI.,:;'|!/ ft()[]-\"", 333)


def text_width(text: str, size_mm: float, *, bold: bool = False) -> float:
    """An upper estimate of the printed width in mm."""
    known = _ASCII if text.isascii() else _ASCII | {letter: _letter(letter) for letter in text}
    thousandths = sum(map(known.__getitem__, text))
    return thousandths / 1000 * size_mm * (1.08 if bold else 1.0)


def _letter(letter: str) -> int:
    if letter in _WIDE:
        return _WIDE[letter]
    if letter in _NARROW:
        return _NARROW[letter]
    return 722 if letter.isupper() else 584


_ASCII = {chr(code): _letter(chr(code)) for code in range(128)}


def size_that_fits(text: str, size_mm: float, room_mm: float, *, bold: bool = False) -> float:
    """The size at which the text fits into ``room_mm``, at most ``size_mm``."""
    wide = text_width(text, size_mm, bold=bold)
    return size_mm if wide <= room_mm else size_mm * room_mm / wide


def wrap_words(text: str, size_mm: float, room_mm: float) -> list[str]:
    """The text in lines that fit, broken at spaces; a longer word stands alone."""
    lines: list[str] = []
    for word in text.split():
        longer = f"{lines[-1]} {word}" if lines else word
        if lines and text_width(longer, size_mm) <= room_mm:
            lines[-1] = longer
        else:
            lines.append(word)
    return lines
