"""Whether a stitch file is this project's: at this scale, this way up, in this order."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from quiltpath.output.machine.formats import FORMATS
from quiltpath.output.machine.likeness import Likeness, compare
from quiltpath.output.machine.needle_path import NeedlePath, needle_path
from quiltpath.stitching.stitches import Stitches

_UNIT_MM = 0.1
"""Grid of the stitch formats that are not ours to write."""


@dataclass(frozen=True)
class Against:
    """``name`` is the file of the project that it is, or nothing; ``text`` says so in words."""

    name: str | None
    likeness: Likeness | None
    text: str

    @property
    def same(self) -> bool:
        """True where the file is the project's, as it should be."""
        return self.likeness is not None and self.likeness.same


def against(
    read: NeedlePath, extension: str, candidates: Sequence[tuple[str, Stitches]]
) -> Against:
    """The candidate that ``read`` is, or comes nearest to.

    ``candidates`` are the project's own files by name: the whole, and its parts.
    """
    unit = FORMATS[extension].grid_mm if extension in FORMATS else _UNIT_MM
    likes = [
        (name, compare(read, needle_path(stitches), unit / 2)) for name, stitches in candidates
    ]
    for name, likeness in likes:
        if likeness.same:
            return Against(name, likeness, f"this is {name} of the project, as meant")
    named = [(name, likeness) for name, likeness in likes if likeness.worst_mm < float("inf")]
    if named:
        name, likeness = min(named, key=lambda entry: entry[1].worst_mm)
        return Against(name, likeness, f"this is {name} of the project, but {likeness.fault}")
    counts = ", ".join(f"{name} has {len(needle_path(s))}" for name, s in candidates[:3])
    return Against(
        None, None, f"this is no file of the project: {len(read)} needle holes; {counts}"
    )
