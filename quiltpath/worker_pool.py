"""Other processes for work that falls into parts, where a second core would lie idle.

The command line's begin as copies of its own. All others are fresh ones, since copying a process
that runs threads is not safe: each loads what its work needs, which takes half a second, so that
only work of seconds is worth it.
"""

from __future__ import annotations

import os
import signal
import threading
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import ProcessPoolExecutor
from concurrent.futures.process import BrokenProcessPool
from functools import partial
from multiprocessing import get_context, parent_process
from typing import TypeVar

from quiltpath.process import may_be_copied

Task = TypeVar("Task")
Done = TypeVar("Done")


def fresh_processes(number: int, begin: Callable[[], object] | None = None) -> ProcessPoolExecutor:
    """A pool of up to ``number`` processes; each calls ``begin`` first."""
    return _pool(number, "spawn", begin)


def _copies(number: int) -> ProcessPoolExecutor:
    """A pool of ``number`` copies of this process, made when it is given its first work."""
    return _pool(number, "fork", None)


def _pool(number: int, kind: str, begin: Callable[[], object] | None) -> ProcessPoolExecutor:
    context = get_context(kind)
    return ProcessPoolExecutor(number, context, initializer=_set_up, initargs=(begin,))


def _set_up(begin: Callable[[], object] | None) -> None:
    """What each process does before its work."""
    threading.Thread(target=_end_with_parent, daemon=True).start()
    if begin is not None:
        begin()


def _end_with_parent() -> None:
    """A process whose parent was killed would wait for further work for ever."""
    parent = parent_process()
    if parent is not None:
        parent.join()
        os._exit(1)


def _end_by_ctrl_c() -> None:
    """At once and without a word: it is told by the process that began this one; who has it
    ignored, as a shell has in the background, keeps that."""
    if signal.getsignal(signal.SIGINT) is signal.default_int_handler:
        signal.signal(signal.SIGINT, signal.SIG_DFL)


class Beside:
    """A copy of this process for work of parts of a second beside this one's own.

    What that work needs is loaded there at once (``prepare``), while it is still being found out
    here what there is to do. Nothing is begun where it would have to be a fresh process or take
    turns with this one; all work is then done here. At the end of the block nobody waits for what
    has not begun.
    """

    def __init__(self, prepare: Callable[[], object]) -> None:
        can_copy = may_be_copied() and (os.cpu_count() or 1) >= 2
        self._pool = _pool(1, "fork", _end_by_ctrl_c) if can_copy else None
        if self._pool is not None:
            self._pool.submit(prepare)

    def __enter__(self) -> Beside:
        return self

    def __exit__(self, *_: object) -> None:
        if self._pool is not None:
            self._pool.shutdown(cancel_futures=True)

    def begin(self, work: Callable[[Task], Done], task: Task) -> Callable[[], Done]:
        """Begin ``work``; what is returned waits for its answer, or does it.

        As with :func:`map_in_parallel`, an error is raised where it is waited for, and work that
        ends without an answer is done again here.
        """
        here = partial(work, task)
        if self._pool is None:
            return here
        try:
            answer = self._pool.submit(work, task)
        except BrokenProcessPool:
            return here

        def wait() -> Done:
            try:
                return answer.result()
            except BrokenProcessPool:
                return here()

        return wait


def map_in_parallel(work: Callable[[Task], Done], tasks: Sequence[Task]) -> Iterator[Done]:
    """What ``work`` returns for each task, in the order of the tasks, each as soon as it is there.

    ``work`` changes nothing outside; it, what it takes and what it returns can be pickled. An error
    that it raises is raised here. Where a process ends without an answer, its work is done again
    here, so that the failure shows where it can be seen. With one task or one core nothing is
    started.
    """
    workers = min(len(tasks), os.cpu_count() or 1)
    if workers < 2:
        yield from map(work, tasks)
        return
    with _copies(workers) if may_be_copied() else fresh_processes(workers) as pool:
        waiting = [pool.submit(work, task) for task in tasks]
        try:
            for task, answer in zip(tasks, waiting, strict=True):
                try:
                    yield answer.result()
                except BrokenProcessPool:
                    yield work(task)
        finally:
            pool.shutdown(wait=False, cancel_futures=True)
