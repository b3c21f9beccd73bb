"""Motifs moved and added in the text of a project file."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import tomlkit
from tomlkit.items import Array

from quiltpath.live.entries import MOST_POINTS, Change, entry_of, fault, rows
from quiltpath.live.lengths import fine_pair, number, pair

MOST_BLOCKS = 2000
LONGEST_NAME = 60


def moved(document: Any, change: Change, units: str | None) -> None:
    """One motif moved: the point it lay at, or taken out of its block and laid at a point."""
    entry, place = entry_of(document, "motif", change.get("entry")), change.get("place")
    point = pair(change.get("value"), units)
    points = _points(entry)
    if isinstance(place, str):
        _taken_out(entry, place, change.get("others"))
        points.append(point)
    elif isinstance(place, int) and not isinstance(place, bool) and 0 <= place < len(points):
        points[place] = point
    else:
        raise fault("motif.at", f"there is no place {place!r}", "load the page again")
    entry["at"] = points[0] if len(points) == 1 else points


def _taken_out(entry: Any, place: str, others: Any) -> None:
    """The blocks without one; ``others`` are the rest where the file says ``"all"``."""
    written = entry.get("blocks")
    blocks = [str(name) for name in written] if isinstance(written, list) else None
    if written == "all":
        blocks = [place, *_names(others)]
    if blocks is None or place not in blocks:
        raise fault("motif.at", f"there is no place {place!r}", "load the page again")
    rest = [name for name in blocks if name != place]
    if rest:
        entry["blocks"] = rest
    else:
        del entry["blocks"]
        entry.pop("offset", None)


def _names(others: Any) -> list[str]:
    are_names = isinstance(others, list) and all(isinstance(name, str) for name in others)
    if not are_names or len(others) > MOST_BLOCKS:
        raise fault("motif.at", "the other blocks are not named", "load the page again")
    return list(others)


def _points(entry: Any) -> list[Any]:
    at = entry.get("at", [])
    plain = at.unwrap() if hasattr(at, "unwrap") else list(at)
    many = all(isinstance(point, list) for point in plain)
    return plain if many else [plain]


def moved_in_all_blocks(document: Any, change: Change, units: str | None) -> None:
    """How far a motif lies from the middle of each of its blocks."""
    entry = entry_of(document, "motif", change.get("entry"))
    aside = pair(change.get("value"), units)
    is_middle = [part.split()[0] for part in aside] == ["0", "0"]
    if is_middle:
        entry.pop("offset", None)
    else:
        entry["offset"] = aside


def traced(document: Any, change: Change, units: str | None) -> None:
    """A motif whose outline was traced on the cloth, in mm from its lower left corner."""
    value = change.get("value")
    value = value if isinstance(value, Mapping) else {}
    name, corners = value.get("name"), value.get("outline")
    if not isinstance(name, str) or not 0 < len(name.strip()) <= LONGEST_NAME:
        raise fault("motif.name", "is no name", f"give one of up to {LONGEST_NAME} letters")
    if not isinstance(corners, list) or not 3 <= len(corners) <= MOST_POINTS:
        raise fault("motif.outline", "is not an outline", f"draw 3 to {MOST_POINTS} corners")
    low, high = _box(corners)
    outline = rows([fine_pair([x - low[0], y - low[1]], units) for x, y in corners])
    middle = fine_pair([(low[0] + high[0]) / 2, (low[1] + high[1]) / 2], units)
    _add(document, {"name": name.strip(), "outline": outline, "at": middle})


def _box(corners: list[Any]) -> tuple[list[float], list[float]]:
    """Lower left and upper right of the corners; raises for what is no corner."""
    if not all(isinstance(corner, list) and len(corner) == 2 for corner in corners):
        raise fault("motif.outline", "has corners that are no points", "draw it again")
    columns = [[number(corner[axis]) for corner in corners] for axis in (0, 1)]
    return [min(column) for column in columns], [max(column) for column in columns]


def _add(document: Any, content: Mapping[str, Any]) -> None:
    """A new table at the end of the motifs, in the way in which the file writes them."""
    motifs = document.get("motif")
    if motifs is None:
        document.add(tomlkit.nl())
        motifs = document["motif"] = tomlkit.aot()
    inline = isinstance(motifs, Array)
    table = tomlkit.inline_table() if inline else tomlkit.table()
    table.update(content)
    if not inline:
        table.add(tomlkit.nl())
    motifs.append(table)
