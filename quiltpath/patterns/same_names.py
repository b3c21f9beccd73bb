"""Layers that would bear one name are told apart: by where they lie, how they run, or as sets.

What is put behind a name is made of marked words, so that paper says it in its own language
(``runner/layer_names.py``).
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence

from quiltpath.language import message
from quiltpath.patterns.layer import Layer
from quiltpath.patterns.straight import GridLayer, StraightLayer

PLACES = {
    "runner": message("over the runner"),
    "blocks": message("in the blocks"),
    "sashing": message("in the sashing"),
    "outer sashing": message("in the outer sashing"),
    "border": message("in the border"),
    "cornerstones": message("in the cornerstones"),
}
LEANS = {
    0.0: message("along the runner"),
    45.0: message("on the diagonal, rising to the right"),
    90.0: message("across the runner"),
    135.0: message("on the diagonal, rising to the left"),
}
GRIDS = {
    (0.0, 90.0): message("along and across the runner"),
    (45.0, 135.0): message("on the diagonal, both ways"),
}
ORDINALS = (
    message("first set"),
    message("second set"),
    message("third set"),
    message("fourth set"),
)
FURTHER = message("set")
"""With its number behind it, after the ordinals."""

BEHIND = (*PLACES.values(), *LEANS.values(), *GRIDS.values(), *ORDINALS)
"""What may stand behind a name, after a comma."""

MOST_BLOCKS = 6
"""So many blocks are named; of more a set has its number."""


def tell_apart(layers: Sequence[Layer]) -> tuple[Layer, ...]:
    """The same layers; those that share a name get words behind it that differ.

    Example:
        >>> from quiltpath.project import parse
        >>> across = '[[quilting]]\\nkind = "straight"\\nangle = 90\\n'
        >>> along = '[[quilting]]\\nkind = "straight"\\n'
        >>> runner = 'runner = { length = "72 in", width = "10 in" }\\n'
        >>> [layer.name for layer in parse(runner + across + along).quilting]
        ['straight, across the runner', 'straight, along the runner']
    """
    names = [layer.name or layer.kind for layer in layers]
    told = list(layers)
    for name, number in Counter(names).items():
        if number > 1:
            alike = [index for index, own in enumerate(names) if own == name]
            behind = _words_that_differ([layers[index] for index in alike])
            for index, words in zip(alike, behind, strict=True):
                told[index] = layers[index].replaced(name=f"{name}, {words}")
    return tuple(told)


def _words_that_differ(alike: Sequence[Layer]) -> list[str]:
    """The fewest words that are another for each; numbers where nothing is said of one."""
    for words_of in (_place, _direction, _place_and_direction):
        words = [words_of(layer) for layer in alike]
        if all(words) and len(set(words)) == len(words):
            return words
    return [
        ORDINALS[number] if number < len(ORDINALS) else f"{FURTHER} {number + 1}"
        for number in range(len(alike))
    ]


def _place(layer: Layer) -> str:
    """Where it lies: a kind of part, or blocks by their names."""
    regions = (layer.region,) if isinstance(layer.region, str) else layer.region
    if len(regions) == 1 and regions[0] in PLACES:
        return PLACES[regions[0]]
    if len(regions) > MOST_BLOCKS or not all(_is_block(name) for name in regions):
        return ""
    return f"in {' + '.join(regions)}"


def _is_block(name: str) -> bool:
    return name[:1].isalpha() and name[1:].isdecimal()


def _direction(layer: Layer) -> str:
    """How straight lines run; other lines have no one direction."""
    if isinstance(layer, StraightLayer):
        return LEANS.get(layer.angle % 180, "")
    if isinstance(layer, GridLayer):
        low, high = sorted(angle % 180 for angle in layer.angles)
        return GRIDS.get((low, high), "")
    return ""


def _place_and_direction(layer: Layer) -> str:
    place, direction = _place(layer), _direction(layer)
    return f"{place}, {direction}" if place and direction else ""
