"""Pictures as files: PNG with few colours, JPEG, and both in the text of a page."""

from __future__ import annotations

import base64
import io
from typing import Any

import numpy as np
from numpy.typing import NDArray
from PIL import Image

Rgb = NDArray[np.uint8]


def png_bytes(rgb: Rgb, colours: int | None = 256, dpi: tuple[float, float] | None = None) -> bytes:
    """The picture as PNG; ``colours`` of a palette chosen for it, or None for all of them."""
    image = Image.fromarray(rgb)
    if colours is not None:
        image = _with_palette(rgb, colours)
    more = {"dpi": dpi} if dpi else {}
    return _written(image, format="PNG", compress_level=6, **more)


def _with_palette(rgb: Rgb, colours: int) -> Image.Image:
    """Median cut (Heckbert 1982) over the colours that occur, each by the root of how often, so
    that a small part in a colour of its own gets its shades; each pixel takes the nearest.

    Colours count to 128 levels of each channel, which no eye tells from 256.
    """
    fine = (rgb >> 1).astype(np.int32) @ np.array([1 << 14, 1 << 7, 1], dtype=np.int32)
    often = np.bincount(fine.ravel(), minlength=1 << 21)
    found = np.flatnonzero(often)
    every = np.stack([found >> 14, found >> 7 & 127, found & 127], axis=-1).astype(np.uint8) * 2
    shares = np.repeat(every, np.ceil(np.sqrt(often[found])).astype(np.intp), axis=0)
    cut = Image.fromarray(shares[None]).quantize(colours, Image.Quantize.MEDIANCUT, kmeans=1)
    palette = np.array(cut.getpalette(), dtype=np.uint8).reshape(-1, 3)
    index_of = np.zeros(1 << 21, dtype=np.uint8)
    index_of[found] = _nearest(every, palette)
    image = Image.fromarray(index_of[fine])
    image.putpalette(palette.tobytes())
    return image


def _nearest(every: Rgb, palette: Rgb) -> NDArray[np.intp]:
    """Index of the palette's nearest colour: |c - p|² = c² - 2 c p + p², c² the same for all."""
    wanted, offered = every.astype(np.float32), palette.astype(np.float32)
    apart = (offered**2).sum(axis=1) - 2 * wanted @ offered.T
    return apart.argmin(axis=1)


def jpeg_bytes(rgb: Rgb, quality: int = 86, *, exact_hues: bool = False) -> bytes:
    """The picture as JPEG, for pages that hold several; ``exact_hues`` keeps every pixel's own."""
    how = {"subsampling": 0} if exact_hues else {}
    return _written(Image.fromarray(rgb), format="JPEG", quality=quality, optimize=True, **how)


def data_url(rgb: Rgb, quality: int = 86, *, exact_hues: bool = False) -> str:
    """The picture as JPEG, to stand where a page names a picture's address."""
    content = jpeg_bytes(rgb, quality, exact_hues=exact_hues)
    return "data:image/jpeg;base64," + base64.b64encode(content).decode("ascii")


def _written(image: Image.Image, **how: Any) -> bytes:
    buffer = io.BytesIO()
    image.save(buffer, **how)
    return buffer.getvalue()
