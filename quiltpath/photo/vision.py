"""The computer-vision library, an optional extra: asked for when a photo is read, not before."""

from __future__ import annotations

from typing import Any

from quiltpath.errors import InputError

SEED = 20
"""Of the library's own random numbers: same photo, same figures."""


def vision() -> Any:
    """The library, with its random numbers at a fixed start.

    Raises :class:`InputError`, one line with the remedy, where it is not installed.
    """
    try:
        import cv2
    except ImportError:
        raise InputError(
            "",
            "",
            "photos are read with a library that is not here",
            "pip install quiltpath[photo]",
        ) from None
    cv2.setRNGSeed(SEED)
    return cv2
