"""A look at an SVG file before it is parsed: what no drawing needs is refused.

Expat reads the file once without building a tree. Entity declarations (and so entity bombs), deep
nesting and sheer number, copies (``<use>``) drawn out, are turned away here; external files and
scripts are never followed, since nothing below fetches or runs anything. What would come in at
another size or place than drawn, such as lengths in font sizes, is refused as well.
"""

from __future__ import annotations

import re
from collections import Counter
from graphlib import CycleError, TopologicalSorter
from typing import NoReturn
from xml.parsers import expat

from quiltpath.errors import InputError

MAX_BYTES = 20_000_000
"""Room for a picture embedded beside the paths; it is passed over."""

MAX_DEPTH = 100
"""Nested elements; drawing programs stay below 20."""

MAX_ELEMENTS = 20_000
"""Elements, those that reuse multiplies included."""

MAX_PATH_CHARACTERS = 1_000_000
"""Path data in all, about 100,000 points."""

MAX_STYLE_CHARACTERS = 50_000

MAX_INHERITED = 100
"""Different attributes and style properties on an element and those around it."""

_LENGTH = re.compile(r"\s*[-+]?(\d+\.?\d*|\.\d+)([eE][-+]?\d{1,3})?\s*(px|mm|cm|in|pt|pc|%)?\s*")
_LENGTHS = {"x", "y", "width", "height", "cx", "cy", "r", "rx", "ry", "x1", "y1", "x2", "y2"}
_MEASURED = {"svg", "rect", "circle", "ellipse", "line", "use"}
_PLAIN = "save it again as plain SVG"


def check_svg(data: bytes, where: str) -> None:
    """Raise :class:`InputError`, one line, where ``data`` is no SVG that should be parsed."""
    if len(data) > MAX_BYTES:
        raise InputError(where, "", f"is larger than {MAX_BYTES // 1_000_000} MB", _PLAIN)
    watch = _Watch(where)
    parser = expat.ParserCreate()
    parser.EntityDeclHandler = watch.entity
    parser.StartElementHandler = watch.start
    parser.EndElementHandler = watch.end
    parser.CharacterDataHandler = watch.text
    try:
        parser.Parse(data, True)
    except (expat.ExpatError, ValueError, LookupError) as error:
        line = getattr(error, "lineno", 0)
        place = f" at line {line}" if line else ""
        raise InputError(where, "", f"is not valid XML{place}", _PLAIN) from None
    watch.finish()


