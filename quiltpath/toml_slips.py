"""What is wrong with a line that is no TOML, and the line as it should be.

People leave out quotation marks, let a word processor curl them, write 2'' for two inches or a
comma for the decimal point. Each slip has a row in ``_SLIPS``: a mended value is offered only where
TOML takes the line with it, so that what is told can be written as it stands.
"""

from __future__ import annotations

import re
import tomllib
from collections.abc import Callable, Collection

Slip = tuple[str, str]
"""What is wrong, and what would be right."""

_CURLED = str.maketrans(
    {**dict.fromkeys("\u201c\u201d\u201e\u201f\u00ab\u00bb", '"'),
     **dict.fromkeys("\u2018\u2019\u201a\u201b", "'")}
)  # fmt: skip
_HEADER = re.compile(r"^\s*(\[{1,2})\s*([\w .-]+?)\s*\]{0,2}\s*(?:#.*)?$")
_PAIR = re.compile(r"^\s*(?P<key>[^=:\"'\[\]#]+?)\s*[=:]\s*(?P<value>.*?)\s*$")
_NO_SIGN = re.compile(r"^\s*(?P<key>[A-Za-z_]+)\s+(?P<value>[\"'\[\d].*?)\s*$")
_COMMA = re.compile(r"(?<=\d),(?=\d)")
_SWITCH = {"yes": "true", "on": "true", "true": "true", "no": "false", "off": "false",
           "false": "false"}  # fmt: skip
_QUOTES = "text and lengths stand between quotation marks"
_LONGEST_LINE = 300


def slip_in(text: str, error: ValueError, lists: Collection[str]) -> tuple[int, str, str]:
    """The line of ``text`` at fault, counted from 1, what is wrong with it and what would be right.

    ``error`` is what ``tomllib`` raised; ``lists`` are the sections that may stand several times,
    each time as ``[[name]]``.
    """
    lines = text.splitlines() or [""]
    number = _line_of(error, lines)
    line = lines[number - 1]
    if twice := _twice(lines, number, lists):
        return number, *twice
    if _reads(line):
        number = next((n for n in range(number - 1, 0, -1) if not _reads(lines[n - 1])), number)
        line = lines[number - 1]
    return number, *_slip(line[:_LONGEST_LINE])


def _line_of(error: ValueError, lines: list[str]) -> int:
    """The line that the parser stopped at; the last one with something on it at the end."""
    found = re.search(r"at line (\d+)", str(error))
    last = max((n for n, line in enumerate(lines, start=1) if line.strip()), default=1)
    return min(int(found[1]), len(lines)) if found else last


def _reads(line: str) -> bool:
    try:
        tomllib.loads(line)
    except ValueError:
        return False
    return True


def _twice(lines: list[str], number: int, lists: Collection[str]) -> Slip | None:
    """A section or a key that stands there a second time."""
    header = _HEADER.match(lines[number - 1])
    if header and _reads(lines[number - 1]):
        before = [n for n, name in _headers(lines[: number - 1]) if name == header[2]]
        if not before:
            return None
        wrong = f"the section {header[2]} stands twice, on lines {before[0]} and {number}"
        if header[2] in lists:
            return wrong, f"write [[{header[2]}]] each time where there are several"
        return wrong, f"put the keys of both under one [{header[2]}]"
    return _key_twice(lines, number)


def _headers(lines: list[str]) -> list[tuple[int, str]]:
    found = ((n, _HEADER.match(line)) for n, line in enumerate(lines, start=1))
    return [(n, match[2]) for n, match in found if match]


def _key_twice(lines: list[str], number: int) -> Slip | None:
    own = _PAIR.match(lines[number - 1])
    if own is None or not _reads(lines[number - 1]):
        return None
    begin = max((n for n, _ in _headers(lines[: number - 1])), default=0)
    for earlier in range(begin, number - 1):
        other = _PAIR.match(lines[earlier])
        if other and other["key"] == own["key"]:
            both = f"lines {earlier + 1} and {number}"
            return f"{own['key']} stands twice, on {both}", "keep one of them"
    return None


