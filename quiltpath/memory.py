"""How often the interpreter looks for circular garbage."""

from __future__ import annotations

import gc

NEW_OBJECTS = 100_000
"""Made since the last look and still there; the interpreter's own figure is some hundreds."""


def look_seldom_for_garbage() -> None:
    """Leave what is loaded now out of the search for circular garbage, and search seldom.

    Points and geometries are many and make no circles, so that each search finds nothing; the
    searches of one small job took longer than its routing. What is not circular is freed at once
    all the same.
    """
    gc.freeze()
    gc.set_threshold(NEW_OBJECTS)
