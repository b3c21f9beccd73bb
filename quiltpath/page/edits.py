"""Changes from the page laid into the text of a project file, comments and order kept.

``make_changes`` makes all changes in the text, each by the row of ``ACTS`` for its key.
``write_whole`` puts the text in the place of the file, whole and in the file's own way of writing.
"""

from __future__ import annotations

import codecs
import pickle
from collections.abc import Callable, Mapping
from functools import cached_property
from pathlib import Path
from typing import Any

import tomlkit
from tomlkit.exceptions import TOMLKitError
from tomlkit.items import Array

from quiltpath.errors import InputError
from quiltpath.files import put_whole
from quiltpath.geometry.named_outlines import OUTLINES
from quiltpath.page.sent_values import (
    about_or_exact,
    length,
    number,
    numbers,
    pair,
    plain,
    written_mm,
)
from quiltpath.page.settings import (
    LAYER,
    LONGEST_VALUE,
    as_typed,
    is_further,
    is_many,
    section_model,
)
from quiltpath.patterns.kinds import KINDS
from quiltpath.project.key_facts import Takes, values_of_key
from quiltpath.project.sewing_sections import StitchSection
from quiltpath.schema import toml_content

MOST_CHANGES = 1000

AMOUNTS = frozenset(kind.model.amount_key for kind in KINDS.values())
"""Keys that say how close the lines of a layer lie."""

KEPT_WITH_A_PATTERN = frozenset({"region", "clearance", "overrun", "role", "name"})
"""What a layer keeps when it is given another pattern."""

SIZES = ("length", "width", "shape", "outline", "outline_svg")
MEASURES = tuple(measure for outline in OUTLINES.values() for measure in outline.measures)

Change = Mapping[str, Any]
"""``{"key": "spacing", "entry": 0, "value": ...}``: a key, the entry it belongs to, a value.
Lengths come in mm."""

Act = Callable[[Any, Change, "str | None"], None]

MOST_POINTS = 400

MOST_BLOCKS = 2000


class EditableText:
    """A file's text, parsed once for all changes that are ever made to it.

    Each answer begins with a fresh copy of what was parsed: pickled, as that is copied in a seventh
    of the time that parsing takes.
    """

    def __init__(self, text: str) -> None:
        self.text = text

    @cached_property
    def _parsed(self) -> bytes:
        try:
            return pickle.dumps(tomlkit.parse(self.text))
        except (TOMLKitError, RecursionError):
            toml_content(self.text, "page")  # says which line, and how it should be
            raise fault("", "the file cannot be changed here", "change it by hand") from None

    def changed(self, changes: list[Change], units: str | None) -> str:
        """The text with all changes made; raises :class:`InputError` for one that cannot be."""
        if not isinstance(changes, list) or len(changes) > MOST_CHANGES:
            raise fault("changes", "is not a list of changes", f"send up to {MOST_CHANGES}")
        document = pickle.loads(self._parsed)
        for change in changes:
            if not isinstance(change, Mapping):
                raise fault("changes", "a change is a table", "send key and value")
            _make(document, change, units)
        return tomlkit.dumps(document)


def make_changes(text: str, changes: list[Change], units: str | None) -> str:
    """``text`` with all changes made; raises :class:`InputError` for one that cannot be."""
    return EditableText(text).changed(changes, units)


def _make(document: Any, change: Change, units: str | None) -> None:
    key = change.get("key")
    act = ACTS.get(key) if isinstance(key, str) else None
    if act is None:
        raise fault(str(key), "cannot be changed here", "change it in the file")
    act(document, change, units)


def _layer(document: Any, change: Change) -> Any:
    return entry_of(document, "quilting", change.get("entry"))


def _pattern(document: Any, change: Change, units: str | None) -> None:
    """``keep`` may name a spacing and an angle that the new pattern takes over."""
    entry = _layer(document, change)
    for other in [name for name in entry if name not in KEPT_WITH_A_PATTERN | {"pattern"}]:
        del entry[other]
    entry["pattern"] = str(change.get("value"))
    keep = change.get("keep", {})
    if not isinstance(keep, Mapping):
        raise fault("keep", "is no table", "send a spacing or an angle")
    if "spacing" in keep:
        entry["spacing"] = about_or_exact(keep["spacing"], units)
    if "angle" in keep:
        entry["angle"] = number(keep["angle"])


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


def move_motif(document: Any, change: Change, units: str | None) -> None:
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


def move_in_all_blocks(document: Any, change: Change, units: str | None) -> None:
    """How far a motif lies from the middle of each of its blocks."""
    entry = entry_of(document, "motif", change.get("entry"))
    offset = pair(change.get("value"), units)
    is_middle = [part.split()[0] for part in offset] == ["0", "0"]
    if is_middle:
        entry.pop("offset", None)
    else:
        entry["offset"] = offset


def _add_layer(document: Any, change: Change, _: str | None) -> None:
    """Further quilting after all that is there, by the name of a pattern."""
    _add(document, "quilting", {"pattern": str(change.get("value"))})


def _remove_layer(document: Any, change: Change, _: str | None) -> None:
    _layer(document, change)  # raises where there is none
    del document["quilting"][change["entry"]]


def _sew_earlier(document: Any, change: Change, _: str | None) -> None:
    """A layer in the place of the one before it."""
    layer, entries, at = _layer(document, change), document["quilting"], change["entry"]
    if at == 0:
        raise fault("quilting", "is the first already", "load the page again")
    del entries[at]
    entries.insert(at - 1, layer)


