"""A look at an SVG file before it is parsed: what no drawing needs is refused.

Expat reads the file once without building anything. Entity declarations (and so entity bombs),
deep nesting and sheer number are turned away here; external files and scripts are never followed,
since nothing below fetches or runs anything.
"""

from __future__ import annotations

from xml.parsers import expat

from quiltpath.errors import InputError

MAX_DEPTH = 100
"""Nested elements; drawing programs stay below 20."""

MAX_ELEMENTS = 20_000

MAX_PATH_CHARACTERS = 1_000_000
"""Path data in all, about 100,000 points."""


def check_svg(data: bytes, where: str) -> None:
    """Raise :class:`InputError`, one line, where ``data`` is no SVG that should be parsed."""
    watch = _Watch(where)
    parser = expat.ParserCreate()
    parser.EntityDeclHandler = watch.entity
    parser.StartElementHandler = watch.start
    parser.EndElementHandler = watch.end
    try:
        parser.Parse(data, True)
    except expat.ExpatError as error:
        raise InputError(
            where, "", f"is not valid XML ({error})", "save it again as plain SVG"
        ) from None
    if watch.root != "svg":
        raise InputError(where, "", "is not an SVG drawing", "give a file whose root is <svg>")


class _Watch:
    """Counts depth, elements and path data while expat reads."""

    def __init__(self, where: str) -> None:
        self.where = where
        self.root = ""
        self.depth = self.elements = self.path_characters = 0

    def refuse(self, fault: str, remedy: str) -> None:
        raise InputError(self.where, "", fault, remedy)

    def entity(self, *_: object) -> None:
        self.refuse("declares entities", "save it as plain SVG")

    def start(self, name: str, attributes: dict[str, str]) -> None:
        self.root = self.root or name.rpartition(":")[2]
        self.depth += 1
        self.elements += 1
        self.path_characters += len(attributes.get("d", "")) + len(attributes.get("points", ""))
        if self.depth > MAX_DEPTH:
            self.refuse(f"nests elements more than {MAX_DEPTH} deep", "ungroup the drawing")
        if self.elements > MAX_ELEMENTS:
            self.refuse(f"has more than {MAX_ELEMENTS} elements", "simplify the drawing")
        if self.path_characters > MAX_PATH_CHARACTERS:
            self.refuse("has more than about 100,000 points", "simplify its paths")

    def end(self, name: str) -> None:
        self.depth -= 1
