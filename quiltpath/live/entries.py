"""Parts of a project file's text that changes are laid into."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import tomlkit

from quiltpath.errors import InputError

Change = Mapping[str, Any]
"""``{"key": "spacing", "entry": 0, "value": ...}``: a key, the entry it belongs to, a value.
Lengths come in mm."""

MOST_POINTS = 400


def fault(key: str, wrong: str, right: str) -> InputError:
    """What is wrong with a change that the page sent."""
    return InputError("page", key, wrong, right)


def entry_of(document: Any, table: str, place: Any) -> Any:
    """One entry of an array of tables, by its number from 0; raises :class:`InputError`."""
    entries = document.get(table, [])
    if isinstance(place, bool) or not isinstance(place, int) or not 0 <= place < len(entries):
        raise fault(table, f"there is no entry {place!r}", "load the page again")
    return entries[place]


def rows(points: list[list[str]]) -> Any:
    """One corner a line, as a person would write a long list."""
    array = tomlkit.array()
    array.extend(points)
    return array.multiline(True)
