"""TOML from the bytes of a file: encoding, line ends, nesting, wild numbers, all told in a line."""

from __future__ import annotations

import re
import tomllib
from typing import Any

from quiltpath.errors import InputError

_CONTROL = re.compile(r"[\x00-\x08\x0b\x0c\x0e-\x1f\x7f-\x9f\u202a-\u202e\u2066-\u2069]")
"""Control characters but tab and line ends, and those that turn the writing direction."""


_LONG_KEY = re.compile(
    r"(?<![\w-])(?:(?:[\w-]++|\"[^\"\n]{0,80}\"|'[^'\n]{0,80}')[ \t]*\.[ \t]*){30}"
)
"""A key of more than 30 parts: the parser's work grows with the square of them."""


def decoded(raw: bytes, name: str) -> str:
    """The text of a file, whatever its line ends and with or without a byte order mark."""
    try:
        return raw.decode("utf-8-sig").replace("\r\n", "\n")
    except UnicodeDecodeError:
        raise InputError(name, "", "is not UTF-8 text", "save it as UTF-8") from None


def toml_content(text: str, name: str) -> dict[str, Any]:
    """The tables of a TOML text; raises :class:`InputError` with line and column."""
    if _LONG_KEY.search(text):
        raise InputError(name, "", "is nested too deeply", "flatten its tables")
    try:
        content = tomllib.loads(text)
    except ValueError as error:
        # Beside what is no TOML: whole numbers of thousands of digits.
        raise InputError(name, "", f"is not valid TOML: {error}", "mend that line") from None
    except RecursionError:
        raise InputError(name, "", "is nested too deeply", "flatten its tables") from None
    _check_text(content, name)
    return content


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
