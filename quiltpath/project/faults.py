"""What a model refuses, said in one line: the key as it was written, the fault, the line as it
should be.

The sentences are ours: of the validating library only the kind of an error and its place are read.
"""

from __future__ import annotations

import difflib
import re
from collections.abc import Callable, Iterable, Mapping, Sequence
from typing import Any

from pydantic import ValidationError

from quiltpath.errors import InputError
from quiltpath.patterns.kinds import KINDS
from quiltpath.patterns.layer import Layer
from quiltpath.project.key_facts import Takes, as_written, section_at, values_of_key
from quiltpath.schema import Section
from quiltpath.units import likely_lengths

Place = Sequence[str | int]
Spelling = Callable[[Place], Place]
"""From a place in the tables as they were read to the place as it was written."""

_TOO = {
    "greater_than": "too small",
    "greater_than_equal": "too small",
    "less_than": "too large",
    "less_than_equal": "too large",
    "string_too_long": "too long",
    "string_too_short": "too short",
}
_LONGEST_SHOWN = 60


def as_it_is(place: Place) -> Place:
    """For files that are read as they were written."""
    return place


def refuse_unknown_keys(
    content: Mapping[str, Any], model: type[Section], where: str, written: Spelling = as_it_is
) -> None:
    """Raises :class:`InputError` for a key that no table has, before anything that it may cause."""
    for place, known in _unknown(content, model, ()):
        key = str(place[-1])
        right = _of_a_layer(key, known) if place[0] == "quilting" else _meant(key, known, model)
        raise InputError(where, key_of(written(place)), "there is no such key", right)


def _unknown(
    content: Mapping[str, Any], model: type[Section], place: tuple[str | int, ...]
) -> Iterable[tuple[tuple[str | int, ...], list[str]]]:
    for key, value in content.items():
        if key not in model.model_fields:
            yield (*place, key), list(model.model_fields)
            continue
        inner = section_at(model, key)
        if inner is None:
            continue
        if isinstance(value, Mapping):
            yield from _unknown(value, inner, (*place, key))
        for number, entry in enumerate(value if isinstance(value, list) else ()):
            own = _layer_model(entry) if issubclass(inner, Layer) else inner
            if own is not None and isinstance(entry, Mapping):
                yield from _unknown(entry, own, (*place, key, number))


def _layer_model(entry: Any) -> type[Section] | None:
    kind = entry.get("kind") if isinstance(entry, Mapping) else None
    return KINDS[kind].model if isinstance(kind, str) and kind in KINDS else None


def _of_a_layer(key: str, known: list[str]) -> str:
    """A layer's figures are apart by ``spacing`` or as large as ``size``, by its kind."""
    other = {"spacing": "size", "size": "spacing"}.get(key)
    if other in known:
        return f"for this kind write {other}"
    close = difflib.get_close_matches(key, known, n=1)
    return f"did you mean {close[0]!r}?" if close else f"use one of {', '.join(known)}"


def _meant(key: str, known: list[str], model: type[Section]) -> str:
    """What to do about a key that is not there: mend it, move it, or choose another."""
    close = difflib.get_close_matches(key, known, n=1, cutoff=0.75)
    moved = "" if close else _elsewhere(key, model)
    close = close or difflib.get_close_matches(key, known, n=1)
    if moved or not close:
        return moved or f"use one of {', '.join(known)}"
    return f"did you mean {close[0]!r}?"


def _elsewhere(key: str, model: type[Section]) -> str:
    """The one section that has such a key, where it is not the one it stands in."""
    homes = [
        name
        for name in model.model_fields
        if (inner := section_at(model, name)) and key in inner.model_fields
    ]
    return f"it belongs under [{homes[0]}]" if len(homes) == 1 else ""


