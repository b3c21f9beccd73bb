"""The photo on the page: measured, and made a project with what a hand has corrected.

The page sends the whole of what it shows each time, so that undo is its own affair. A photo is held
in memory alone, and never changed.
"""

from __future__ import annotations

import threading
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np

from quiltpath.drawing.bitmaps import data_url
from quiltpath.errors import InputError
from quiltpath.geometry.arrays import Points
from quiltpath.page.photo_marks import corrected, points_of, shown
from quiltpath.photo.corners import find_corners, moved_corners
from quiltpath.photo.panel_photo import PanelPhoto, check_panel_size, read_between
from quiltpath.photo.project_text import project_files
from quiltpath.photo.reading import Photo, photo_of
from quiltpath.photo.straighten import straight_picture, straighten_around, widest_margin_mm
from quiltpath.photo.vision import vision
from quiltpath.units import parse_size

Part = dict[str, Any]
SHOWN_PIXELS = 4_000_000
"""Of the straightened picture on the page, with what lies round the panel."""

SHOWN_QUALITY = 88
BESIDE_SHARE = 0.14
"""So much of the panel's diagonal is shown round it, for a corner that lies outside."""

MOST_KEPT = 12
"""Measurements to which the page can go back."""

PICTURE_NAME = "panel.jpg"


@dataclass(frozen=True)
class PhotoProject:
    """A project of the panel in text, with every file that it names."""

    text: str
    files: Mapping[str, bytes]


class PagePhoto:
    """One photo, and what was measured in it. Safe to call from several threads."""

    def __init__(self) -> None:
        self._lock = threading.Lock()
        self._photo: Photo | None = None
        self._kept: dict[int, PanelPhoto] = {}
        self._count = 0

    def take(self, data: bytes) -> Part:
        """Another photo; raises :class:`InputError` for what is none, or where none can be read."""
        vision()
        photo = photo_of(data, "the photo")
        with self._lock:
            self._photo, self._kept = photo, {}
        return {"pixels": list(photo.size_px)}

    def measure(self, content: Mapping[str, Any]) -> Part:
        """What is in the photo of a panel of that ``size``, as ``"44 x 11 in"``.

        With ``corners``, mm as they lie on what was ``found`` before, it is measured between those.
        Where no panel can be told, ``said`` says why, and there are corners alone, to be moved.
        """
        with self._lock:
            if self._photo is None:
                raise InputError("the photo", "", "is not there yet", "choose it first")
            photo, said = self._photo, ""
            size = _size(content.get("size"))
            check_panel_size(photo.name, *size)
            if "corners" in content:
                before = self._found(content)
                at_px = before.view.seen(points_of(content["corners"], 4, "corners"))
                found = read_between(photo, *size, moved_corners(photo, before.corners, at_px))
            else:
                found, said = _first_look(photo, *size)
            self._count += 1
            self._kept[self._count] = found
            if len(self._kept) > MOST_KEPT:
                del self._kept[min(self._kept)]
            number = self._count
        return {"found": number, "said": said, **shown(found), **_picture(photo, found)}

    def project(self, content: Mapping[str, Any]) -> PhotoProject:
        """What ``quiltpath photo`` writes of the panel, with what the page shows of it now."""
        with self._lock:
            found = self._found(content)
        title = str(content.get("title") or "Printed panel")[:80]
        made = project_files(corrected(found, content), title, PICTURE_NAME)
        return PhotoProject(
            made.text, {**dict(made.drawings), PICTURE_NAME: straight_picture(found.flat)}
        )

    def _found(self, content: Mapping[str, Any]) -> PanelPhoto:
        wanted: Any = content.get("found")
        is_one = isinstance(wanted, int) and not isinstance(wanted, bool)
        kept = self._kept.get(wanted) if is_one else None
        if kept is None:
            raise InputError("the photo", "", "was measured anew meanwhile", "measure it again")
        return kept


def _size(text: Any) -> tuple[float, float]:
    try:
        return parse_size(str(text)[:80])
    except ValueError as error:
        raise InputError("the panel's size", "", str(error), "write it as 44 x 11 in") from None


def _first_look(photo: Photo, length_mm: float, width_mm: float) -> tuple[PanelPhoto, str]:
    """What is found without help; or corners to begin from, and why there are no others."""
    try:
        corners = find_corners(photo, length_mm, width_mm)
    except InputError as error:
        at_px = _somewhere(photo, length_mm / width_mm)
        return PanelPhoto.unmeasured(photo, length_mm, width_mm, at_px), error.fault
    return read_between(photo, length_mm, width_mm, corners), ""


def _somewhere(photo: Photo, ratio: float) -> Points:
    """A rectangle of the panel's sides in the middle of the photo."""
    wide, high = photo.size_px
    along = min(0.7 * wide, 0.7 * high * ratio)
    x, y = (wide - along) / 2, (high - along / ratio) / 2
    return np.array([(x, high - y), (wide - x, high - y), (wide - x, y), (x, y)])


def _picture(photo: Photo, found: PanelPhoto) -> Part:
    """The straightened panel with what lies round it, and the rectangle in mm that it shows."""
    wished = BESIDE_SHARE * float(np.hypot(found.length_mm, found.width_mm))
    margin = widest_margin_mm(found.view, wished)
    pixels, scale = straighten_around(photo, found.view, margin, SHOWN_PIXELS)
    high, wide = pixels.shape[:2]
    box = [-margin, -margin, wide / scale - margin, high / scale - margin]
    return {"picture": data_url(pixels, SHOWN_QUALITY), "box": [round(mm, 3) for mm in box]}
