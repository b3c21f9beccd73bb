"""How many elements a drawing has once every copy (``<use>``) is drawn out."""

from __future__ import annotations

from collections import Counter
from graphlib import CycleError, TopologicalSorter


class Reuse:
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
