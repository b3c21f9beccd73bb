"""What a stitch file holds: size, stitches, lengths, cuts, halts, start and end."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from quiltpath.output.machine.needle_path import NeedlePath
from quiltpath.output.machine.reading import path_of, read_records
from quiltpath.output.machine.records import COLOUR_CHANGE, STOP
from quiltpath.units import MM_PER_INCH


@dataclass(frozen=True, eq=False)
class Inspection:
    """Facts of a stitch file; lengths in mm, y upwards, from the file's own origin.

    ``stitch_mm``  shortest, median and longest stitch; zeros where nothing is sewn
    ``start_mm`` / ``end_mm``  first and last needle hole
    ``path``       the holes themselves, for a picture or a comparison
    """

    extension: str
    width_mm: float
    height_mm: float
    stitches: int
    stitch_mm: tuple[float, float, float]
    sewn_mm: float
    jumps: int
    trims: int
    colour_changes: int
    stops: int
    start_mm: tuple[float, float]
    end_mm: tuple[float, float]
    path: NeedlePath

    @property
    def size_in(self) -> tuple[float, float]:
        """Width and height in inches."""
        return self.width_mm / MM_PER_INCH, self.height_mm / MM_PER_INCH


def inspect_file(contents: bytes, extension: str, where: str = "") -> Inspection:
    """The facts of a stitch file in any format that the embroidery library reads.

    ``where`` names the file in errors. Raises ``InputError``, one line, for what is no such file,
    is damaged, is too large or holds no stitches.
    """
    kind = extension.lower().lstrip(".")
    records = read_records(contents, kind, where)
    path = path_of(records, kind)
    left, low, right, high = path.bounds
    lengths = path.stitch_mm
    return Inspection(
        extension=kind,
        width_mm=right - left,
        height_mm=high - low,
        stitches=len(lengths),
        stitch_mm=_spread(lengths),
        sewn_mm=float(lengths.sum()),
        jumps=int(np.count_nonzero(path.moved[1:])),
        trims=path.trims,
        colour_changes=int(np.count_nonzero(records.command == COLOUR_CHANGE)),
        stops=int(np.count_nonzero(records.command == STOP)),
        start_mm=_point(path.holes[0]),
        end_mm=_point(path.holes[-1]),
        path=path,
    )


def _spread(lengths: NDArray[np.float64]) -> tuple[float, float, float]:
    if len(lengths) == 0:
        return 0.0, 0.0, 0.0
    return float(lengths.min()), float(np.median(lengths)), float(lengths.max())


def _point(hole: NDArray[np.float64]) -> tuple[float, float]:
    return float(hole[0]), float(hole[1])