def _setting(document: Any, change: Change, _: str | None) -> None:
    """Any key of any table, as it is typed; with nothing typed the file no longer says it."""
    section, name = str(change.get("section", "")), str(change.get("name", ""))
    typed, takes = _typed(change, section, name, change.get("value"))
    if section == LAYER or is_many(section):
        table = entry_of(document, section, change.get("entry"))
    else:
        table = document
        for part in section.split(".") if section else ():
            table = table.setdefault(part, tomlkit.table())
            if not isinstance(table, Mapping):
                raise fault(section, "is no table in the file", f"write it as [{section}] there")
    if typed:
        table[name] = as_typed(typed, takes)
    elif name in table:
        del table[name]


def _typed(change: Change, section: str, name: str, text: object) -> tuple[str, Takes]:
    """What was typed for a key, and what the key takes."""
    model = section_model(section, str(change.get("kind", "")))
    takes = values_of_key(model, name) if model is not None else None
    if takes is None or takes.section is not None:
        raise fault(f"{section}.{name}".strip("."), "is no setting", "load the page again")
    if not isinstance(text, str) or len(text) > LONGEST_VALUE:
        raise fault(name, "is too long", f"give up to {LONGEST_VALUE} letters")
    return text.strip(), takes


def _add_entry(document: Any, change: Change, _: str | None) -> None:
    """A further panel, motif or the like, with what was typed for its keys."""
    section, values = str(change.get("section", "")), change.get("value")
    if not is_further(section) or not isinstance(values, Mapping):
        raise fault(section, "is nothing that there are several of", "load the page again")
    said = {name: _typed(change, section, name, text) for name, text in values.items()}
    _add(document, section, {name: as_typed(*typed) for name, typed in said.items() if typed[0]})


def _remove_entry(document: Any, change: Change, _: str | None) -> None:
    section = str(change.get("section", ""))
    if not is_further(section):
        raise fault(section, "is nothing that there are several of", "load the page again")
    entry_of(document, section, change.get("entry"))  # raises where there is none
    del document[section][change["entry"]]
    if not document[section]:
        del document[section]


def _wadding(document: Any, change: Change, _: str | None) -> None:
    """Another kind; the figure of another packet no longer holds."""
    section = document.setdefault("wadding", tomlkit.table())
    section.pop("limit", None)
    section["kind"] = str(change.get("value"))


def _paper(document: Any, change: Change, _: str | None) -> None:
    document.setdefault("paper", tomlkit.table())["size"] = str(change.get("value"))


ACTS: dict[str, Act] = {
    "layer.add": _add_layer,
    "layer.remove": _remove_layer,
    "layer.earlier": _sew_earlier,
    "wadding.kind": _wadding,
    "paper.size": _paper,
    "pattern": _pattern,
    "region": _region,
    "angle": _angle,
    "angles": _angles,
    "clearance": _clearance,
    "stitch.length": _stitch,
    "motif.at": move_motif,
    "motif.offset": move_in_all_blocks,
    "runner.outline": _outline,
    "setting": _setting,
    "entry.add": _add_entry,
    "entry.remove": _remove_entry,
    **dict.fromkeys(AMOUNTS, _amount),
}
"""A row for each key that the page can change."""


def as_in_the_file(changes: list[Change], shift_mm: tuple[float, float]) -> list[Change]:
    """Changes with places on the flat top, which is shown, as places on the wished runner."""
    if shift_mm == (0.0, 0.0):
        return changes
    if not isinstance(changes, list):
        return changes  # refused where the changes are made
    return [_placed(change, shift_mm) for change in changes]


def _placed(change: Change, shift_mm: tuple[float, float]) -> Change:
    key = change.get("key") if isinstance(change, Mapping) else None
    return (
        {**change, "value": _back(change.get("value"), shift_mm)} if key == "motif.at" else change
    )


def _back(point: Any, shift_mm: tuple[float, float]) -> Any:
    """What is no point stays as it is, to be refused by who reads it; what would lie outside the
    wished runner comes to its edge, to be refused as reaching past it."""
    if not isinstance(point, list) or len(point) != 2:
        return point
    return [max(0.0, number(x) - by) for x, by in zip(point, shift_mm, strict=True)]


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
    at = plain(entry.get("at", []))
    many = all(isinstance(point, list) for point in at)
    return at if many else [at]


def _add(document: Any, name: str, content: Mapping[str, Any]) -> None:
    """A new table at the end of the list of that name, in the way in which the file writes it."""
    entries = document.get(name)
    if entries is None:
        document.add(tomlkit.nl())
        entries = document[name] = tomlkit.aot()
    inline = isinstance(entries, Array)
    table = tomlkit.inline_table() if inline else tomlkit.table()
    table.update(content)
    if not inline:
        table.add(tomlkit.nl())
    entries.append(table)


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


def write_whole(path: Path, text: str, check: Callable[[], None]) -> None:
    """The file with ``text`` in it; line ends, byte order mark and permissions stay as they were.

    ``check`` is called last before the exchange and raises where it must not be.
    """
    try:
        old = path.read_bytes()
    except OSError as error:
        reason = (error.strerror or "cannot be read").lower()
        raise InputError(path.name, "", reason, "check the folder") from None
    put_whole(path, _as_before(old, text), check)


def _as_before(old: bytes, text: str) -> bytes:
    """``text`` with the line ends and the byte order mark of ``old``."""
    lines = text.replace("\n", "\r\n") if b"\r\n" in old else text
    mark = codecs.BOM_UTF8 if old.startswith(codecs.BOM_UTF8) else b""
    return mark + lines.encode("utf-8")
