"""Clips and masks of an SVG file: their shapes are laid beside what they cover.

CSS Masking 1, W3C.

A library reads shapes with their transforms and styles but knows neither; so each element with a
clip or a mask is put into a group of its own with a copy of that clip's shapes before it, marked
as a cover, and is itself marked with the covers that it lies within. Marks are inherited like
styles, and are read back from the shapes.
"""

from __future__ import annotations

import copy
import re
from collections.abc import Iterator, Mapping
from typing import Any
from xml.etree import ElementTree

from quiltpath.errors import InputError
from quiltpath.geometry.svg_painting import is_filled, is_stroked, local_name, nothing, properties

COVER = "quilt-cover"
"""Attribute of a cover's shapes: its number."""

WITHIN = "quilt-within"
"""Attribute of what is covered: the numbers of its covers."""

CLIP, MASK = "clip", "mask"
_KIND = "quilt-cover-kind"

MOST_SHAPES = 20_000
"""Shapes of all covers, copied out."""

REFERENCE = re.compile(r"""url\(\s*['"]?#([^'")]+)['"]?\s*\)""")

_AT_FIRST = {
    "fill": "black", "stroke": "none", "stroke-width": "1", "fill-rule": "nonzero",
    "clip-rule": "nonzero", "opacity": "1", "fill-opacity": "1", "stroke-opacity": "1",
    "visibility": "visible", WITHIN: "",
}  # fmt: skip
"""A clip inherits nothing from what it covers."""

_DARK = 0.5
"""Less light than this half in a mask hides."""


def lay_covers(root: ElementTree.Element) -> set[str]:
    """Lay the covers of the whole tree; the properties whose covers cannot be followed.

    These are covers measured in shares of what they cover, and any inside another cover.
    """
    named = {element.get("id"): element for element in root.iter() if element.get("id")}
    layer = _Layer(named)
    layer.lay(root, ())
    return layer.not_followed


class _Layer:
    """Walks a tree, numbers the covers as they come, and bounds their copies."""

    def __init__(self, named: Mapping[str | None, ElementTree.Element]) -> None:
        self.named = named
        self.number = self.copied = 0
        self.not_followed: set[str] = set()

    def lay(self, parent: ElementTree.Element, within: tuple[str, ...]) -> None:
        for place, child in enumerate(list(parent)):
            if local_name(child.tag) in ("clipPath", "mask"):
                continue
            covers = list(self._covers_of(child))
            inner = (*within, *(cover.get(COVER, "") for cover in covers))
            self.lay(child, inner)
            if not covers:
                continue
            child.set(WITHIN, " ".join(inner))
            group = ElementTree.Element(_group_tag(child))
            if name := child.attrib.pop("id", None):
                group.set("id", name)
            group.extend([*covers, child])
            parent[place] = group

    def _covers_of(self, element: ElementTree.Element) -> Iterator[ElementTree.Element]:
        own = properties(element)
        for key, kind, units in (
            ("clip-path", "clipPath", "clipPathUnits"),
            ("mask", "mask", "maskContentUnits"),
        ):
            found = REFERENCE.fullmatch(own.get(key, "none").strip())
            source = self.named.get(found[1]) if found else None
            if own.get(key, "none") == "none" or (found and source is None):
                continue  # CSS Masking: what names nothing covers nothing
            if source is None or local_name(source.tag) != kind or not _followed(source, units):
                self.not_followed.add(key)
                continue
            yield self._cover(element, source, CLIP if kind == "clipPath" else MASK)

    def _cover(
        self, element: ElementTree.Element, source: ElementTree.Element, kind: str
    ) -> ElementTree.Element:
        self.number += 1
        self.copied += sum(1 for _ in source.iter())
        if self.copied > MOST_SHAPES:
            fault = f"cuts with clips and masks of more than {MOST_SHAPES} shapes"
            raise InputError("", "", fault, "cut the shapes themselves in the drawing program")
        attributes = {**_AT_FIRST, COVER: str(self.number), _KIND: kind}
        if element.get("transform"):
            attributes["transform"] = element.get("transform", "")
        group = _group_tag(element)
        cover = ElementTree.Element(group, attributes)
        inner = ElementTree.SubElement(cover, group)
        if source.get("transform"):
            inner.set("transform", source.get("transform", ""))
        inner.extend(copy.deepcopy(list(source)))
        for copied in inner.iter():
            copied.attrib.pop("id", None)
        return cover


def _followed(source: ElementTree.Element, units: str) -> bool:
    """In the covered element's own lengths, and with no cover of its own."""
    own_lengths = source.get(units, "userSpaceOnUse") == "userSpaceOnUse"
    return own_lengths and not any(
        properties(part).get(key, "none") != "none"
        for part in source.iter()
        for key in ("clip-path", "mask")
    )


def _group_tag(element: ElementTree.Element) -> str:
    """The tag of a group in the namespace of the element."""
    space, closing, _ = str(element.tag).rpartition("}")
    return f"{space}{closing}g"


def is_clip(values: Mapping[str, Any]) -> bool:
    """Whether a cover's shape is a clip's, which counts by its edge alone."""
    return bool(values.get(_KIND) == CLIP)


def shows_through(values: Mapping[str, Any]) -> bool | None:
    """Whether what lies under this shape of a cover is seen; None where it covers nothing.

    A clip lets through whatever its shapes enclose, painted or not. A mask lets through by its
    light: luminance by linear weights of sRGB's values, times opacity (CSS Masking 1, 7.2).
    """
    if values.get("visibility") in ("hidden", "collapse"):
        return None
    if is_clip(values):
        return True
    painted = dict(values)
    if is_filled(painted):
        key = "fill"
    elif is_stroked(painted):
        key = "stroke"
    else:
        return None
    return _light(painted, key) >= _DARK


def _light(values: Mapping[str, Any], key: str) -> float:
    from svgelements import Color

    colour = Color(values.get(key) or "black")
    if colour.red is None:
        return 1.0
    light = (0.2126 * colour.red + 0.7152 * colour.green + 0.0722 * colour.blue) / 255
    shares = [colour.alpha / 255]
    shares += [_share(values.get(name)) for name in (f"{key}-opacity", "opacity")]
    for share in shares:
        light *= share
    return float(light)


def _share(said: object) -> float:
    if said is None or nothing(said):
        return float(said is None)
    text = str(said).strip()
    return float(text.rstrip("%")) / (100 if text.endswith("%") else 1)