class _Watch:
    """Counts while expat reads: depth, elements, path data, styles, and what is reused."""

    def __init__(self, where: str) -> None:
        self.where = where
        self.open: list[str] = []
        self.inherited: list[set[str]] = [set()]
        self.elements = self.path_characters = self.style_characters = 0
        self.reuse = CopyCounter()

    def refuse(self, fault: str, remedy: str = _PLAIN) -> NoReturn:
        raise InputError(self.where, "", fault, remedy)

    def entity(self, *_: object) -> None:
        self.refuse("declares entities")

    def start(self, prefixed: str, attributes: dict[str, str]) -> None:
        name = prefixed.rpartition(":")[2]
        self._root(name, attributes)
        self.open.append(name)
        self.reuse.start(name, attributes)
        self._count(attributes)
        self._style(attributes)
        if name in _MEASURED:
            self._lengths(name, attributes)

    def end(self, _: str) -> None:
        self.open.pop()
        self.inherited.pop()
        self.reuse.end()

    def text(self, characters: str) -> None:
        if self.open and self.open[-1] == "style":
            self.style_characters += len(characters)
            if self.style_characters > MAX_STYLE_CHARACTERS:
                self.refuse(f"has a style sheet of more than {MAX_STYLE_CHARACTERS} characters")

    def finish(self) -> None:
        """What can only be said at the end: how far reuse multiplies the drawing."""
        elements = self.reuse.expanded()
        if elements is None:
            self.refuse("reuses a shape inside itself", "break the link of the copies")
        if elements > MAX_ELEMENTS:
            self.refuse(f"reuses shapes into more than {MAX_ELEMENTS} elements", "draw fewer")

    def _root(self, name: str, attributes: dict[str, str]) -> None:
        if not self.open:
            if name != "svg":
                self.refuse("is not an SVG drawing", "give a file whose root is <svg>")
            self._size(attributes)
        elif name in ("svg", "symbol"):
            kind = "a drawing inside the drawing" if name == "svg" else "symbols"
            self.refuse(f"holds {kind} (<{name}>)", "turn them into plain groups")

    def _size(self, attributes: dict[str, str]) -> None:
        sides = [attributes.get("width", ""), attributes.get("height", "")]
        sides += attributes.get("viewBox", "").replace(",", " ").split()[2:]
        numbers = [found[1] for side in sides if (found := _LENGTH.fullmatch(side))]
        negative = any(side.lstrip().startswith("-") for side in sides)
        if negative or any(float(number) == 0 for number in numbers):
            self.refuse("has a page without size", "give width, height and viewBox above 0")

    def _count(self, attributes: dict[str, str]) -> None:
        self.elements += 1
        self.path_characters += len(attributes.get("d", "")) + len(attributes.get("points", ""))
        if len(self.open) > MAX_DEPTH:
            self.refuse(f"nests elements more than {MAX_DEPTH} deep", "ungroup the drawing")
        if self.elements > MAX_ELEMENTS:
            self.refuse(f"has more than {MAX_ELEMENTS} elements", "simplify the drawing")
        if self.path_characters > MAX_PATH_CHARACTERS:
            self.refuse("has more than about 100,000 points", "simplify its paths")

    def _style(self, attributes: dict[str, str]) -> None:
        declared = {d.partition(":")[0] for d in attributes.get("style", "").split(";")}
        here = self.inherited[-1] | set(attributes) | declared - {""}
        self.inherited.append(here)
        if len(here) > MAX_INHERITED:
            self.refuse(f"has elements with more than {MAX_INHERITED} attributes")

    def _lengths(self, name: str, attributes: dict[str, str]) -> None:
        for key in sorted(_LENGTHS & set(attributes)):
            value = attributes[key]
            if value != "auto" and not _LENGTH.fullmatch(value):
                self.refuse(
                    f"has a <{name}> whose {key} is {value[:20]!r}", "use mm, cm, in, pt or px"
                )


class CopyCounter:
    """Fed with an SVG's elements as they open and close, counts what copying makes of them.

    Copies of copies multiply: nine groups of ten copies each make a thousand million elements
    out of a hundred. Time and memory are those of the file as written.
    """

    def __init__(self) -> None:
        self._open: list[str | None] = []
        self._elements: Counter[str | None] = Counter()
        self._copies: dict[str | None, Counter[str]] = {None: Counter()}

    def start(self, name: str, attributes: dict[str, str]) -> None:
        """An element opens."""
        own = attributes.get("id")
        if own is not None:
            self._copies.setdefault(own, Counter())
        self._open.append(own)
        around = {owner for owner in self._open if owner is not None} | {None}
        self._elements.update(around)
        target = attributes.get("href", attributes.get("xlink:href", ""))
        if name == "use" and target.startswith("#"):
            for owner in around:
                self._copies[owner][target[1:]] += 1

    def end(self) -> None:
        """The innermost open element closes."""
        self._open.pop()

    def expanded(self) -> int | None:
        """Elements of the whole drawing with all copies; None where a shape copies itself."""
        total: dict[str | None, int] = {}
        try:
            order = list(TopologicalSorter(self._copies).static_order())
        except CycleError:
            return None
        for owner in order:
            copies = self._copies.get(owner, Counter())
            made = sum(times * total[target] for target, times in copies.items())
            total[owner] = self._elements[owner] + made
        return total[None]
