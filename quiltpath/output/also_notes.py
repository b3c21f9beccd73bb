"""What the sheet of notes says of the further files that a project asks for under [also]."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

from quiltpath.output.instructions_words import count
from quiltpath.output.notes_layout import bulleted, wrapped
from quiltpath.units import both_units, inch_fraction

Told = Mapping[str, Any]


def also_notes(also: Told) -> list[tuple[str, list[str]]]:
    """A heading and its lines for each key of the report's ``also``, in its order."""
    return [(SECTIONS[key][0], SECTIONS[key][1](told)) for key, told in also.items()]


def _look(told: Told) -> list[str]:
    metres = told["distance_mm"] / 1000
    lines = [f"look.png shows the lines near to and from {metres:g} m, to be held 50 cm away."]
    lines += [f"On {place}: {words}." for place, words in told["words"]]
    return bulleted(lines)


def _sizes(told: Told) -> list[str]:
    lines = [
        f"{one['size']}: {inch_fraction(one['length_mm'])} x {inch_fraction(one['width_mm'])},"
        f" {count(one['lines'], 'line')}"
        + (f", gap {both_units(one['line_gap_mm'])}" if one["line_gap_mm"] else "")
        for one in told["each"]
    ]
    return [
        wrapped("The same design without stretching; sizes.pdf sets them side by side."),
        *bulleted(lines),
    ]


def _nest(told: Told) -> list[str]:
    across, along = told["backing_mm"]
    text = (
        f"{len(told['runners'])} on a backing of {both_units(across)} by {both_units(along)};"
        f" {told['waste_share']:.0%} of it is left over"
    )
    least = "; no layout takes less" if told["is_least"] else ""
    return [wrapped(f"{text}{least}. Places and measures: nest.pdf.")]


def _ask(told: Told) -> list[str]:
    given = [
        f"{told['thread_m']:g} m of thread" if told["thread_m"] else "",
        f"{told['time_min']:g} minutes" if told["time_min"] else "",
        f"{both_units(told['binding_mm'])} of binding cloth" if told["binding_mm"] else "",
    ]
    head = f"{', '.join(part for part in given if part)}: also in at-hand.txt."
    return [wrapped(head), *bulleted([f"{name.strip()}: {text}." for name, text in told["words"]])]


def _resume(told: Told) -> list[str]:
    lines = [f"{one['folder']}: {one['title']}." for one in told["ready"]]
    return [
        wrapped("Files that begin 10 to 20 mm before a checkpoint; RESUME.txt is their sheet."),
        *bulleted(lines),
    ]


SECTIONS: dict[str, tuple[str, Callable[[Told], list[str]]]] = {
    "look": ("FROM ACROSS THE ROOM", _look),
    "sizes": ("OTHER SIZES", _sizes),
    "nest": ("SEVERAL ON ONE BACKING", _nest),
    "ask": ("WITH WHAT IS AT HAND", _ask),
    "resume": ("READY FOR A BREAK", _resume),
}
