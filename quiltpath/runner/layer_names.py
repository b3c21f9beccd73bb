"""What paper calls a layer: the name that it was given, else what its kind draws."""

from __future__ import annotations

from quiltpath.language import message, say_known
from quiltpath.patterns.kinds import KINDS

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


def layer_words(name: str) -> str:
    """What a person who has only the paper reads of a layer: its name, or what its kind draws."""
    if name not in KINDS:
        return say_known(name)
    words = say_known(PLAIN_WORDS.get(name, name.replace("-", " ")))
    return words[:1].upper() + words[1:]
