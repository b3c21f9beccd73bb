"""What each key of a file takes, read off the models: for errors, the list of keys and editors.

A kind of value carries its words with it (``schema.FileForm``); everything else follows from the
annotation: limits, choices, lists. Nothing here is written a second time.
"""

from __future__ import annotations

import types
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from enum import Enum
from functools import cache
from typing import Annotated, Any, Literal, Union, get_args, get_origin

from pydantic import BaseModel
from pydantic.fields import FieldInfo

from quiltpath.schema import FileForm, Section
from quiltpath.units import MM_PER_INCH, inch_fraction


@dataclass(frozen=True)
class Takes:
    """What a key takes: in words, for one and for several, and an example as a file writes it.

    ``options`` are the words to choose from; ``section`` the model of a table, ``many`` of several;
    ``count`` how many a list must have, 0 for any number.
    """

    words: str
    plural: str
    example: str
    options: tuple[str, ...] = ()
    section: type[Section] | None = None
    many: bool = False
    is_list: bool = False
    count: int = 0
    is_number: bool = False


@cache
def values_of_key(model: type[Section], key: str) -> Takes | None:
    """What a key of a section takes; None where it has no such key."""
    field = model.model_fields.get(key)
    return _taken(field.annotation, tuple(field.metadata)) if field else None


def default_of(field: FieldInfo) -> str:
    """The default as a file would write it; empty where there is none or it is left out."""
    value = field.get_default(call_default_factory=True)
    if field.is_required() or value is None or isinstance(value, BaseModel):
        return _spacing(value) if hasattr(value, "about") else ""
    return as_written(value, is_length=_has_length(field.annotation, tuple(field.metadata)))


def as_written(value: Any, is_length: bool = False) -> str:
    """A value as a file writes it: text in quotation marks, a length with its unit."""
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, int | float):
        return f'"{_length(value)}"' if is_length else f"{value:g}"
    if isinstance(value, list | tuple):
        return f"[{', '.join(as_written(each, is_length) for each in value)}]"
    if isinstance(value, Mapping):
        return "{}"
    return f'"{value}"'


def _spacing(value: Any) -> str:
    return f'"{"about " if value.about else ""}{_length(value.mm)}"'


def _length(mm: float) -> str:
    """In inches where it is a mark of their ruler, else in mm."""
    sixteenths = mm / MM_PER_INCH * 16
    is_mark = mm != 0 and abs(sixteenths - round(sixteenths)) < 1e-9
    return inch_fraction(mm, 16) if is_mark else f"{mm:g} mm"


def _has_length(annotation: Any, metadata: tuple[Any, ...]) -> bool:
    if any(isinstance(mark, FileForm) for mark in metadata):
        return True
    return any(_has_length(part, part_marks) for part, part_marks in _parts(annotation))


def _parts(annotation: Any) -> Iterator[tuple[Any, tuple[Any, ...]]]:
    """The annotations inside one, each with its own marks."""
    if get_origin(annotation) is Annotated:
        inner, *marks = get_args(annotation)
        yield inner, tuple(marks)
    elif get_origin(annotation) in (Union, types.UnionType, tuple):
        for part in get_args(annotation):
            if part not in (type(None), Ellipsis):
                yield from _parts(part) if get_origin(part) is Annotated else ((part, ()),)


def _taken(annotation: Any, marks: tuple[Any, ...]) -> Takes:
    written = next((mark for mark in reversed(marks) if isinstance(mark, FileForm)), None)
    written = written or getattr(annotation, "written", None)
    if written is not None:
        is_list = "array" in written.types
        words = (written.words, written.plural, written.example, written.options)
        return Takes(*words, is_list=is_list)
    origin = get_origin(annotation)
    if origin is Annotated:
        inner, *own = get_args(annotation)
        return _taken(inner, (*own, *marks))
    if origin is Literal:
        return _choice(tuple(str(word) for word in get_args(annotation)))
    if origin in (Union, types.UnionType):
        return _either([_taken(part, (*own, *marks)) for part, own in _parts(annotation)])
    if origin is tuple:
        return _several(annotation, marks)
    return _plain(annotation, marks)


