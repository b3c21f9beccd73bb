"""From one photo of a printed panel to what is on it, in mm, each with its error and confidence."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from quiltpath.errors import InputError
from quiltpath.photo.corners import Corners, find_corners, given_corners
from quiltpath.photo.printed_motifs import FoundMotif, UnreadBlock, find_motifs
from quiltpath.photo.reading import Photo, Points
from quiltpath.photo.sashing import PrintedLine, Sashing, find_sashing
from quiltpath.photo.straighten import Flat, PanelView, straighten_photo, view_of

SIZES_MM = (50.0, 10_000.0)
"""Between these a panel's sides may be."""

MOST_RATIO = 20.0


@dataclass(frozen=True)
class PanelPhoto:
    """What one photo says of a printed panel; mm from its lower left corner, y upwards.

    ``corners``    where its corners are in the photo
    ``view``       the map between panel and photo
    ``flat``       the panel to scale
    ``sashing``    printed lines and blocks; empty where they cannot be told
    ``motifs``     what is printed in the blocks
    ``not_found``  blocks whose print cannot be told, with the reason
    """

    name: str
    length_mm: float
    width_mm: float
    corners: Corners
    view: PanelView
    flat: Flat
    sashing: Sashing
    motifs: tuple[FoundMotif, ...]
    not_found: tuple[UnreadBlock, ...]

    @property
    def corner_errors_mm(self) -> Points:
        """(4,) lower left, lower right, upper right, upper left."""
        return corner_errors_mm(self.view, self.corners)

    @classmethod
    def unmeasured(
        cls, photo: Photo, length_mm: float, width_mm: float, corners_px: Points
    ) -> PanelPhoto:
        """Nothing but corners to begin from, none of them sure."""
        corners = replace(given_corners(photo, corners_px), confidence=np.zeros(4))
        corners = replace(corners, sides=(0.0, 0.0, 0.0, 0.0))
        view = view_of(corners.at_px, length_mm, width_mm, corners.lens)
        flat, nothing = straighten_photo(photo, view), Sashing((), ())
        return cls(photo.name, length_mm, width_mm, corners, view, flat, nothing, (), ())


def read_panel(photo: Photo, length_mm: float, width_mm: float) -> PanelPhoto:
    """The panel of that finished size in the photo.

    Raises :class:`InputError` where no single panel can be measured.
    """
    check_panel_size(photo.name, length_mm, width_mm)
    return read_between(photo, length_mm, width_mm, find_corners(photo, length_mm, width_mm))


def read_between(photo: Photo, length_mm: float, width_mm: float, corners: Corners) -> PanelPhoto:
    """The panel of that finished size between its corners in the photo."""
    view = view_of(corners.at_px, length_mm, width_mm, corners.lens)
    flat = straighten_photo(photo, view)
    base_mm = float(np.median(corner_errors_mm(view, corners)))
    sashing = _with_error(find_sashing(flat), base_mm)
    motifs, missing = find_motifs(flat, sashing.blocks)
    motifs = tuple(replace(one, error_mm=float(np.hypot(one.error_mm, base_mm))) for one in motifs)
    return PanelPhoto(
        photo.name, length_mm, width_mm, corners, view, flat, sashing, motifs, missing
    )


def corner_errors_mm(view: PanelView, corners: Corners) -> Points:
    """(4,) what the corners' errors in pixels come to on the panel."""
    unit = np.array([(0.0, 0.0), (1.0, 0.0), (1.0, 1.0), (0.0, 1.0)])
    return corners.error_px * view.mm_per_px(unit * (view.length_mm, view.width_mm))


def check_panel_size(name: str, length_mm: float, width_mm: float) -> None:
    """Raises :class:`InputError` for a size that no panel has."""
    low, high = SIZES_MM
    for key, size in (("length", length_mm), ("width", width_mm)):
        if not low <= size <= high:
            fault = f"{size:.0f} mm is no size of a panel"
            raise InputError(name, key, fault, f"give {low:.0f} to {high:.0f} mm")
    if max(length_mm, width_mm) > MOST_RATIO * min(length_mm, width_mm):
        fault = "is more than twenty times as long as wide"
        raise InputError(name, "", fault, "photograph and measure a part of it")


def _with_error(sashing: Sashing, base_mm: float) -> Sashing:
    """The corners' error is in every line, too."""

    def line(one: PrintedLine) -> PrintedLine:
        return replace(one, error_mm=float(np.hypot(one.error_mm, base_mm)))

    along, across = (tuple(map(line, lines)) for lines in (sashing.along, sashing.across))
    return Sashing(along, across)
