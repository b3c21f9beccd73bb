"""sewing-notes.txt: what to know at the machine, on one plain sheet beside the guide."""

from __future__ import annotations

import textwrap
from collections.abc import Mapping, Sequence
from typing import Any

from quiltpath.units import both_units, inch_fraction

WIDTH = 88

CAUTION = (
    "Stop the machine before hands go near the needle, and take pins out before you reach them."
    " The machine's own manual comes before this sheet."
)

BAR_RULE = (
    "Bar to the left of the needle. Mark the row nearest the middle of the runner and sew it"
    " first, then row by row outwards, the line sewn last under the bar and the smaller side of"
    " the runner in the throat. Turn the work by half a turn once, for the other side."
)


def sewing_notes(title: str, sewing: Mapping[str, Any]) -> str:
    """The sheet, from what the report says under ``sewing``."""
    parts = [f"SEWING NOTES: {title}", _wrapped(f"! {CAUTION}")]
    for heading, lines in (
        ("ONE-LINE CROSSHATCH", _one_line(sewing["one_line"])),
        ("SEAMS", _seams(sewing["seams"])),
        ("IN BALANCE", _balance(sewing["skew"])),
        ("GUIDE BAR", _guide_bar(sewing["guide_bar"])),
        ("AFTER A BREAK", _checkpoints(sewing["checkpoints"])),
        ("TO COUNT BEFORE UNLOADING", _to_count(sewing["to_count"])),
    ):
        if lines:
            parts.append("\n".join([heading, *lines]))
    return "\n\n".join(parts) + "\n"


def _wrapped(text: str, indent: str = "  ") -> str:
    return textwrap.fill(text, WIDTH, initial_indent=indent, subsequent_indent=indent + "  ")


def _mm(mm: float) -> str:
    """Inches with tenths of a millimetre: what a bar is set to."""
    return f"{inch_fraction(mm, 16)} ({mm:.1f} mm)"


def _one_line(layers: Sequence[Mapping[str, Any]]) -> list[str]:
    return [
        _wrapped(
            f"{one['layer']} in {one['region']}: one line of {one['sewn_mm'] / 1000:.1f} m in place"
            f" of {one['replaces_lines']} lines and as many starts; {one['cells_across']} x"
            f" {one['cells_along']} cells, gap {_mm(one['gap_mm'])}, {one['angle_deg']:.1f}"
            " degrees. Baste firmly: it is not sewn from the centre outwards."
        )
        for one in layers
    ]


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
        lines.append(_wrapped(f"{layer['layer']}: {close}. Here {best}."))
    return lines


def _balance(skew: Mapping[str, Any]) -> list[str]:
    share = abs(skew["share"])
    text = (
        f"{share:.0%} of the stitching pulls one way along a diagonal; on the way it is"
        f" {skew['peak_mm'] / 1000:.1f} m at the most."
    )
    if skew["by_turns_mm"] < skew["peak_mm"] / 2:
        text += (
            f" Sewn by turns, one line of each leaning, it is {skew['by_turns_mm'] / 1000:.1f} m"
            " at the most."
        )
    shift = abs(skew["end_shift_mm"])
    if shift >= 1.0:
        text += f" The ends may shift by about {shift:.0f} mm: square up after quilting."
    return [_wrapped(text)] if skew["peak_mm"] > 0 else []


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
    return [_wrapped(BAR_RULE), *lines] if lines else []


def _bar_line(name: str, settings: str, members: Sequence[Mapping[str, Any]]) -> str:
    places = ", ".join(str(member["region"]) for member in members)
    rows = sum(member["rows"] for member in members)
    suited = all(
        member["as_numbered"]["following"] == member["rows"] - 1
        and member["as_numbered"]["bulk_out"] == member["rows"]
        for member in members
    )
    order = "as numbered on the guide" if suited else "not as numbered on the guide"
    return _wrapped(f"{name}, in {places}: {rows} rows, bar at {settings}; {order}.")


def _checkpoints(places: Sequence[Mapping[str, Any]]) -> list[str]:
    if len(places) < 2:
        return []
    return [
        _wrapped(
            f"Take up again from the last of the checkpoints c1 to c{len(places)} that was passed;"
            " sew over the last 10 to 20 mm. 'quiltpath resume' writes the file for a machine."
        ),
        *(
            f"  c{place['number']:<4}{both_units(place['at_mm'][0]):>24} along"
            f"{both_units(place['at_mm'][1]):>24} across"
            for place in places
        ),
    ]


def _to_count(places: Sequence[Mapping[str, Any]]) -> list[str]:
    """Boxes to tick: a missing line is found while the piece can still be sewn."""
    width = max((len(place["place"]) for place in places), default=0)
    return [
        f"  [ ] {place['place']:<{width}}  {place['lines']:>4} lines"
        + ("" if place["crossings"] is None else f"  {place['crossings']:>5} crossings")
        for place in places
    ]