def _slip(line: str) -> Slip:
    """What is wrong with one line, and the line as it should be."""
    straight = line.translate(_CURLED)
    if straight != line and _reads(straight):
        return "quotation marks are curly", f"write {straight.strip()}"
    if header := _HEADER.match(line):
        name, many = header[2].strip(), header[1] == "[["
        mended = f"[[{name}]]" if many else f"[{name}]"
        if _reads(mended):
            return "a section stands between square brackets", f"write {mended}"
    pair = _PAIR.match(straight) or _NO_SIGN.match(straight)
    return _slip_of_pair(line, pair["key"], pair["value"]) if pair else _stray(line)


def _stray(line: str) -> Slip:
    shown = line.strip()[:60]
    return (
        f"{shown} is neither a key with its value nor a section",
        'write it as key = "value", or put # in front of it if it is a note',
    )


def _slip_of_pair(line: str, key: str, value: str) -> Slip:
    name = re.sub(r"\s+", "_", key.strip())
    if not value or value.startswith("#"):
        return f"{name} has no value", f"write one behind {name} =, or take the line out"
    for wrong, mend in _SLIPS:
        mended = mend(value)
        if mended is not None and _reads(f"{name} = {mended}"):
            return wrong, f"write {name} = {mended}"
    return _stray(line)


def _as_it_is(value: str) -> str | None:
    """The value is well: the key or the sign beside it is not."""
    return value


def _without_ending(value: str) -> str | None:
    """Without a comma, a semicolon or a word that follows it."""
    if quoted := re.match(r"^(\"[^\"']*\"|'[^\"']*')\s+[^\"'\s][^\"']*$", value):
        return quoted[1]
    shorter = value.rstrip(",;. ")
    return shorter if shorter != value and shorter[-1:] in "\"']0123456789" else None


def _as_switch(value: str) -> str | None:
    return _SWITCH.get(value.lower())


def _with_a_point(value: str) -> str | None:
    """A comma in a figure; with a unit the whole stands between quotation marks."""
    plain = _plain(value)
    if not re.fullmatch(r"\d+,\d+\s*[A-Za-z]*", plain):
        return None
    point = _COMMA.sub(".", plain)
    return point if point[-1].isdigit() else f'"{point}"'


def _with_units(value: str) -> str | None:
    """Marks of inches and feet, which end a text too early, as in and ft."""
    value = value.split(" #")[0].strip()
    if value[:1] in "[({":
        return None
    inner = value[1:] if value[:1] in "\"'" else value
    inner = inner[:-1] if value[:1] in "\"'" and inner[-1:] == value[0] else inner
    if not re.search(r"\d\s*[\"'′″]", inner):
        return None
    in_words = re.sub(r"\s*(''|\"\"|\"|″)", " in ", inner)
    in_words = " ".join(re.sub(r"\s*['′]", " ft ", in_words).split())
    parts = re.fullmatch(r"(?:.+ ft)?\s*(?:.+ in)?", in_words)
    return f'"{in_words}"' if parts and not re.search(r"[\"']", in_words) else None


def _as_list(value: str) -> str | None:
    """Several values: each between quotation marks, all between square brackets."""
    inner = value.strip("[]() ")
    parts = [part.strip() for part in inner.split(",") if part.strip()]
    if value[:1] not in "[(" and len(parts) < 2:
        return None
    if any(part[:1] in "[{(" for part in parts):
        return None
    return f"[{', '.join(part if _reads(f'x = {part}') else _quote(part) for part in parts)}]"


def _as_text(value: str) -> str | None:
    return None if value[:1] in "[{(" else _quote(value)


def _quote(value: str) -> str:
    plain = _plain(value)
    return f"'{plain}'" if '"' in plain else f'"{plain}"'


def _plain(value: str) -> str:
    """The value without a note behind it and without the marks round it."""
    return value.split(" #")[0].strip().strip("\"'").strip()


_SLIPS: tuple[tuple[str, Callable[[str], str | None]], ...] = (
    ("a line is a key of one word, = and a value", _as_it_is),
    ("nothing stands behind a value", _without_ending),
    ("a switch is true or false, in small letters", _as_switch),
    ("a decimal is written with a point", _with_a_point),
    ("a mark for inches or feet ends the text too early", _with_units),
    ("a list stands between square brackets, each text in it between quotation marks", _as_list),
    (_QUOTES, _as_text),
)
"""What is wrong, and how such a value is mended: tried in this order."""
