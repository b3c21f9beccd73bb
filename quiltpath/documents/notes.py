"""sewing-notes.txt: what to know at the machine, as plain text that fits a printed page.

The sheet is written from what the report says under ``sewing``; what it says of a further file that
a project asks for comes from the job that made it.
"""

from __future__ import annotations

import textwrap
from collections.abc import Iterable, Mapping, Sequence
from typing import Any

from quiltpath.units import both_units, inch_fraction

CAUTION = (
    "Stop the machine before hands go near the needle, and take pins out before you reach them."
    " The machine's own manual comes before this sheet."
)

BAR_RULE = (
    "Bar to the left of the needle. Mark the row nearest the middle of the runner and sew it"
    " first, then row by row outwards, the line sewn last under the bar and the smaller side of"
    " the runner in the throat. Turn the work by half a turn once, for the other side."
)

BALANCED_MM = 50.0
"""So much line one way or the other is nothing that cloth shows."""

WIDTH = 88

ReportEntry = Mapping[str, Any]


def sewing_notes(
    title: str, sewing: Mapping[str, Any], further: Iterable[tuple[str, list[str]]] = ()
) -> str:
    """The sheet; ``further`` are headings with their lines, of files that a project asks for."""
    parts = [f"SEWING NOTES: {title}", wrap_paragraph(f"! {CAUTION}")]
    for heading, lines in (
        ("ONE-LINE CROSSHATCH", _one_line(sewing["one_line"])),
        ("SEAMS", _seams(sewing["seams"])),
        ("IN BALANCE", _balance(sewing["skew"])),
        ("GUIDE BAR", _guide_bar(sewing["guide_bar"])),
        ("AFTER A BREAK", _checkpoints(sewing["checkpoints"])),
        ("TO COUNT BEFORE UNLOADING", _to_count(sewing["to_count"])),
        *further,
    ):
        if lines:
            parts.append("\n".join([heading, *lines]))
    return "\n\n".join(parts) + "\n"


def _one_line(layers: Sequence[Mapping[str, Any]]) -> list[str]:
    lines = []
    for one in layers:
        lines.append(
            wrap_paragraph(
                f"{one['layer']} in {one['region']}: one line of {one['sewn_mm'] / 1000:.1f} m and"
                f" one start in place of {one['replaces_lines']} lines and as many starts;"
                f" {one['cells_across']} x {one['cells_along']} cells, gap {_mm(one['gap_mm'])},"
                f" {one['angle_deg']:.1f} degrees. Baste firmly: it is not sewn from the centre"
                f" outwards.{_turns(one['turns_inside_mm'])}"
            )
        )
    return lines


def _turns(inside_mm: float | None) -> str:
    if inside_mm is None:
        return " Something cuts the line open: it has more starts than one."
    return (
        f" It turns {_mm(inside_mm)} inside the finished edge: stop with the needle down, pivot,"
        " and trim outside the turns."
    )


def _seams(layers: Sequence[Mapping[str, Any]]) -> list[str]:
    lines = []
    for layer in layers:
        fit, missed = layer["best_fit"], len(layer["near_misses"])
        if fit is None:
            continue
        close = f"{missed} near misses of seams" if missed else "no near miss of a seam"
        best = (
            f"{fit['project']} would meet {fit['met']} of the places where seams could be met and"
            f" halve {fit['halved']}, within {fit['worst_mm']:.1f} mm"
            if fit["good"]
            else "no spacing near this one meets or halves all seams"
        )
        lines.append(wrap_paragraph(f"{layer['layer']}: {close}. Here {best}."))
    return lines


def _balance(skew: Mapping[str, Any]) -> list[str]:
    share = abs(skew["share"])
    if skew["peak_mm"] <= BALANCED_MM:
        return [
            wrap_paragraph(
                "Lines of both leanings pull alike, all the way through the sewing order."
            )
        ]
    text = (
        f"{share:.0%} of the stitching pulls one way along a diagonal; on the way it is"
        f" {skew['peak_mm'] / 1000:.1f} m at the most."
    )
    if skew["partner_mm"] > BALANCED_MM:
        text += (
            f" {skew['partner_mm'] / 1000:.1f} m of lines at {-skew['lean_deg']:.0f} degrees would"
            " bring it to nothing."
        )
    if skew["by_turns_mm"] < skew["peak_mm"] / 2:
        text += (
            f" Sewn by turns, one line of each leaning, it is {skew['by_turns_mm'] / 1000:.1f} m"
            " at the most."
        )
    shift = abs(skew["end_shift_mm"])
    if shift >= 1.0:
        text += f" The ends may shift by about {shift:.0f} mm: square up after quilting."
    return [wrap_paragraph(text)]


