"""The sentences of the libraries that read files, collected from the libraries themselves."""

from __future__ import annotations

import inspect
import re
import tomllib
from functools import cache
from xml.parsers.expat import errors as expat_errors

import tomlkit.exceptions
from pydantic_core._pydantic_core import list_all_errors

MORE = ("validation error", "input should", "traceback", "pydantic", "tomllib", "tomlkit", "expat")
"""Words that none of ours has."""

OURS = {
    "is not valid", "at line", "in a string", "in string", "in total", "decimal place",
    "found using", "before the decimal point",
}  # fmt: skip
"""Pieces that plain English shares with a library."""


@cache
def stock_phrases() -> frozenset[str]:
    """Pieces of at least two words of what pydantic, tomllib, tomlkit and expat say."""
    said = [each["message_template_python"] for each in list_all_errors()]
    for module in (tomllib._parser, tomlkit.exceptions):  # type: ignore[attr-defined]
        source = inspect.getsource(module)
        said += re.findall(
            r'(?:Error|error|_err|message = |__init__)\(?[^"\n]*\n?\s*f?"([^"]+)"', source
        )
    said += [text for name, text in vars(expat_errors).items() if name.startswith("XML_")]
    pieces = (piece for text in said for piece in re.split(r"\{[^}]*\}|['\"]", text))
    plain = {piece.strip(" .,:;()").lower() for piece in pieces}
    return (
        frozenset(piece for piece in plain if len(piece.split()) > 1 and "\n" not in piece) - OURS
    )


def stock_phrases_in(line: str) -> list[str]:
    """Those of them that a line for a person holds."""
    low = line.lower()
    return [phrase for phrase in (*MORE, *sorted(stock_phrases())) if phrase in low]
