"""Names of 8 letters and 3, as old readers of cards and discs have them (ISO 9660, level 1).

A part's name is its kind, its number and how many there are: ``P01OF02``. What stands beside it is
told by one more letter at the front: ``TP01OF02`` is its trace.
"""

from __future__ import annotations

from quiltpath.project.sewing_sections import FileVariant

TRACE_LETTER = "T"
_LETTERS: dict[FileVariant, str] = {
    "mirrored": "M",
    "half-turned": "U",
    "lower-left": "A",
    "lower-right": "B",
    "upper-right": "C",
    "upper-left": "D",
}
_TRACE_LETTERS: dict[FileVariant, str] = {
    "mirrored": "N",
    "half-turned": "V",
    "lower-left": "W",
    "lower-right": "X",
    "upper-right": "Y",
    "upper-left": "Z",
}
_ENDINGS = {".gcode": ".nc", "-points.csv": ".pts", ".json": ".jsn"}


def screen_letter(variant: FileVariant, trace: bool) -> str:
    """The letter that tells a variant on the machine's screen, as in a short name."""
    return (_TRACE_LETTERS if trace else _LETTERS)[variant]


def short_ending(ending: str) -> str:
    """How the files of a format end in three letters."""
    return _ENDINGS.get(ending, ending)


def file_stem(part: str, short: bool, *, trace: bool = False, variant: FileVariant | None) -> str:
    """The name without ending of a part's file, of its trace, or of a variant of either."""
    if not short:
        words = [part, *([variant] if variant else []), *(["trace"] if trace else [])]
        return "-".join(words)
    if variant is not None:
        return screen_letter(variant, trace) + part
    return TRACE_LETTER + part if trace else part


def rest_stem(part: str, checkpoint: int, short: bool) -> str:
    """The name without ending of what is left of a part from a checkpoint."""
    if not short:
        return f"{part}-from-{checkpoint}"
    return f"R{checkpoint:03d}{part.partition('OF')[0]}"[:8]
