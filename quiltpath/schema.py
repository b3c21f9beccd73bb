"""What every file that a person writes is made of: TOML, tables, lengths with units.

The bytes of a file become tables (:func:`decode_text`, :func:`toml_content`), a table becomes a
:class:`Section`, and its keys are read by the field types: a length in any unit is a float in mm.
What is wrong is raised as a :func:`fault`, which says in one line what would be right.

A bare number takes the file's ``units``, which the loader hands to pydantic as validation context;
where the file names none it is a fault. Where there is no file and so no context, as in
``StitchSection(length=3.2)``, a number is in mm.

Modules of sections keep their annotations as objects (no ``from __future__ import annotations``):
pydantic would have to evaluate the text of each one, a fair part of what a small job takes.
"""

import re
import tomllib
from collections.abc import Callable, Collection
from dataclasses import dataclass
from typing import Annotated, Any, ClassVar, Self

from pydantic import BaseModel, BeforeValidator, ConfigDict, ValidationInfo, model_validator
from pydantic_core import PydanticCustomError

from quiltpath.errors import InputError
from quiltpath.units import likely_lengths, parse_length

_CONTROL = re.compile(r"[\x00-\x08\x0b\x0c\x0e-\x1f\x7f-\x9f\u202a-\u202e\u2066-\u2069]")
"""Control characters but tab and line ends, and those that turn the writing direction."""

_LONG_KEY = re.compile(
    r"(?<![\w-])(?:(?:[\w-]++|\"[^\"\n]{0,80}\"|'[^'\n]{0,80}')[ \t]*\.[ \t]*){30}"
)
"""A key of more than 30 parts: the parser's work grows with the square of them."""


def decode_text(raw: bytes, name: str) -> str:
    """The text of a file, whatever its line ends and with or without a byte order mark."""
    try:
        return raw.decode("utf-8-sig").replace("\r\n", "\n")
    except UnicodeDecodeError:
        raise InputError(name, "", "is not UTF-8 text", "save it as UTF-8") from None


def toml_content(text: str, name: str, lists: Collection[str] = ()) -> dict[str, Any]:
    """The tables of a TOML text; raises :class:`InputError` with the line as it should be.

    ``lists`` are the sections that may stand several times.
    """
    if _LONG_KEY.search(text):
        raise InputError(name, "", "is nested too deeply", "flatten its tables")
    try:
        content = tomllib.loads(text)
    except ValueError as error:
        # Beside what is no TOML: whole numbers of thousands of digits.
        raise _slip(text, error, name, lists) from None
    except RecursionError:
        raise InputError(name, "", "is nested too deeply", "flatten its tables") from None
    _check_text(content, name)
    return content


def _slip(text: str, error: ValueError, name: str, lists: Collection[str]) -> InputError:
    from quiltpath.toml_slips import slip_in

    number, wrong, right = slip_in(text, error, lists)
    return InputError(name, f"line {number}", wrong, right)


def _check_text(content: dict[str, Any], name: str) -> None:
    """Refuse control characters, which could steer the terminal or the page they are shown on."""
    waiting: list[tuple[str, Any]] = [("", content)]
    while waiting:
        key, value = waiting.pop()
        if isinstance(value, dict):
            waiting += [(f"{key}.{k}" if key else k, v) for k, v in value.items()]
            waiting += [(key, k) for k in value]
        elif isinstance(value, list):
            waiting += [(f"{key}[{i}]", v) for i, v in enumerate(value, start=1)]
        elif isinstance(value, str) and _CONTROL.search(value):
            raise InputError(name, key, "holds a control character", "type it again")


def fault(wrong: str, right: str, value: str = "") -> PydanticCustomError:
    """A validation error that says what is wrong and what would be right.

    ``value`` is what could stand there, as a file writes it: the loader, which knows the key, makes
    the line of it. ``right`` is for who has no key.
    """
    told = {"wrong": wrong, "right": right, "value": value}
    return PydanticCustomError("quiltpath", "{wrong}; {right}", told)


@dataclass(frozen=True)
class FileForm:
    """How a person writes a kind of value: mark of a field type, beside what reads it.

    ``words``    what it is, to follow "write" or "takes", such as "a length above 0"
    ``plural``   the same for several
    ``example``  as a file writes it
    ``options``  words to choose from, where it is a word
    ``types``    what it may be in JSON Schema's words
    """

    words: str
    plural: str
    example: str
    options: tuple[str, ...] = ()
    types: tuple[str, ...] = ("string", "number")

    def __get_pydantic_json_schema__(self, core_schema: Any, handler: Any) -> dict[str, Any]:
        """For editors (JSON Schema, draft 2020-12)."""
        return {"enum": list(self.options)} if self.options else {"type": list(self.types)}


class Section(BaseModel):
    """Base of every table in the project file: unknown keys are errors, values are frozen."""

    # A validator is built when its table is first met: most files have few of all kinds there are.
    model_config = ConfigDict(
        extra="forbid", frozen=True, arbitrary_types_allowed=True, defer_build=True
    )

    @classmethod
    def left_out(cls) -> Self:
        """The section where the file has none: all defaults, for which no validator is built."""
        return cls.model_construct()

    def replaced(self, **values: Any) -> Self:
        """The same section with other values for some of its keys, lengths in mm, unchecked.

        Raises ``TypeError`` for a key that the section does not have.
        """
        if unknown := values.keys() - type(self).model_fields.keys():
            raise TypeError(f"{type(self).__name__} has no {', '.join(sorted(unknown))}")
        return self.model_copy(update=values)


