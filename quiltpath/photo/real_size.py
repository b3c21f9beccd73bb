"""How large a quilted piece really is, from a sheet of paper that lies beside it in the photo."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from quiltpath.errors import InputError
from quiltpath.photo.corners import Corners, find_corners
from quiltpath.photo.projective import inverse, map_points
from quiltpath.photo.reading import Photo, Points
from quiltpath.photo.straighten import view_of

SHEETS_MM = {"A4": (297.0, 210.0), "Letter": (279.4, 215.9)}
"""ISO 216; ANSI/ASME Y14.1 size A."""

LOFT_SHARE = 0.002
"""The piece's face lies some mm above the table, and so a little nearer to the camera: 3 mm of
1.5 m."""


@dataclass(frozen=True)
class RealSize:
    """``length_mm`` and ``width_mm`` of the piece, each true within ``error_share`` of itself."""

    length_mm: float
    width_mm: float
    error_share: float

    def drawn_up(self, planned_length_mm: float, planned_width_mm: float) -> tuple[float, float]:
        """Shares of length and width that quilting took; below 0 where the piece is larger."""
        return 1 - self.length_mm / planned_length_mm, 1 - self.width_mm / planned_width_mm


def real_size(
    photo: Photo, piece: Corners, sheet_mm: tuple[float, float], ratio: float
) -> RealSize:
    """The piece's size from a sheet of paper beside it, in the same plane.

    ``piece`` are its corners, ``ratio`` its length over its width, roughly. Raises
    :class:`InputError` where the sheet does not stand out, or lies so that it says nothing.
    """
    try:
        sheet = find_corners(photo, max(sheet_mm), min(sheet_mm), beside=piece.at_px)
    except InputError:
        fault = "no sheet of paper stands out beside the piece"
        remedy = "lay it flat on the table, clear of the piece and the picture's edge"
        raise InputError(photo.name, "sheet", fault, remedy) from None
    view = view_of(piece.at_px, ratio, 1.0, piece.lens)
    corners = map_points(inverse(view.to_flat), piece.lens.straight(sheet.at_px))
    along, across = _scales(corners, (max(sheet_mm), min(sheet_mm)), photo.name)
    px = float(np.median(sheet.error_px))
    side_px = float(np.hypot(*(sheet.at_px[3] - sheet.at_px[0])))
    return RealSize(along * ratio, across, float(np.hypot(1.5 * px / side_px, LOFT_SHARE)))


def _scales(corners: Points, sheet_mm: tuple[float, float], name: str) -> tuple[float, float]:
    """mm of a unit along and across, from the corners (4, 2) of a rectangle of known sides.

    A side (u, v) is sqrt((a u)^2 + (b v)^2) long, and two that meet are square to each other:
    a^2 and b^2 by least squares.
    """
    sides = np.roll(corners, -1, axis=0) - corners
    wanted = np.array([sheet_mm[0], sheet_mm[1]] * 2)
    rows = np.vstack([sides**2 / wanted[:, None] ** 2, sides * np.roll(sides, -1, axis=0)])
    rows[4:] /= sheet_mm[0] * sheet_mm[1]
    squares, _, rank, _ = np.linalg.lstsq(rows, np.repeat([1.0, 0.0], 4), rcond=1e-9)
    if rank < 2 or (squares <= 0).any():
        fault = "the sheet lies so that it does not tell length from width"
        raise InputError(name, "sheet", fault, "lay its edges along those of the piece")
    along, across = np.sqrt(squares)
    return float(along), float(across)
