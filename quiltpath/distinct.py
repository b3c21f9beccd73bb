"""The distinct values of an array."""

from __future__ import annotations

from typing import TypeVar

import numpy as np
from numpy.typing import NDArray

Scalar = TypeVar("Scalar", bound=np.generic)


def distinct(values: NDArray[Scalar], axis: int | None = None) -> NDArray[Scalar]:
    """(k,) the values of an array once each, ascending; with ``axis`` 0 its rows, (k, ...).

    They are counted as well, though nobody asks: without that numpy first loads its masked arrays
    to rule them out, which takes longer than the whole search in a small job.
    """
    return np.unique(values, axis=axis, return_counts=True)[0]
