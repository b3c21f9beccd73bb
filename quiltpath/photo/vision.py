"""The computer-vision library, an optional extra: asked for when a photo is read, not before."""

from __future__ import annotations

from importlib.util import find_spec
from typing import Any

from quiltpath.errors import InputError

_MISSING = InputError(
    "", "", "photos are read with a library that is not here", "pip install quiltpath[photo]"
)

SEED = 20
"""Of the library's own random numbers: same photo, same figures."""


def vision() -> Any:
    """The library, with its random numbers at a fixed start.

    Raises :class:`InputError`, one line with the remedy, where it is not installed.
    """
    try:
        import cv2
    except ImportError:
        raise _MISSING from None
    cv2.setRNGSeed(SEED)
    return cv2


def missing_vision() -> str:
    """One line that says so where the library is not installed, else empty; loads nothing."""
    try:
        found = find_spec("cv2")
    except ValueError:
        found = None
    return "" if found else str(_MISSING)
