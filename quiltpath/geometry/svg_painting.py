"""Which elements of an SVG file paint anything: what is not painted is not in the picture.

SVG 2, W3C: 13 (painting: ``fill``, ``stroke``, their opacities, ``visibility``), 5.8 (``title``,
``desc`` and ``metadata`` are never rendered), 14 (``clipPath`` and ``mask`` only through those that
name them), 13.7 (``marker``), 3.6.3 (``display``).
"""

from __future__ import annotations

import re
from typing import Any
from xml.etree import ElementTree

SPOKEN_OF = {
    "text": "text",
    "image": "a picture",
    "foreignObject": "embedded pages",
}
"""Painted by a browser, and passed over here."""

NEVER_PAINTED = {
    "clipPath", "mask", "marker", "pattern", "title", "desc", "metadata", "filter",
    "linearGradient", "radialGradient", "script",
}  # fmt: skip

CHANGES_WHAT_IS_SEEN = {
    "clip-path": "a clip that is not plain",
    "mask": "a mask that is not plain",
    "filter": "a filter",
}
"""Properties that are not followed, or not always: what they change is taken as it is drawn."""


def only_rendered(root: ElementTree.Element, not_followed: set[str]) -> tuple[str, ...]:
    """Take out elements that are never rendered; what else is passed over, in words.

    Words are in the order of the tables above, each once; ``not_followed`` are properties met.
    """
    seen = set(not_followed)
    _sift(root, seen)
    _rules_first(root)
    words = {**SPOKEN_OF, **CHANGES_WHAT_IS_SEEN}
    told = tuple(word for key, word in words.items() if key in seen)
    return told


def _sift(element: ElementTree.Element, seen: set[str]) -> None:
    for child in list(element):
        name = local_name(child.tag)
        own = properties(child)
        if name in NEVER_PAINTED or own.get("display") == "none" or nothing(own.get("opacity")):
            element.remove(child)
            continue
        if name in SPOKEN_OF:
            seen.add(name)
        if own.get("filter", "none") != "none":
            seen.add("filter")
        _sift(child, seen)


def _rules_first(root: ElementTree.Element) -> None:
    """Style sheets before all else: they hold for what stands above them too."""
    for parent in list(root.iter()):
        for sheet in [child for child in parent if local_name(child.tag) == "style"]:
            parent.remove(sheet)
            root.insert(0, sheet)


def local_name(tag: object) -> str:
    """The name of an element or an attribute without its namespace."""
    return str(tag).rpartition("}")[2]


def properties(element: ElementTree.Element) -> dict[str, str]:
    """Of the element itself; what its ``style`` says goes before its attributes (CSS)."""
    said = {local_name(key): value.strip() for key, value in element.attrib.items()}
    for declared in element.attrib.get("style", "").split(";"):
        key, _, value = declared.partition(":")
        if value:
            said[key.strip()] = value.replace("!important", "").strip()
    return said


def is_filled(values: dict[str, Any]) -> bool:
    """Whether a shape of these inherited properties is filled; black is the first value."""
    fill = values.get("fill", "black")
    return not (_no_colour(fill) or nothing(values.get("fill-opacity")) or _unseen(values))


def is_stroked(values: dict[str, Any]) -> bool:
    """Whether its line is drawn; none is the first value."""
    width = str(values.get("stroke-width", "1")).strip()
    thin = re.fullmatch(r"0*\.?0*\s*[a-z%]*", width) is not None
    stroke = values.get("stroke", "none")
    return not (
        _no_colour(stroke) or thin or nothing(values.get("stroke-opacity")) or _unseen(values)
    )


def _unseen(values: dict[str, Any]) -> bool:
    return values.get("visibility") in ("hidden", "collapse") or nothing(values.get("opacity"))


def _no_colour(paint: object) -> bool:
    text = str(paint).strip().lower()
    if text in ("none", "transparent", ""):
        return True
    clear = re.fullmatch(r"(?:rgba|hsla)\(.*[,/\s]([\d.]+%?)\s*\)", text)
    return bool(clear and nothing(clear[1])) or bool(re.fullmatch(r"#(?:...0|......00)", text))


def nothing(share: object) -> bool:
    """An opacity of 0 or less."""
    found = re.fullmatch(r"\s*([-+]?(?:\d+\.?\d*|\.\d+)(?:e[-+]?\d+)?)\s*%?\s*", str(share), re.I)
    return found is not None and float(found[1]) <= 0
