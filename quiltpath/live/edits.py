"""Changes from the page laid into the text of a project file, comments and order kept."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import tomlkit
from tomlkit.exceptions import TOMLKitError

from quiltpath.errors import InputError
from quiltpath.units import inch_fraction

Change = Mapping[str, Any]
"""``{"entry": 0, "key": "spacing", "value": "1 in"}``, or ``"entry": None`` for the set stitch
length, or ``"motif": 0`` with ``"at"``."""

LAYER_KEYS = frozenset({"spacing", "angle", "clearance", "region", "pattern"})
KEPT_WITH_A_PATTERN = frozenset({"region", "clearance", "overrun", "role", "name"})
MOST_CHANGES = 200


def edited(text: str, changes: list[Change], units: str | None) -> str:
    """``text`` with all changes made; raises :class:`InputError` for one that cannot be."""
    if not isinstance(changes, list) or len(changes) > MOST_CHANGES:
        raise InputError("page", "changes", "is not a list of changes", "send up to 200")
    try:
        document = tomlkit.parse(text)
    except TOMLKitError as error:
        raise InputError("page", "", f"the file is not valid TOML: {error}", "mend it") from None
    for change in changes:
        if not isinstance(change, Mapping):
            raise InputError("page", "changes", "a change is a table", "send key and value")
        _make(document, change, units)
    return tomlkit.dumps(document)


def _make(document: Any, change: Change, units: str | None) -> None:
    key, value = change.get("key"), change.get("value")
    if key == "stitch.length":
        section = document.setdefault("stitch", tomlkit.table())
        section["length"] = _length(value, "mm")
    elif key == "motif.at":
        _move_motif(document, change, units)
    elif key in LAYER_KEYS:
        _change_layer(_entry(document, "quilting", change.get("entry")), str(key), value, units)
    else:
        raise InputError("page", str(key), "cannot be changed here", "change it in the file")


def _entry(document: Any, table: str, number: Any) -> Any:
    entries = document.get(table, [])
    if isinstance(number, bool) or not isinstance(number, int) or not 0 <= number < len(entries):
        raise InputError("page", table, f"there is no entry {number!r}", "reload the page")
    return entries[number]


def _change_layer(entry: Any, key: str, value: Any, units: str | None) -> None:
    if key == "pattern":
        for other in [name for name in entry if name not in KEPT_WITH_A_PATTERN]:
            del entry[other]
        entry["pattern"] = str(value)
    elif key == "region":
        entry["region"] = str(value)
    elif key == "angle":
        entry["angle"] = _number(value)
    elif key == "spacing" and isinstance(value, Mapping):
        about = "about " if value.get("about") else ""
        entry["spacing"] = f"{about}{_length(value.get('mm'), units)}"
    else:
        entry[key] = _length(value, units)


def _move_motif(document: Any, change: Change, units: str | None) -> None:
    entry = _entry(document, "motif", change.get("entry"))
    point = change.get("value")
    if not isinstance(point, list) or len(point) != 2:
        raise InputError("page", "motif.at", "is not a point", "send two lengths in mm")
    entry.pop("blocks", None)
    entry["at"] = [_length(value, units) for value in point]


def _number(value: Any) -> int | float:
    if isinstance(value, bool) or not isinstance(value, int | float):
        raise InputError("page", "value", f"{value!r} is not a number", "send a number")
    return int(value) if float(value).is_integer() else round(float(value), 2)


def _length(value: Any, units: str | None) -> str:
    """A length as a person would have written it in this file."""
    mm = float(_number(value))
    if units == "in":
        return inch_fraction(mm, 16)
    return f"{round(mm, 1):g} mm"