def first_fault(
    error: ValidationError,
    content: Mapping[str, Any],
    model: type[Section],
    where: str,
    written: Spelling = as_it_is,
) -> InputError:
    """The first fault of a validation as one line: file, key, fault, remedy."""
    faults = error.errors(include_url=False)
    first = _first(faults)
    place = _place(first, content)
    same = [fault for fault in faults if _place(fault, content) == place]
    key = key_of(written(place))
    if place and first["type"] == "missing":
        return InputError(where, key, "is missing", _to_add(place, content, model))
    takes = _takes(place, content, model)
    if takes is None:
        ours = next((f["ctx"] for f in same if f["type"] == "quiltpath"), None)
        ours = ours or _too_many(same) or {"wrong": "does not fit", "right": "see 'quiltpath keys'"}
        return InputError(where, key, str(ours["wrong"]), str(ours["right"]))
    wrong, right = _about_a_key(place, same, takes, _at(content, place))
    return InputError(where, key, wrong, right)


def _first(faults: Sequence[Any]) -> Any:
    """A table that cannot be read comes before a size that would have followed from it."""
    table = [fault for fault in faults if fault["loc"][:1] == ("table",)]
    follows = faults[0]["loc"][:1] == ("runner",) and faults[0]["type"] in ("quiltpath", "missing")
    return table[0] if table and follows else faults[0]


def _place(fault: Any, content: Any) -> list[str | int]:
    """Where a fault lies in the file, without what the library calls the branches of a choice."""
    place: list[str | int] = []
    at = content
    for number, part in enumerate(fault["loc"], start=1):
        is_last = number == len(fault["loc"])
        if _holds(at, part):
            at = at[part]
        elif not (isinstance(at, Mapping) and is_last and fault["type"] == "missing"):
            continue
        place.append(part)
    return place


def _holds(container: Any, part: str | int) -> bool:
    if isinstance(part, int):
        return isinstance(container, list) and part < len(container)
    return isinstance(container, Mapping) and part in container


def _at(content: Any, place: Place) -> Any:
    for part in place:
        content = content[part]
    return content


def _takes(place: Place, content: Any, model: type[Section]) -> Takes | None:
    """What the key takes that a place lies in; None for a table or an entry of a list of them."""
    at: Any = content
    owner: type[Section] | None = model
    takes: Takes | None = None
    for part in place:
        at = at[part]
        if isinstance(part, int):
            if takes is not None and takes.many:
                is_layer = owner is not None and issubclass(owner, Layer)
                owner, takes = _layer_model(at) if is_layer else owner, None
            continue
        takes = values_of_key(owner, part) if owner is not None else takes
        owner = (takes and takes.section) or owner
    if takes is not None and takes.section is not None:
        is_well = isinstance(at, list if takes.many else Mapping)
        return None if is_well else takes
    return takes


def key_of(place: Place) -> str:
    """``("quilting", 0, "spacing")`` as ``quilting[1].spacing``."""
    key = ""
    for part in place:
        key += f"[{part + 1}]" if isinstance(part, int) else f".{part}" if key else part
    return key


def _to_add(place: Place, content: Any, model: type[Section]) -> str:
    """What to write for a key that is missing."""
    parent = {} if len(place) == 1 else _at(content, place[:-1])
    filled = _with(content, place[:-1], {**parent, place[-1]: None})
    takes = _takes(place, filled, model)
    if takes is None or takes.section is not None:
        return f"add a section [{place[-1]}]"
    return f"add it: {place[-1]} takes {takes.words}, such as {takes.example}"


def _with(content: Any, place: Place, value: Any) -> Any:
    if not place:
        return {**content, **value}
    part, rest = place[0], place[1:]
    if isinstance(content, list):
        return [_with(x, rest, value) if n == part else x for n, x in enumerate(content)]
    return {**content, part: _with(content[part], rest, value)}


