"""Work done in a child process while this one goes on, where the system makes that cheap and safe.

On Linux a forked child has everything this process has loaded, and only what is given to it, how
far it has come and its answer pass between the two. The child is begun before there is anything to
give: it loads what the work will need meanwhile. Elsewhere, or where threads are running (a forked
thread may hold a lock for ever), the same work is simply done when its answer is asked for.
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
from quiltpath.progress import Tell, silent

Given = TypeVar("Given")
Answer = TypeVar("Answer")


@dataclass(frozen=True)
class _Child:
    """A forked process, the pipe ``to`` it and the pipe ``back``."""

    process: int
    to: IO[bytes]
    back: IO[bytes]


def nothing_to_load() -> None:
    """For work that needs no more than is loaded."""


class Aside(Generic[Given, Answer]):
    """One piece of work beside this process: ``give`` it what it is about, ``answer`` waits for it.

    ``work`` gets what is given and whom to tell how far it is, and changes nothing outside; what it
    takes and returns can be pickled. Its own errors (:class:`QuiltpathError`) are raised by
    ``answer``; if the child fails in any other way the work is done again here, so that the failure
    shows where it can be seen. ``load`` imports what the work needs. A context manager: a child
    that is not asked for its answer ends with it.
    """

    def __init__(
        self, work: Callable[[Given, Tell], Answer], load: Callable[[], None] = nothing_to_load
    ) -> None:
        self._work = work
        self._child = _begun(work, load) if _is_safe() else None
        self._given: list[Given] = []

    def give(self, given: Given) -> None:
        """Begin the work on ``given``."""
        self._given = [given]
        if self._child is not None:
            _send(self._child.to, self._given)

    def answer(self, tell: Tell = silent) -> Answer:
        """What the work returns for what was given."""
        told = None if self._child is None else _heard(self._child.back, tell)
        self.close()
        if told is None:
            return self._work(self._given[0], tell)
        if isinstance(told[0], QuiltpathError):
            raise told[0]
        answer: Answer = told[0]
        return answer

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


def _heard(back: IO[bytes], tell: Tell) -> list[Any] | None:
    """The child's answer in a list, or None where it ended without; its progress is passed on."""
    try:
        while isinstance(message := pickle.load(back), tuple):
            tell(*message)
    except (EOFError, pickle.UnpicklingError):
        return None
    return list(message)


def _is_safe() -> bool:
    one_thread = threading.active_count() == 1
    return sys.platform.startswith("linux") and one_thread and (os.cpu_count() or 1) > 1


def _begun(work: Callable[[Given, Tell], object], load: Callable[[], None]) -> _Child:
    """Fork; the child ends without tidying up what is not its own."""
    given, giving = os.pipe()
    reading, writing = os.pipe()
    with warnings.catch_warnings():
        # The arithmetic library keeps threads of its own, and is made to be forked.
        warnings.simplefilter("ignore", DeprecationWarning)
        child = os.fork()
    if child:
        os.close(given)
        os.close(writing)
        return _Child(child, os.fdopen(giving, "wb"), os.fdopen(reading, "rb"))
    try:
        os.close(giving)
        os.close(reading)
        load()
        with os.fdopen(given, "rb") as to, os.fdopen(writing, "wb") as back:
            _serve(work, to, back)
    finally:
        os._exit(0)


def _serve(work: Callable[[Given, Tell], object], to: IO[bytes], back: IO[bytes]) -> None:
    """In the child: the work on what is given. A list comes and a list goes."""
    (given,) = pickle.load(to)
    try:
        answer = work(given, lambda *step: _send(back, step))
    except QuiltpathError as error:
        answer = error
    _send(back, [answer])
