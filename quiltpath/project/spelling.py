"""Other words for the same thing: US and UK spellings, and what else the trade calls it.

A file may say batting, center, miter or "stitch in the ditch"; it is read as if it said wadding,
centre, mitre and along-the-sashing. Where a fault is told, the key stays as it was written. (All
common practice.)
"""

import re
from collections.abc import Mapping
from typing import Any

from quiltpath.patterns.kinds import KINDS
from quiltpath.project.key_facts import Takes, values_of_key
from quiltpath.schema import Section

_OTHER_WORDS = {
    "batting": "wadding",
    "batt": "wadding",
    "fabric": "cloth",
    "center": "centre",
    "centered": "centre",
    "miter": "mitre",
    "color": "colour",
    "gray": "grey",
    "meter": "metre",
}

_PATTERNS = {
    "stitch-in-the-ditch": "along-the-sashing",
    "in-the-ditch": "along-the-sashing",
    "ditch": "along-the-sashing",
    "ditch-stitching": "along-the-sashing",
    "crosshatch": "diagonal-crosshatch",
    "cross-hatch": "diagonal-crosshatch",
    "crosshatching": "diagonal-crosshatch",
    "diagonal-grid": "diagonal-crosshatch",
    "grid": "square-grid",
    "meandering": "meander",
    "stipple": "meander",
    "stippling": "meander",
    "echo": "outline-echo",
    "echo-quilting": "outline-echo",
    "outline": "outline-echo",
    "baptist-fan": "fans",
    "baptist-fans": "fans",
    "clam-shells": "clamshells",
    "clamshell": "clamshells",
    "flame": "flames",
    "swirl": "swirls",
    "channel-quilting": "lengthwise-lines",
    "channels": "lengthwise-lines",
    "matchstick-quilting": "matchstick",
    "braid": "plait",
    "spiral": "round-spiral",
}

Place = tuple[str | int, ...]
"""Keys and numbers of entries that lead to a value."""


def plain_word(word: str) -> str:
    """In small letters, hyphens between the parts, in the project's own spelling."""
    parts = re.split(r"[\s_-]+", word.strip().lower())
    return "-".join(_OTHER_WORDS.get(part, part) for part in parts)


def pattern_word(word: str) -> str:
    """The name of the pattern that is meant, if it is called otherwise here."""
    plain = plain_word(word)
    return _PATTERNS.get(plain, plain)


def in_own_words(
    content: Mapping[str, Any], model: type[Section]
) -> tuple[dict[str, Any], dict[Place, str]]:
    """The tables in the project's own words, and where another word for a key stood."""
    names: dict[Place, str] = {}
    return _table(content, model, (), names), names


def _table(
    content: Mapping[str, Any], model: type[Section], place: Place, names: dict[Place, str]
) -> dict[str, Any]:
    found = {}
    for written, value in content.items():
        key = _key(written, content, model)
        if key != written:
            names[(*place, key)] = written
        takes = values_of_key(model, key) if isinstance(value, str | list | Mapping) else None
        found[key] = _value(value, takes, (*place, key), names) if takes else value
    return found


def _key(written: str, content: Mapping[str, Any], model: type[Section]) -> str:
    if written in model.model_fields:
        return written
    plain = plain_word(written)
    same = [key for key in model.model_fields if plain_word(key) == plain and key not in content]
    return same[0] if len(same) == 1 else written


def _value(value: Any, takes: Takes, place: Place, names: dict[Place, str]) -> Any:
    if isinstance(value, Mapping):
        model = takes.section
        return _table(value, model, place, names) if model else value
    if isinstance(value, list):
        return [_value(each, takes, (*place, n), names) for n, each in enumerate(value)]
    if not isinstance(value, str) or value in takes.options:
        return value
    plain = plain_word(value)
    return next((word for word in takes.options if plain_word(word) == plain), value)


def layer_in_own_words(entry: Mapping[str, Any]) -> dict[str, Any]:
    """One layer in the project's own words; its kind says which keys it has."""
    kind = entry.get("kind")
    word = plain_word(kind) if isinstance(kind, str) else ""
    if word not in KINDS:
        return dict(entry)
    return _table({**entry, "kind": word}, KINDS[word].model, (), {})
