"""Work done in a child process while this one goes on, where the system makes that cheap and safe.

On Linux a forked child has everything this process has computed, and only its answer comes back.
Elsewhere, or where threads are running (a forked thread may hold a lock for ever), the same work is
simply done when its answer is asked for.
"""

from __future__ import annotations

import os
import pickle
import sys
import threading
import warnings
from collections.abc import Callable
from typing import Generic, TypeVar

from quiltpath.errors import QuiltpathError

Answer = TypeVar("Answer")


class Aside(Generic[Answer]):
    """One piece of work that began beside this process; ``answer`` waits for it.

    ``work`` takes nothing, changes nothing and returns something that can be pickled. Its own
    errors (:class:`QuiltpathError`) are raised by ``answer``; if the child fails in any other way
    the work is done again here, so that the failure shows where it can be seen.
    """

    def __init__(self, work: Callable[[], Answer]) -> None:
        self._work = work
        self._child: tuple[int, int] | None = _begun(work) if _is_safe() else None

    def answer(self) -> Answer:
        """What the work returns."""
        if self._child is None:
            return self._work()
        (child, reading), self._child = self._child, None
        with os.fdopen(reading, "rb") as pipe:
            packed = pipe.read()
        _, status = os.waitpid(child, 0)
        if status != 0 or not packed:
            return self._work()
        answer = pickle.loads(packed)
        if isinstance(answer, QuiltpathError):
            raise answer
        return answer


def _is_safe() -> bool:
    one_thread = threading.active_count() == 1
    return sys.platform.startswith("linux") and one_thread and (os.cpu_count() or 1) > 1


def _begun(work: Callable[[], object]) -> tuple[int, int]:
    """Fork; the child works, writes its answer and ends without tidying what is not its own."""
    reading, writing = os.pipe()
    with warnings.catch_warnings():
        # The arithmetic library keeps threads of its own, and is made to be forked.
        warnings.simplefilter("ignore", DeprecationWarning)
        child = os.fork()
    if child:
        os.close(writing)
        return child, reading
    status = 1
    try:
        os.close(reading)
        with os.fdopen(writing, "wb") as pipe:
            pipe.write(pickle.dumps(_answered(work), protocol=pickle.HIGHEST_PROTOCOL))
        status = 0
    finally:
        os._exit(status)


def _answered(work: Callable[[], object]) -> object:
    try:
        return work()
    except QuiltpathError as error:
        return error