def bare_unit(info: ValidationInfo) -> str | None:
    """The unit of bare numbers: the file's, None where it names none, mm where there is no file."""
    return "mm" if info.context is None else info.context.get("units")


def _length(value: Any, info: ValidationInfo, before: str = "") -> float:
    if not isinstance(value, str | int | float):
        raise fault("a length is expected", 'write it as "1 1/4 in" or "32 mm"')
    try:
        return parse_length(value, bare_unit(info))
    except (ValueError, OverflowError) as error:
        usual = 'write it as "1 1/4 in" or "32 mm", or set units = "in" for bare numbers'
        raise fault(str(error), usual, _likely(value, before)) from None


def _likely(value: str | float, before: str) -> str:
    """The length or lengths that were probably meant, as a file writes them; empty for a guess."""
    lengths = likely_lengths(value) if isinstance(value, str) else ()
    quoted = [f'"{before}{length}"' for length in lengths]
    return quoted[0] if len(quoted) == 1 else f"[{', '.join(quoted)}]" if quoted else ""


MAX_LENGTH_MM = 100_000.0
"""100 m: no runner is longer, and a slip of the unit should not fill the memory."""


def _bounded(low: float, low_open: bool) -> Callable[[Any, ValidationInfo], float]:
    def check(value: Any, info: ValidationInfo) -> float:
        mm = _length(value, info)
        if mm < low or (low_open and mm <= low):
            written = f"{value}"
            if low_open:
                raise fault(f"{written} is not a size", "give a length above 0")
            raise fault(f"{written} is below 0", "give 0 or a length above it")
        if mm > MAX_LENGTH_MM:
            raise fault(f"{value} is more than 100 m", "check the number and its unit")
        return mm

    return check


def _signed(value: Any, info: ValidationInfo) -> float:
    mm = _length(value, info)
    if abs(mm) > MAX_LENGTH_MM:
        raise fault(f"{value} is more than 100 m", "check the number and its unit")
    return mm


Length = Annotated[
    float,
    BeforeValidator(_bounded(0.0, True)),
    FileForm("a length above 0", "lengths", '"1 1/4 in"'),
]
"""A length above 0, in mm."""

LengthOrZero = Annotated[
    float,
    BeforeValidator(_bounded(0.0, False)),
    FileForm("a length, or 0", "lengths", '"1 1/4 in"'),
]
"""A length of 0 or more, in mm."""

_BY = re.compile(r"\s*(?:x|×|\bby\b)\s*", re.IGNORECASE)
_UNIT = re.compile(r"[^\d\s./½⅓⅔¼¾⅕⅛⅜⅝⅞-]+$")


def two_lengths(value: Any) -> Any:
    """``"44 x 11 in"`` as its two lengths; a unit after both stands for both. Others stay."""
    parts = _BY.split(value.strip()) if isinstance(value, str) else []
    if len(parts) != 2:
        return value
    unit = _UNIT.search(parts[1])
    first = parts[0] if unit is None or _UNIT.search(parts[0]) else f"{parts[0]} {unit[0]}"
    return first, parts[1]


Position = Annotated[
    float,
    BeforeValidator(_signed),
    FileForm("a length, or one below 0 the other way", "lengths", '"10 in"'),
]
"""A signed length, in mm."""

TwoLengths = Annotated[
    tuple[Length, Length],
    BeforeValidator(two_lengths),
    FileForm("two lengths", "sizes", '["44 in", "11 in"]', types=("array", "string")),
]
"""Along and across, as ``["44 in", "11 in"]`` or ``"44 x 11 in"``."""


class Spacing(BaseModel):
    """Distance between neighbouring lines; ``about`` lets it change so that it divides evenly.

    In the file: ``"1 in"`` is exact; ``"about 1 in"`` is the nearest that divides the region.
    """

    model_config = ConfigDict(frozen=True)
    written: ClassVar[FileForm] = FileForm(
        'a length above 0, or "about" and a length', "spacings", '"about 1 1/2 in"'
    )

    mm: float
    about: bool = False

    @model_validator(mode="before")
    @classmethod
    def _from_file(cls, value: Any, info: ValidationInfo) -> Any:
        if isinstance(value, dict):
            return value
        text = value.strip() if isinstance(value, str) else value
        about = isinstance(text, str) and text.lower().startswith("about ")
        if about:
            text = text[len("about ") :]
        mm = _length(text, info, "about " if about else "")
        if mm <= 0:
            raise fault(f"a spacing of {value} draws no lines", 'give one above 0, such as "1 in"')
        if mm < 0.5:
            raise fault(f"a spacing of {value} is closer than stitches can be", "give 0.5 mm up")
        if mm > MAX_LENGTH_MM:
            raise fault(f"a spacing of {value} is more than 100 m", "check the number and its unit")
        return {"mm": mm, "about": about}

    @classmethod
    def __get_pydantic_json_schema__(cls, core_schema: Any, handler: Any) -> dict[str, Any]:
        return cls.written.__get_pydantic_json_schema__(core_schema, handler)
