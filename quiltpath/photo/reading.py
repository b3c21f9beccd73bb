"""Reading a photo within limits, upright as the camera held it; the file is never written to."""

from __future__ import annotations

import io
import struct
import warnings
import zlib
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from quiltpath.errors import InputError
from quiltpath.files import read_bounded

if TYPE_CHECKING:
    from PIL.Image import Image

Pixels = NDArray[np.uint8]
"""(height, width, 3) red, green and blue."""

Points = NDArray[np.float64]
"""(n, 2) x and y, in mm or in pixels as its name says."""

MOST_BYTES = 60_000_000
"""Of the file; a telephone's largest are about 30 MB."""

MOST_PIXELS = 60_000_000
"""3 bytes each once it is read, and about ten times that while it is measured."""

FEWEST_PIXELS_A_SIDE = 240

FORMATS = ("JPEG", "PNG", "WEBP")
"""What telephones and cameras write and browsers send."""

_RESAVE = "save it as an ordinary JPEG"

_BROKEN = (
    OSError, SyntaxError, ValueError, EOFError, LookupError, TypeError, ArithmeticError,
    AttributeError, struct.error, zlib.error,
)  # fmt: skip
"""What decoders raise for bytes that are not what they say."""


@dataclass(frozen=True)
class Photo:
    """``pixels`` (height, width, 3) of red, green, blue, read-only; ``name`` for messages."""

    pixels: Pixels
    name: str

    @property
    def size_px(self) -> tuple[int, int]:
        """Width and height."""
        return self.pixels.shape[1], self.pixels.shape[0]


def read_photo(path: Path | str) -> Photo:
    """The photo in a file; :class:`InputError`, one line, for what is no photo to measure."""
    path = Path(path)
    try:
        data = read_bounded(path, MOST_BYTES)
    except (OSError, ValueError) as error:
        reason = (getattr(error, "strerror", "") or "cannot be read").lower()
        raise InputError(path.name, "", reason, "check the name and the folder") from None
    if data is None:
        raise InputError(path.name, "", f"is larger than {MOST_BYTES // 10**6} MB", _RESAVE)
    return photo_of(data, path.name)


def photo_of(data: bytes, name: str = "photo") -> Photo:
    """The photo in ``data``; limits are held before its pixels are unpacked."""
    from PIL import Image

    if len(data) > MOST_BYTES:
        raise InputError(name, "", f"is larger than {MOST_BYTES // 10**6} MB", _RESAVE)
    try:
        with warnings.catch_warnings():
            # The library's own warning comes above our limit, which is told below.
            warnings.simplefilter("ignore")
            Image.init()
            with Image.open(io.BytesIO(data), formats=FORMATS) as image:
                _check(image, name)
                pixels = _upright(image)
    except Image.DecompressionBombError:
        raise _too_many(name) from None
    except _BROKEN:
        fault = "is not a whole JPEG, PNG or WebP picture"
        raise InputError(name, "", fault, _RESAVE) from None
    return photo_in_memory(pixels, name)


def photo_in_memory(pixels: Pixels, name: str = "photo") -> Photo:
    """A picture that is in memory already, held to the same limits; a copy is kept, read-only."""
    if pixels.dtype != np.uint8 or pixels.ndim != 3 or pixels.shape[2] != 3:
        fault = "is not an array of red, green and blue, one byte each"
        raise InputError(name, "", fault, "give an array of uint8, height by width by 3")
    _check_sides(pixels.shape[1], pixels.shape[0], name)
    kept = np.ascontiguousarray(pixels).copy()
    kept.flags.writeable = False
    return Photo(kept, name)


def _check(image: Image, name: str) -> None:
    _check_sides(*image.size, name)
    if image.mode.startswith(("I", "F")):
        raise InputError(name, "", "holds more than 8 bits a colour", _RESAVE)


def _check_sides(width: int, height: int, name: str) -> None:
    if width * height > MOST_PIXELS:
        raise _too_many(name)
    if min(width, height) < FEWEST_PIXELS_A_SIDE:
        fault = f"is {width} x {height} pixels, too small to measure on"
        raise InputError(name, "", fault, "give the photo as the camera took it")


def _too_many(name: str) -> InputError:
    fault = f"has more than {MOST_PIXELS // 10**6} million pixels"
    return InputError(name, "", fault, "make it smaller; 12 million are plenty")


def _upright(image: Image) -> Pixels:
    """Turned as the camera's note of how it was held says (Exif 2.32, tag 0x0112)."""
    from PIL import ImageOps

    if image.mode in ("RGBA", "LA", "PA", "P"):
        image = image.convert("RGBA").convert("RGB")
    turned = ImageOps.exif_transpose(image)
    return np.asarray(turned.convert("RGB"))
