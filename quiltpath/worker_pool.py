"""Workers: child processes that work while this one goes on, where that is cheap and safe.

    with Worker(work, load) as worker:    # forked here, and loading already
        worker.submit(task)               # its task, once there is one
        ...
        done = worker.result(progress)    # waits, and passes on how far it has come

On Linux a forked child has everything this process has loaded, and only its task, its progress and
its result pass between the two. The child is begun before there is a task: it loads what the work
will need meanwhile. Elsewhere, or where threads are running (a forked thread may hold a lock for
ever), the same work is simply done when its result is asked for.
"""

from __future__ import annotations

import os
import pickle
import signal
import sys
import threading
import warnings
from collections.abc import Callable
from contextlib import suppress
from dataclasses import dataclass
from typing import IO, Any, Generic, Self, TypeVar

from quiltpath.errors import QuiltpathError
from quiltpath.progress import Progress, no_progress

Task = TypeVar("Task")
Done = TypeVar("Done")


@dataclass(frozen=True)
class _Child:
    """A forked process, the pipe ``to`` it and the pipe ``back``."""

    process: int
    to: IO[bytes]
    back: IO[bytes]


def nothing_to_load() -> None:
    """For work that needs no more than is loaded."""


class Worker(Generic[Task, Done]):
    """One piece of work in another process: ``submit`` its task, ``result`` waits for it.

    ``work`` gets the task and the callback that its progress goes to, and changes nothing outside;
    what it takes and returns can be pickled. Its own errors (:class:`QuiltpathError`) are raised by
    ``result``; if the child fails in any other way the work is done again here, so that the failure
    shows where it can be seen. ``load`` imports what the work needs. A context manager: a child
    whose result is not asked for ends with it.
    """

    def __init__(
        self, work: Callable[[Task, Progress], Done], load: Callable[[], None] = nothing_to_load
    ) -> None:
        self._work = work
        self._child = _fork(work, load) if _is_safe() else None
        self._task: list[Task] = []

    def submit(self, task: Task) -> None:
        """Begin the work on ``task``."""
        self._task = [task]
        if self._child is not None:
            _send(self._child.to, self._task)

    def result(self, progress: Progress = no_progress) -> Done:
        """What the work returns for its task."""
        received = None if self._child is None else _receive(self._child.back, progress)
        self.close()
        if received is None:
            return self._work(self._task[0], progress)
        if isinstance(received[0], QuiltpathError):
            raise received[0]
        done: Done = received[0]
        return done

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *_: object) -> None:
        self.close()

    def close(self) -> None:
        """End the child, if there is one, whatever it is at: nobody waits for it any more."""
        if self._child is None:
            return
        child, self._child = self._child, None
        os.kill(child.process, signal.SIGKILL)
        with suppress(BrokenPipeError):
            child.to.close()
        child.back.close()
        os.waitpid(child.process, 0)


def _send(pipe: IO[bytes], message: object) -> None:
    """Into the pipe at once; that the other side is gone shows when it is asked."""
    with suppress(BrokenPipeError):
        pickle.dump(message, pipe, protocol=pickle.HIGHEST_PROTOCOL)
        pipe.flush()


def _receive(back: IO[bytes], progress: Progress) -> list[Any] | None:
    """The child's result in a list, or None where it ended without; its progress is passed on."""
    try:
        while isinstance(message := pickle.load(back), tuple):
            progress(*message)
    except (EOFError, pickle.UnpicklingError):
        return None
    return list(message)


def _is_safe() -> bool:
    one_thread = threading.active_count() == 1
    return sys.platform.startswith("linux") and one_thread and (os.cpu_count() or 1) > 1


def _fork(work: Callable[[Task, Progress], object], load: Callable[[], None]) -> _Child:
    """Fork; the child ends without tidying up what is not its own."""
    task_out, task_in = os.pipe()
    reading, writing = os.pipe()
    with warnings.catch_warnings():
        # The arithmetic library keeps threads of its own, and is made to be forked.
        warnings.simplefilter("ignore", DeprecationWarning)
        child = os.fork()
    if child:
        os.close(task_out)
        os.close(writing)
        return _Child(child, os.fdopen(task_in, "wb"), os.fdopen(reading, "rb"))
    try:
        os.close(task_in)
        os.close(reading)
        load()
        with os.fdopen(task_out, "rb") as to, os.fdopen(writing, "wb") as back:
            _serve(work, to, back)
    finally:
        os._exit(0)


def _serve(work: Callable[[Task, Progress], object], to: IO[bytes], back: IO[bytes]) -> None:
    """In the child: the work on its task. A list comes and a list goes."""
    (task,) = pickle.load(to)
    try:
        done = work(task, lambda *step: _send(back, step))
    except QuiltpathError as error:
        done = error
    _send(back, [done])
