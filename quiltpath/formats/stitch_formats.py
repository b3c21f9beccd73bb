"""The stitch formats that are written, one row of facts each.

Adding a format that the embroidery library writes and reads is adding one row.
Lengths of records and counts come from each format's own coding: how many bits a step, an
extent or a counter takes.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from enum import Enum

from quiltpath.errors import InputError


class CutSign(Enum):
    """How a file tells the machine to cut the thread."""

    COMMAND = "a command of its own"
    ANY_JUMP = "every jump after the first stitch cuts"
    THREE_JUMPS = "three jumps in a row"


@dataclass(frozen=True)
class StitchFormat:
    """What one stitch format can hold.

    ``grid_mm``      the unit that positions are rounded to
    ``longest_mm``   longest stitch along an axis that one record holds
    ``jump_mm``      longest jump along an axis that one record holds; longer ones take several
    ``largest_mm``   largest design along an axis
    ``cut``          how a thread cut is written
    ``own_stop``     true where a halt has its own code; elsewhere it is a colour change
    ``most_stops``   halts that the file's counters can hold
    ``whole_centre`` the file keeps its centre in whole units, so extents are made even
    ``read_by``      who reads it, in neutral words
    """

    extension: str
    grid_mm: float
    longest_mm: float
    jump_mm: float
    largest_mm: float
    cut: CutSign
    own_stop: bool
    most_stops: float
    read_by: str
    whole_centre: bool = False

    @property
    def name(self) -> str:
        """Its word in ``machine.formats``."""
        return self.extension

    @property
    def ending(self) -> str:
        """How its files end."""
        return f".{self.extension}"

    @property
    def tolerance_mm(self) -> float:
        """Rounding to the grid moves a point by at most half a unit along each axis."""
        return self.grid_mm / 2


_ANY = math.inf
_CMD, _JUMP, _THREE = CutSign.COMMAND, CutSign.ANY_JUMP, CutSign.THREE_JUMPS

# A grid of 0.1 mm is part of each binary coding; text keeps thousandths of a millimetre.
_ROWS = (
    # ext    grid   stitch jump   largest cut     stop  stops  read by
    ("dst", 0.1, 12.1, 12.1, 9999.9, _THREE, False, 999, "industrial heads, most hoop machines"),
    ("exp", 0.1, 12.7, 12.7, _ANY, _CMD, False, _ANY, "industrial heads, hoop machines"),
    ("pes", 0.1, 204.7, 204.7, 3276.7, _JUMP, True, 254, "hoop machines"),
    ("jef", 0.1, 12.7, 12.7, 9999.9, _THREE, True, 250, "hoop machines"),
    ("vp3", 0.1, 25.5, 3276.7, 9999.9, _CMD, False, 254, "hoop machines", True),
    ("u01", 0.1, 12.7, 12.7, 6553.4, _CMD, True, _ANY, "industrial heads"),
    ("xxx", 0.1, 12.3, 12.3, 6553.4, _CMD, False, 20, "hoop machines"),
    ("csv", 0.001, _ANY, _ANY, _ANY, _CMD, True, _ANY, "spreadsheets, other programs"),
    ("json", 0.001, _ANY, _ANY, _ANY, _CMD, True, _ANY, "other programs"),
)

STITCH_FORMATS = tuple(StitchFormat(*row) for row in _ROWS)
BY_EXTENSION = {row.extension: row for row in STITCH_FORMATS}


def find_format(extension: str) -> StitchFormat:
    """The row of an extension, with or without its dot. Raises ``InputError``."""
    wanted = extension.lower().lstrip(".")
    if wanted not in BY_EXTENSION:
        known = ", ".join(BY_EXTENSION)
        raise InputError("", "format", f"{extension!r} is not a stitch format", f"use {known}")
    return BY_EXTENSION[wanted]