def _about_a_key(place: Place, faults: Sequence[Any], takes: Takes, value: Any) -> tuple[str, str]:
    """What is wrong with the value of a key, and the line as it should be."""
    key = str(next(part for part in reversed(place) if isinstance(part, str)))
    is_entry = isinstance(place[-1], int)
    if takes.section is not None:
        return _about_a_table(key, takes, value)
    if isinstance(value, list) and not takes.is_list and value:
        return "a list stands where one value is expected", f"write {key} = {_shown(value[0])}"
    ours = next((fault["ctx"] for fault in faults if fault["type"] == "quiltpath"), None)
    if ours is not None and (len(faults) == 1 or ours["value"] or _begins_as_a_number(value)):
        return str(ours["wrong"]), _ours(key, ours, takes, is_entry)
    return _ill(key, faults, value, takes), _mend(key, value, takes, is_entry)


def _begins_as_a_number(value: Any) -> bool:
    return not isinstance(value, str) or bool(re.match(r"\s*[-+.]?\d", value))


def _ours(key: str, ours: Mapping[str, Any], takes: Takes, is_entry: bool) -> str:
    """The remedy of one of our own faults, as the line to write where there is one."""
    value = str(ours.get("value", ""))
    if not value:
        return str(ours["right"])
    if value.startswith("[") and (not takes.is_list or is_entry):
        first, second = value.strip("[]").split(", ")
        if key in ("length", "width") and not is_entry:
            return f"write length = {first} and width = {second}"
        value = first
    return f"write {value}" if is_entry else f"write {key} = {value}"


def _about_a_table(key: str, takes: Takes, value: Any) -> tuple[str, str]:
    if takes.many:
        return f"{_shown(value)} is not a list of tables", f"begin each with [[{key}]]"
    if isinstance(value, list):
        return "stands there as a list", f"begin it with [{key}], once"
    return f"{_shown(value)} is not a table", f"begin it with [{key}]"


def _ill(key: str, faults: Sequence[Any], value: Any, takes: Takes) -> str:
    if len(faults) == 1 and faults[0]["type"] in _TOO:
        return f"{_shown(value)} is {_TOO[faults[0]['type']]}"
    if takes.options and isinstance(value, str):
        return f"{_shown(value)} is no word for {key}"
    return f"{_shown(value)} is not what {key} takes"


def _mend(key: str, value: Any, takes: Takes, is_entry: bool) -> str:
    """The line as it should be, or what the key takes."""
    guess = _guess(value, takes)
    if guess and not is_entry:
        return f"write {key} = {guess}"
    such_as = "" if takes.options else f", such as {takes.example}"
    return f"{key} takes {takes.words}{such_as}"


def _guess(value: Any, takes: Takes) -> str:
    if takes.options and isinstance(value, str):
        close = difflib.get_close_matches(value.lower(), takes.options, n=1)
        return _in_a_list(f'"{close[0]}"', takes) if close else ""
    if takes.count:
        lengths = likely_lengths(value) if isinstance(value, str) else ()
        return _shown(lengths) if len(lengths) == takes.count else ""
    if takes.is_list and isinstance(value, str) and "texts" in takes.words:
        return _shown([part.strip() for part in value.split(",")])
    if takes.is_number and isinstance(value, str):
        figure = re.search(r"-?\d+(?:[.,]\d+)?", value)
        return figure[0].replace(",", ".") if figure else ""
    is_text = takes.words.startswith("text") and isinstance(value, int | float)
    return f'"{_shown(value)}"' if is_text else ""


def _in_a_list(word: str, takes: Takes) -> str:
    return f"[{word}]" if takes.is_list else word


def _shown(value: Any) -> str:
    """A value as a file writes it, cut where it is long."""
    text = "a table" if isinstance(value, Mapping) else as_written(value)
    return text if len(text) <= _LONGEST_SHOWN else f"{text[:_LONGEST_SHOWN]} ..."


def _too_many(faults: Sequence[Any]) -> dict[str, str] | None:
    """Entries beyond what one file may hold."""
    for fault in faults:
        if fault["type"] == "too_long":
            most, found = fault["ctx"]["max_length"], fault["ctx"]["actual_length"]
            wrong = f"has {found} entries" if found else "has more entries"
            return {"wrong": wrong, "right": f"{most} are the most that one file holds"}
    return None
