"""Pictures of printed panels, laid where each panel lies in the flat top."""

from __future__ import annotations

from functools import lru_cache
from typing import Any

import numpy as np
from PIL import Image

from quiltpath.drawing.bitmaps import data_url
from quiltpath.drawing.relief_view import ClothPhoto, Rgb
from quiltpath.errors import InputError
from quiltpath.photo.reading import photo_of
from quiltpath.result.values import Result

SHOWN_PX_PER_MM = 1.5
"""On a page, which holds the picture in its text."""


def cloth_photos(result: Result) -> tuple[ClothPhoto, ...]:
    """The pictures of the panels that the top is joined from, each cut to what is seen of it.

    A panel's picture shows its print from edge to edge. Raises :class:`InputError` with the
    panel's key for a file that is no picture.
    """
    if not result.cutting.panel_choices:
        return ()
    choice, project = result.cutting.panel_choices[0], result.project
    number = [panel.name for panel in project.panel].index(choice.panel.name)
    picture = project.panel[number].picture
    if picture is None:
        return ()
    try:
        rgb = _pixels(project.drawing(picture), picture)
    except InputError as error:
        key, fault = f"panel[{number + 1}].picture", f"{picture}: {error.fault}"
        raise InputError(project.file_name, key, fault, error.remedy) from None
    low_x, low_y, high_x, high_y = result.runner.outline.bounds
    middle = (low_x + high_x) / 2
    foot, top = (low_y + high_y - choice.width_mm) / 2, (low_y + high_y + choice.width_mm) / 2
    wide, high = choice.panel.printed_length_mm, choice.panel.printed_width_mm
    print_foot = (low_y + high_y - high) / 2
    left, right = middle - choice.length_mm / 2, middle + choice.length_mm / 2
    inner = middle if choice.panels_used > 1 else right
    begins = left - choice.ends_off_mm(0)[0]
    print_box = ClothPhoto(rgb, begins, print_foot, begins + wide, print_foot + high)
    photos = [_part(print_box, left, foot, inner, top)]
    if choice.panels_used > 1:
        ends = right + choice.ends_off_mm(1)[1]
        print_box = ClothPhoto(rgb, ends - wide, print_foot, ends, print_foot + high)
        photos.append(_part(print_box, inner, foot, right, top))
    return tuple(photos)


@lru_cache(maxsize=4)
def _pixels(data: bytes, name: str) -> Rgb:
    return photo_of(data, name).pixels


def _part(
    photo: ClothPhoto, low_x: float, low_y: float, high_x: float, high_y: float
) -> ClothPhoto:
    """What a photo shows of a rectangle, to the pixel; no more than it shows."""
    rows, columns = photo.rgb.shape[:2]
    across, up = columns / (photo.high_x - photo.low_x), rows / (photo.high_y - photo.low_y)
    left = min(max(round((low_x - photo.low_x) * across), 0), columns - 1)
    right = min(max(round((high_x - photo.low_x) * across), left + 1), columns)
    top = min(max(round((photo.high_y - high_y) * up), 0), rows - 1)
    foot = min(max(round((photo.high_y - low_y) * up), top + 1), rows)
    return ClothPhoto(
        photo.rgb[top:foot, left:right],
        photo.low_x + left / across,
        photo.high_y - foot / up,
        photo.low_x + right / across,
        photo.high_y - top / up,
    )


def pictures_for_a_page(photos: tuple[ClothPhoto, ...]) -> list[dict[str, Any]]:
    """Each as a picture in the text of a page, with its rectangle in mm."""
    return [
        {
            "picture": data_url(_no_finer(photo)),
            "box": [
                round(edge, 2) for edge in (photo.low_x, photo.low_y, photo.high_x, photo.high_y)
            ],
        }
        for photo in photos
    ]


def _no_finer(photo: ClothPhoto) -> Rgb:
    rows, columns = photo.rgb.shape[:2]
    by = SHOWN_PX_PER_MM * (photo.high_x - photo.low_x) / columns
    if by >= 1:
        return photo.rgb
    size = max(1, round(columns * by)), max(1, round(rows * by))
    return np.asarray(Image.fromarray(photo.rgb).resize(size, Image.Resampling.LANCZOS))
