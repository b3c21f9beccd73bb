"""Settings of a process that is the package's own: for the command line, not for library users."""

from __future__ import annotations

import gc
import os
import sys
import threading
from typing import NoReturn

NEW_OBJECTS = 100_000
"""Made since the last look and still there; the interpreter's own figure is some hundreds."""

_COPIED_SAFELY = sys.platform == "linux"
"""Elsewhere the system's own libraries may run threads that a copied process does not have."""

_own = False


def take_over() -> None:
    """The whole process is the command line's: nobody else runs threads in it."""
    global _own
    _own = True


def may_be_copied() -> bool:
    """Whether another process may begin as a copy of this one, with all that is loaded."""
    return _own and _COPIED_SAFELY and threading.active_count() == 1


def suit_a_short_job() -> None:
    """Before the first heavy import: nothing is started or looked for that no job here needs.

    No matrix is worth a second thread, and starting the threads takes longer than reading a
    project; no plugin of the validation library is used, and looking for one reads the names of
    all that is installed. Who has set either keeps it. Garbage is looked for seldom.
    """
    os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
    os.environ.setdefault("PYDANTIC_DISABLE_PLUGINS", "__all__")
    look_seldom_for_garbage()


def leave(code: int) -> NoReturn:
    """End the process at once, with nothing of what it holds taken down piece by piece.

    The system takes the memory back anyway; object by object that takes longer than drawing the
    lines. Where other processes are still at work, the way out is the usual one.
    """
    processes = sys.modules.get("multiprocessing")
    if processes is not None and processes.active_children():
        sys.exit(code)
    sys.stdout.flush()
    sys.stderr.flush()
    os._exit(code)


def look_seldom_for_garbage() -> None:
    """Leave what is loaded now out of the search for circular garbage, and search seldom.

    Points and geometries are many and make no circles, so that each search finds nothing; the
    searches of one small job took longer than its routing. What is not circular is freed at once
    all the same.
    """
    gc.freeze()
    gc.set_threshold(NEW_OBJECTS)
