"""A photo of the quilted piece against its plan: where sewing strays, and what is missing."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely

from quiltpath.photo.colours import lab
from quiltpath.photo.corners import find_corners
from quiltpath.photo.overlay import PaleCopy
from quiltpath.photo.panel_photo import corner_errors_mm
from quiltpath.photo.reading import Photo, Points
from quiltpath.photo.real_size import RealSize, real_size
from quiltpath.photo.sewn_line import SewnLine, sewn_line
from quiltpath.photo.straighten import Flat, straighten_photo, view_of

REACH_MM = 8.0
"""Sewing farther from its line than this is not known as this line's."""

MISSING = 0.35
"""A line of which a smaller share is seen is missing."""

STRAYS_MM = 2.0
"""From this distance on a place is marked on the map; common practice calls 1/16 in exact."""

LEAST_PX_PER_MM = 1.2
"""Thread is about half a millimetre wide."""


@dataclass(frozen=True)
class AgainstPlan:
    """A quilted piece against its plan, in mm of the plan.

    ``lines``      as many as were planned, in their order
    ``missing``    indices of those hardly seen
    ``error_mm``   what the corners may be off, and every distance with them
    ``real``       the piece's real size, where a sheet of paper lay beside it
    ``too_coarse`` whether the photo shows too little of a thread for "missing" to be trusted
    """

    lines: tuple[SewnLine, ...]
    missing: tuple[int, ...]
    error_mm: float
    real: RealSize | None
    too_coarse: bool
    flat: Flat

    @property
    def largest_mm(self) -> float:
        """The largest distance of sewing from its line."""
        return max((line.largest_mm for line in self.lines), default=0.0)

    @property
    def worst(self) -> tuple[int, float, float] | None:
        """Index of the line that strays farthest, and where, mm; None where nothing is seen."""
        found = [(line.largest_mm, i) for i, line in enumerate(self.lines) if line.largest_mm > 0]
        if not found:
            return None
        _, index = max(found)
        line = self.lines[index]
        x, y = line.at_mm[int(np.nanargmax(np.abs(line.off_mm)))]
        return index, float(x), float(y)

    @property
    def stitch_mm(self) -> float | None:
        """Median stitch length of the lines whose stitches can be counted."""
        lengths = [line.stitch_mm for line in self.lines if line.stitch_mm is not None]
        return float(np.median(lengths)) if lengths else None


def against_plan(
    photo: Photo,
    planned_mm: Sequence[Points],
    length_mm: float,
    width_mm: float,
    *,
    sheet_mm: tuple[float, float] | None = None,
) -> AgainstPlan:
    """A photo of the piece, trimmed to the finished size, against planned lines (n, 2) in mm.

    The corners in the photo are taken for those of the plan, so that an even draw-up does not
    count as straying. Given the size of a sheet of paper beside the piece, its real size is
    measured, too. Raises :class:`InputError` as ``find_corners`` does.
    """
    corners = find_corners(photo, length_mm, width_mm)
    view = view_of(corners.at_px, length_mm, width_mm, corners.lens)
    flat = straighten_photo(photo, view)
    colours = lab(flat.pixels)
    reach = _reaches(planned_mm)
    lines = tuple(
        sewn_line(flat, colours, line, float(r)) for line, r in zip(planned_mm, reach, strict=True)
    )
    missing = tuple(i for i, line in enumerate(lines) if line.seen < MISSING)
    real = None
    if sheet_mm is not None:
        real = real_size(photo, corners, sheet_mm, length_mm / width_mm)
    error = float(np.median(corner_errors_mm(view, corners))) + 0.2 / flat.px_per_mm
    return AgainstPlan(lines, missing, error, real, flat.px_per_mm < LEAST_PX_PER_MM, flat)


def _reaches(planned_mm: Sequence[Points]) -> Points:
    """How far to look for each line: not as far as the next one."""
    paths = np.array([shapely.linestrings(line) for line in planned_mm], dtype=object)
    out = np.full(len(paths), REACH_MM)
    for i, path in enumerate(paths):
        others = np.delete(paths, i)
        if not len(others):
            break
        tree = shapely.STRtree(others)
        places = shapely.line_interpolate_point(path, np.linspace(0.05, 0.95, 25), normalized=True)
        (_, _), distance = tree.query_nearest(places, return_distance=True, all_matches=False)
        out[i] = np.clip(0.45 * float(np.median(distance)), 1.5, REACH_MM)
    return out


SEWN, STRAY, GONE = "#0072b2", "#d55e00", "#1a1a1a"


def stray_map(found: AgainstPlan) -> bytes:
    """PNG of the flat piece: sewing on its line in one colour, thick where it strays; planned
    lines that are not sewn in strokes."""
    pale = PaleCopy.of(found.flat.pixels, whiter=0.45)
    size, scale = pale.size_px, found.flat.px_per_mm * pale.share
    for line in found.lines:
        for (a, b), colour, width in _strokes(line):
            ends = [(x * scale, size[1] - y * scale) for x, y in (a, b)]
            pale.pen.line(ends, fill=colour, width=max(1, round(width * max(size) / 1600)))
    return pale.png()


def _strokes(line: SewnLine) -> list[tuple[tuple[Points, Points], str, float]]:
    """Pieces of a line to draw: ends in mm, colour, width."""
    out = []
    for i in range(len(line.at_mm) - 1):
        a, b = line.at_mm[i], line.at_mm[i + 1]
        off = line.off_mm[i : i + 2]
        if not np.isfinite(off).all():
            if i % 4 < 2:
                out.append(((a, b), GONE, 1.5))
            continue
        strays = np.abs(off).max() >= STRAYS_MM
        way = (b - a) / max(float(np.hypot(*(b - a))), 1e-9)
        left = np.array([-way[1], way[0]])
        ends = a + off[0] * left, b + off[1] * left
        out.append((ends, STRAY if strays else SEWN, 4.0 if strays else 1.8))
    return out
