"""Changes from the page laid into the text of a project file, comments and order kept."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

import tomlkit
from tomlkit.exceptions import TOMLKitError

from quiltpath.live.entries import MOST_POINTS, Change, entry_of, fault, rows
from quiltpath.live.lengths import (
    about_or_exact,
    length,
    number,
    numbers,
    pair,
    positions,
    written_mm,
)
from quiltpath.live.motif_edits import moved, moved_in_all_blocks, traced
from quiltpath.project.quilting_sections import LAYER_KINDS
from quiltpath.project.sewing_sections import StitchSection

MOST_CHANGES = 1000

AMOUNTS = frozenset(getattr(model, "amount_key", "spacing") for model in LAYER_KINDS.values())
"""Keys that say how close the lines of a layer lie."""

KEPT_WITH_A_PATTERN = frozenset({"region", "clearance", "overrun", "role", "name"})
"""What a layer keeps when it is given another pattern."""

SIZES = ("length", "width", "shape", "outline", "outline_svg")
MEASURES = ("point_angle", "cut", "radius", "scallop", "scallop_depth")
COUNTED = ("along", "across", "block", "sashing", "outer_sashing", "border")


def edited(text: str, changes: list[Change], units: str | None) -> str:
    """``text`` with all changes made; raises :class:`InputError` for one that cannot be."""
    if not isinstance(changes, list) or len(changes) > MOST_CHANGES:
        raise fault("changes", "is not a list of changes", f"send up to {MOST_CHANGES}")
    try:
        document = tomlkit.parse(text)
    except (TOMLKitError, RecursionError) as error:
        raise fault("", f"the file is not valid TOML: {error}", "mend it") from None
    for change in changes:
        if not isinstance(change, Mapping):
            raise fault("changes", "a change is a table", "send key and value")
        _make(document, change, units)
    return tomlkit.dumps(document)


def _make(document: Any, change: Change, units: str | None) -> None:
    key = change.get("key")
    act = ACTS.get(key) if isinstance(key, str) else None
    if act is None:
        raise fault(str(key), "cannot be changed here", "change it in the file")
    act(document, change, units)


def _layer(document: Any, change: Change) -> Any:
    return entry_of(document, "quilting", change.get("entry"))


def _pattern(document: Any, change: Change, _: str | None) -> None:
    entry = _layer(document, change)
    for other in [name for name in entry if name not in KEPT_WITH_A_PATTERN | {"pattern"}]:
        del entry[other]
    entry["pattern"] = str(change.get("value"))


def _region(document: Any, change: Change, _: str | None) -> None:
    _layer(document, change)["region"] = str(change.get("value"))


def _angle(document: Any, change: Change, _: str | None) -> None:
    _layer(document, change)["angle"] = number(change.get("value"))


def _angles(document: Any, change: Change, _: str | None) -> None:
    _layer(document, change)["angles"] = numbers(change.get("value"))


def _clearance(document: Any, change: Change, units: str | None) -> None:
    _layer(document, change)["clearance"] = length(change.get("value"), units)


def _amount(document: Any, change: Change, units: str | None) -> None:
    _layer(document, change)[str(change["key"])] = about_or_exact(change.get("value"), units)


def _stitch(document: Any, change: Change, units: str | None) -> None:
    """Stitches are told in mm everywhere; bounds give way where they must."""
    wanted = number(change.get("value"))
    section = document.setdefault("stitch", tomlkit.table())
    section["length"] = length(wanted, "mm")
    for bound, gives in (("shortest", min), ("longest", max)):
        usual = StitchSection.model_fields[bound].default
        stands = written_mm(section.get(bound, f"{usual} mm"), units)
        if gives(wanted, stands) != stands:
            section[bound] = length(wanted, "mm")


def _outline(document: Any, change: Change, units: str | None) -> None:
    """The finished edge as a list of corners; sizes that said it before go."""
    corners = change.get("value")
    if not isinstance(corners, list) or not 3 <= len(corners) <= MOST_POINTS:
        raise fault("runner.outline", "is not an outline", f"draw 3 to {MOST_POINTS} corners")
    section = document["runner"]
    for name in (*SIZES, *MEASURES):
        section.pop(name, None)
    section["outline"] = rows([pair(corner, units) for corner in corners])


def _printed(document: Any, change: Change, units: str | None) -> None:
    """Measured places of the printed lines instead of counts and sizes."""
    value = change.get("value")
    if not isinstance(value, Mapping):
        raise fault("grid", "is no pair of lists", "send along and across")
    section = document.setdefault("grid", tomlkit.table())
    for name in COUNTED:
        section.pop(name, None)
    for axis in ("along", "across"):
        section[f"printed_{axis}"] = positions(value.get(axis), units)


Act = Callable[[Any, Change, "str | None"], None]

ACTS: dict[str, Act] = {
    "pattern": _pattern,
    "region": _region,
    "angle": _angle,
    "angles": _angles,
    "clearance": _clearance,
    "stitch.length": _stitch,
    "motif.at": moved,
    "motif.offset": moved_in_all_blocks,
    "motif.new": traced,
    "runner.outline": _outline,
    "grid.printed": _printed,
    **dict.fromkeys(AMOUNTS, _amount),
}
"""A row for each key that the page can change."""
