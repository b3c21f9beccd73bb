"""Changes from the page laid into the text of a project file, comments and order kept."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

import tomlkit
from tomlkit.exceptions import TOMLKitError

from quiltpath.errors import InputError
from quiltpath.live.lengths import about_or_exact, length, number, numbers, pair, positions
from quiltpath.project.quilting_sections import LAYER_KINDS

Change = Mapping[str, Any]
"""``{"key": "spacing", "entry": 0, "value": ...}``: a key, the entry it belongs to, a value.
Lengths come in mm."""

MOST_CHANGES = 1000
MOST_POINTS = 400

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
        raise _fault("changes", "is not a list of changes", f"send up to {MOST_CHANGES}")
    try:
        document = tomlkit.parse(text)
    except (TOMLKitError, RecursionError) as error:
        raise _fault("", f"the file is not valid TOML: {error}", "mend it") from None
    for change in changes:
        if not isinstance(change, Mapping):
            raise _fault("changes", "a change is a table", "send key and value")
        _make(document, change, units)
    return tomlkit.dumps(document)


def _fault(key: str, wrong: str, right: str) -> InputError:
    return InputError("page", key, wrong, right)


def _make(document: Any, change: Change, units: str | None) -> None:
    key = change.get("key")
    act = ACTS.get(key) if isinstance(key, str) else None
    if act is None:
        raise _fault(str(key), "cannot be changed here", "change it in the file")
    act(document, change, units)


def _entry(document: Any, table: str, place: Any) -> Any:
    entries = document.get(table, [])
    if isinstance(place, bool) or not isinstance(place, int) or not 0 <= place < len(entries):
        raise _fault(table, f"there is no entry {place!r}", "load the page again")
    return entries[place]


def _layer(document: Any, change: Change) -> Any:
    return _entry(document, "quilting", change.get("entry"))


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


def _stitch(document: Any, change: Change, _: str | None) -> None:
    """Stitches are told in mm everywhere; bounds give way where they must."""
    wanted = number(change.get("value"))
    section = document.setdefault("stitch", tomlkit.table())
    section["length"] = length(wanted, "mm")
    for bound, usual, gives in (("shortest", 3.0, min), ("longest", 3.5, max)):
        if bound not in section and gives(wanted, usual) != usual:
            section[bound] = length(wanted, "mm")


def _motif(document: Any, change: Change, units: str | None) -> None:
    """A motif moved: the point it lay at, or taken out of its block and laid at a point."""
    entry, place = _entry(document, "motif", change.get("entry")), change.get("place")
    point = pair(change.get("value"), units)
    points = _points(entry)
    if isinstance(place, str) and place in _blocks(entry):
        rest = [name for name in _blocks(entry) if name != place]
        if rest:
            entry["blocks"] = rest
        else:
            del entry["blocks"]
        points.append(point)
    elif isinstance(place, int) and not isinstance(place, bool) and 0 <= place < len(points):
        points[place] = point
    else:
        raise _fault("motif.at", f"there is no place {place!r}", "load the page again")
    entry["at"] = points[0] if len(points) == 1 else points


def _points(entry: Any) -> list[Any]:
    at = entry.get("at", [])
    plain = at.unwrap() if hasattr(at, "unwrap") else list(at)
    many = all(isinstance(point, list) for point in plain)
    return plain if many else [plain]


def _blocks(entry: Any) -> list[str]:
    blocks = entry.get("blocks")
    return [str(name) for name in blocks] if isinstance(blocks, list) else []


def _outline(document: Any, change: Change, units: str | None) -> None:
    """The finished edge as a list of corners; sizes that said it before go."""
    corners = change.get("value")
    if not isinstance(corners, list) or not 3 <= len(corners) <= MOST_POINTS:
        raise _fault("runner.outline", "is not an outline", f"draw 3 to {MOST_POINTS} corners")
    section = document["runner"]
    for name in (*SIZES, *MEASURES):
        section.pop(name, None)
    section["outline"] = _rows([pair(corner, units) for corner in corners])


def _printed(document: Any, change: Change, units: str | None) -> None:
    """Measured places of the printed lines instead of counts and sizes."""
    value = change.get("value")
    if not isinstance(value, Mapping):
        raise _fault("grid", "is no pair of lists", "send along and across")
    section = document.setdefault("grid", tomlkit.table())
    for name in COUNTED:
        section.pop(name, None)
    for axis in ("along", "across"):
        section[f"printed_{axis}"] = positions(value.get(axis), units)


def _rows(points: list[list[str]]) -> Any:
    """One corner a line, as a person would write a long list."""
    array = tomlkit.array()
    array.extend(points)
    return array.multiline(True)


Act = Callable[[Any, Change, "str | None"], None]

ACTS: dict[str, Act] = {
    "pattern": _pattern,
    "region": _region,
    "angle": _angle,
    "angles": _angles,
    "clearance": _clearance,
    "stitch.length": _stitch,
    "motif.at": _motif,
    "runner.outline": _outline,
    "grid.printed": _printed,
    **dict.fromkeys(AMOUNTS, _amount),
}
"""A row for each key that the page can change."""
