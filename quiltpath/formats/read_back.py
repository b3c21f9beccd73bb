"""A written stitch file read back and compared with the stitches that were meant."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np

from quiltpath.errors import InputError, VerificationError
from quiltpath.formats.comparing import AS_MEANT, Likeness, compare
from quiltpath.formats.stitch_formats import CutSign, StitchFormat, find_format
from quiltpath.formats.stitch_reading import read_path
from quiltpath.formats.stitch_writing import write
from quiltpath.geometry.arrays import Floats
from quiltpath.stitching import Stitches
from quiltpath.stitching.needle_path import NeedlePath, needle_path

_HAIR = 1e-6
_ELSEWHERE = Likeness(AS_MEANT, 1.0, float("inf"), False, False)


@dataclass(frozen=True)
class Verification:
    """What reading back showed.

    ``worst_mm``      largest distance along an axis between a hole read and the hole meant
    ``tolerance_mm``  half a unit of the format's grid
    ``holes`` / ``holes_meant``   needle holes read and meant
    ``in_order``      the holes come in the order meant
    ``orientation``   ``"as meant"``, or how the figure came back
    ``trims`` / ``trims_meant``   cuts between stitches; a format may cut where one only moved
    ``stops`` / ``stops_meant``   halts between stitches
    ``faults``        what differs, in words; empty where the file is what was meant
    """

    worst_mm: float
    tolerance_mm: float
    holes: int
    holes_meant: int
    in_order: bool
    orientation: str
    trims: int
    trims_meant: int
    stops: int
    stops_meant: int
    faults: tuple[str, ...]

    @property
    def verified(self) -> bool:
        """True where nothing differs."""
        return not self.faults


def verify(
    contents: bytes, stitches: Stitches, extension: str, middle_mm: Floats | None = None
) -> Verification:
    """Read ``contents`` once and compare holes, order, orientation, cuts and halts."""
    form = find_format(extension)
    meant = needle_path(stitches, middle_mm)
    try:
        read = read_path(contents, form.extension, f"{form.extension} file")
    except InputError as unreadable:
        return _verdict(_nothing(), meant, form, _ELSEWHERE, [str(unreadable)])
    place = _place(read, meant, form)
    faults = [*_place_faults(place, read, meant), *_command_faults(read, meant, form)]
    return _verdict(read, meant, form, place, faults)


def deliver(
    stitches: Stitches,
    extension: str,
    title: str,
    longest_jump_mm: float = math.inf,
    middle_mm: Floats | None = None,
) -> tuple[bytes, Verification]:
    """Write, read back, compare: the bytes of a file that is what was meant.

    The file counts from ``middle_mm``, or from the middle of the design.

    Raises ``FormatLimitError`` where the format cannot hold the design and ``VerificationError``
    where the file does not read back as meant.
    """
    contents = write(stitches, extension, title, longest_jump_mm, middle_mm)
    verdict = verify(contents, stitches, extension, middle_mm)
    if not verdict.verified:
        raise VerificationError(f"{extension.upper()}: {'; '.join(verdict.faults)}")
    return contents, verdict


def _nothing() -> NeedlePath:
    no = np.zeros(0, dtype=np.bool_)
    return NeedlePath(np.zeros((0, 2)), no, no, no, False)


def _place(read: NeedlePath, meant: NeedlePath, form: StitchFormat) -> Likeness:
    """Where the holes came back: compared as they lie, and where that fails under every turn."""
    if len(read) == len(meant):
        wanted = meant.holes - meant.file_origin(form.grid_mm)
        worst = float(np.abs(read.holes - wanted).max(initial=0.0))
        if worst <= form.tolerance_mm + _HAIR:
            return Likeness(AS_MEANT, 1.0, worst, True, True)
        return replace(compare(read, meant, form.tolerance_mm), worst_mm=worst, same=False)
    return _ELSEWHERE


def _place_faults(place: Likeness, read: NeedlePath, meant: NeedlePath) -> list[str]:
    if len(read) != len(meant):
        return [f"{len(read)} needle holes come back where {len(meant)} were meant"]
    return [] if place.same else [place.fault]


def _command_faults(read: NeedlePath, meant: NeedlePath, form: StitchFormat) -> list[str]:
    """Cuts and halts that are lost or new; where the needle only moved a format may always cut."""
    if len(read) != len(meant):
        return []
    allowed = meant.cut | (meant.moved & (form.cut is not CutSign.COMMAND))
    lost = int(np.count_nonzero(meant.cut[1:] & ~read.cut[1:]))
    new = int(np.count_nonzero(read.cut[1:] & ~allowed[1:]))
    halts = int(np.count_nonzero(meant.stop[1:] != read.stop[1:]))
    return [
        text
        for count, text in (
            (lost, f"{lost} thread cuts are lost"),
            (new, f"{new} thread cuts were not meant"),
            (halts, f"{halts} halts are lost or were not meant"),
        )
        if count
    ]


def _verdict(
    read: NeedlePath, meant: NeedlePath, form: StitchFormat, place: Likeness, faults: list[str]
) -> Verification:
    return Verification(
        worst_mm=place.worst_mm,
        tolerance_mm=form.tolerance_mm,
        holes=len(read),
        holes_meant=len(meant),
        in_order=place.in_order,
        orientation=place.turned,
        trims=read.trims,
        trims_meant=meant.trims,
        stops=read.stops,
        stops_meant=meant.stops,
        faults=tuple(faults),
    )
