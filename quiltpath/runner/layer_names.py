"""What paper calls a layer: the name that it was given, else what its kind draws.

Where several share a name, what tells them apart stands behind it (``patterns/same_names.py``).
"""

from __future__ import annotations

import re

from quiltpath.language import message, say, say_known
from quiltpath.patterns.kinds import KINDS
from quiltpath.patterns.same_names import BEHIND, FURTHER
from quiltpath.units import join_with_and

PLAIN_WORDS = {
    "straight": message("straight lines"),
    "grid": message("crossed lines"),
    "echo": message("rings round a shape"),
    "sashing": message("lines along the sashing"),
    "motif": message("outlines of the motifs"),
    "field-lines": message("flowing lines"),
    "concentric": message("squares one in another"),
    "radiating": message("rays"),
    "drawing": message("your drawing"),
}
"""What paper says of a layer without a name, where the file's word for its kind says little."""


_BLOCKS_OR_NUMBER = re.compile(rf"(.+), (?:in ([A-Z]\d+(?: \+ [A-Z]\d+)*)|{FURTHER} (\d+))")


def layer_words(name: str) -> str:
    """What a person who has only the paper reads of a layer: its name, or what its kind draws.

    Example:
        >>> layer_words("straight, in A1 + B1")
        'Straight lines, in A1 and B1'
    """
    for words in BEHIND:
        if name.endswith(f", {words}"):
            return f"{layer_words(name.removesuffix(f', {words}'))}, {say_known(words)}"
    if named := _BLOCKS_OR_NUMBER.fullmatch(name):
        head, blocks, number = named.groups()
        places = join_with_and((blocks or "").split(" + "))
        tail = say("in {places}", places=places) if blocks else f"{say_known(FURTHER)} {number}"
        return f"{layer_words(head)}, {tail}"
    if name not in KINDS:
        return say_known(name)
    words = say_known(PLAIN_WORDS.get(name, name.replace("-", " ")))
    return words[:1].upper() + words[1:]