def _plain(annotation: Any, marks: tuple[Any, ...]) -> Takes:
    if isinstance(annotation, type):
        if issubclass(annotation, Section):
            return Takes("a table", "tables", "", section=annotation)
        if issubclass(annotation, Enum):
            return _choice(tuple(str(member.value) for member in annotation))
        if issubclass(annotation, bool):
            return Takes("true or false", "true or false", "true")
        if issubclass(annotation, int | float):
            return _number(annotation, marks)
    if get_origin(annotation) is dict:
        return Takes("a table of keys and values", "tables", "{}")
    return _text(marks)


def limits_of(marks: tuple[Any, ...]) -> dict[str, Any]:
    """The limits among the marks of a field: ge, gt, le, lt, min_length, max_length, pattern."""
    found: dict[str, Any] = {}
    for mark in marks:
        inner = mark.metadata if isinstance(mark, FieldInfo) else (mark,)
        for limit in inner:
            for name in ("ge", "gt", "le", "lt", "min_length", "max_length", "pattern"):
                if (value := getattr(limit, name, None)) is not None:
                    found[name] = value
    return found


def _number(kind: type, marks: tuple[Any, ...]) -> Takes:
    limits = limits_of(marks)
    low, high = limits.get("ge", limits.get("gt")), limits.get("le", limits.get("lt"))
    below, above = "below " if "lt" in limits else "", "above " if "gt" in limits else ""
    noun = "whole number" if kind is int else "number"
    span = f" from {above}{low:,g} to {below}{high:,g}" if low is not None and high else ""
    if not span and low is not None:
        span = f" above {low:g}" if above else f" of {low:g} or more"
    middle = (low or 0) + (1 if high is None else min(1, (high - (low or 0)) / 2))
    return Takes(f"a {noun}{span}", f"{noun}s{span}", f"{middle:g}", is_number=True)


def _text(marks: tuple[Any, ...]) -> Takes:
    most = limits_of(marks).get("max_length")
    up_to = f" of up to {most} letters" if most else ""
    return Takes(f"text{up_to} between quotation marks", "texts", '"..."')


def _choice(words: tuple[str, ...]) -> Takes:
    quoted = [f'"{word}"' for word in words]
    listed = ", ".join(quoted)
    one = quoted[0] if len(quoted) == 1 else f"one of {listed}"
    return Takes(one, f"words out of {listed}", quoted[0], options=words)


def _either(parts: list[Takes]) -> Takes:
    words = " or ".join(dict.fromkeys(part.words for part in parts))
    options = tuple(word for part in parts for word in part.options)
    best = next((part for part in parts if part.options), parts[0])
    return Takes(
        words,
        " or ".join(dict.fromkeys(part.plural for part in parts)),
        best.example,
        options,
        next((part.section for part in parts if part.section), None),
        any(part.many for part in parts),
        any(part.is_list for part in parts),
    )


def _several(annotation: Any, marks: tuple[Any, ...]) -> Takes:
    parts = [_taken(part, own) for part, own in _parts(annotation)]
    open_ended = Ellipsis in get_args(annotation)
    if parts[0].section is not None:
        return Takes("tables", "tables", "", section=parts[0].section, many=True)
    number = "" if open_ended else f"{_COUNTS.get(len(parts), len(parts))} "
    most = limits_of(marks).get("max_length")
    up_to = f"up to {most} " if most else ""
    words = f"a list of {up_to}{number}{parts[0].plural}"
    example = f"[{', '.join(part.example for part in parts)}]"
    many = f"lists of {number}{parts[0].plural}"
    count = 0 if open_ended else len(parts)
    return Takes(words, many, example, parts[0].options, is_list=True, count=count)


_COUNTS = {2: "two", 3: "three"}


def section_at(model: type[Section], key: str) -> type[Section] | None:
    """The model of the table under a key; None where there is no table."""
    takes = values_of_key(model, key)
    return takes.section if takes else None
