"""What is dear to make is made once in a run of the tests, by whichever worker comes first."""

from __future__ import annotations

import functools
import hashlib
import os
import pickle
from collections.abc import Callable
from pathlib import Path
from typing import Any, TypeVar

try:
    import fcntl
except ImportError:  # no such locks on this system: every worker makes its own
    fcntl = None  # type: ignore[assignment]

FOLDER = "QUILTPATH_TESTS_SHARE"
"""The variable that names the folder which the workers of one run share; see ``conftest.py``."""

Made = TypeVar("Made")


def once(make: Callable[..., Made]) -> Callable[..., Made]:
    """``functools.cache`` that reaches over all workers of a run.

    Arguments are words and numbers; what is made is a value that can be pickled, and nobody may
    change it.
    """

    @functools.cache
    def made(*given: Any) -> Made:
        folder = os.environ.get(FOLDER)
        if folder is None or fcntl is None:
            return make(*given)
        what = f"{make.__module__}.{make.__qualname__}{given!r}"
        kept = Path(folder) / hashlib.sha256(what.encode()).hexdigest()
        with kept.with_suffix(".lock").open("w") as lock:
            fcntl.flock(lock, fcntl.LOCK_EX)
            if not kept.exists():
                value = make(*given)
                kept.write_bytes(pickle.dumps(value))
                return value
        found: Made = pickle.loads(kept.read_bytes())
        return found

    return made