def _guide_bar(families: Sequence[Mapping[str, Any]]) -> list[str]:
    """One line for all regions with the same lines."""
    together: dict[tuple[str, str], list[Mapping[str, Any]]] = {}
    for family in families:
        settings = sorted({_mm(s["setting_mm"]) for s in family["steps"] if s["bar"]})
        if settings:
            words = " or ".join(settings[:3]) + (" and others" if len(settings) > 3 else "")
            key = f"{family['layer']}, {family['angle_deg']:.3g} degrees", words
            together.setdefault(key, []).append(family)
    lines = [_bar_line(*key, members) for key, members in together.items()]
    return [wrap_paragraph(BAR_RULE), *lines] if lines else []


def _bar_line(name: str, settings: str, members: Sequence[Mapping[str, Any]]) -> str:
    places = ", ".join(sorted((str(member["region"]) for member in members), key=_by_number))
    rows = sum(member["rows"] for member in members)
    suited = all(
        member["as_numbered"]["following"] == member["rows"] - 1
        and member["as_numbered"]["bulk_out"] == member["rows"]
        for member in members
    )
    order = "as numbered on the guide" if suited else "not as numbered on the guide"
    return wrap_paragraph(f"{name}, in {places}: {rows} rows, bar at {settings}; {order}.")


def _by_number(name: str) -> tuple[str, int]:
    """ "sashing 10" after "sashing 9"."""
    word, _, number = name.rpartition(" ")
    return (word, int(number)) if number.isdigit() else (name, 0)


def _checkpoints(places: Sequence[Mapping[str, Any]]) -> list[str]:
    by_part: dict[str, list[Mapping[str, Any]]] = {}
    for place in places:
        by_part.setdefault(place.get("part", ""), []).append(place)
    parts = {part: own for part, own in by_part.items() if len(own) > 1}
    if not parts:
        return []
    last = list(parts)[-1]
    which = f"c1 to c{len(parts[''])}" if "" in parts else "of its part"
    option = f" --part {last}" if last else ""
    lines = [
        wrap_paragraph(
            f"Take up again from the last of the checkpoints {which} that was passed; sew over the"
            f" last 10 to 20 mm. 'quiltpath resume{option}' writes the file for a machine."
        )
    ]
    for part, own in parts.items():
        number = list(by_part).index(part) + 1
        lines += [f"  {part}, on the guide {number}-c1 to {number}-c{len(own)}"] if part else []
        lines += [_place(place) for place in own]
    return lines


def _place(place: Mapping[str, Any]) -> str:
    x, y = place["at_mm"]
    return f"  c{place['number']:<4}{both_units(x):>24} along{both_units(y):>24} across"


def _to_count(places: Sequence[Mapping[str, Any]]) -> list[str]:
    """Boxes to tick: a missing line is found while the piece can still be sewn."""
    width = max((len(place["place"]) for place in places), default=0)
    return [
        f"  [ ] {place['place']:<{width}}  {place['lines']:>4} line{'s' * (place['lines'] != 1)}"
        + ("" if place["crossings"] is None else f"  {place['crossings']:>5} crossings")
        for place in places
    ]


def _mm(mm: float) -> str:
    """Inches with tenths of a millimetre: what a bar is set to."""
    return f"{inch_fraction(mm, 16)} ({mm:.1f} mm)"


def wrap_paragraph(text: str, indent: str = "  ") -> str:
    """A paragraph, its further lines set in a little more."""
    return textwrap.fill(text, WIDTH, initial_indent=indent, subsequent_indent=indent + "  ")


def bullet_points(lines: Sequence[str]) -> list[str]:
    """One point a line."""
    return [wrap_paragraph(f"- {line}") for line in lines]
