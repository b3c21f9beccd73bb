"""Other processes for work that falls into parts, where a second core would lie idle.

The command line's begin as copies of its own. All others are fresh ones, since copying a process
that runs threads is not safe: each loads what its work needs, which takes half a second, so that
only work of seconds is worth it.
"""

from __future__ import annotations

import os
import threading
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import ProcessPoolExecutor
from concurrent.futures.process import BrokenProcessPool
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


def begin_beside(work: Callable[[Task], Done], task: Task) -> Callable[[], Done] | None:
    """Begin ``work`` in a copy of this process; what is returned waits for its answer.

    For work of parts of a second, so None where it would have to be a fresh process or take turns
    with this one. As with :func:`map_in_parallel`, an error is raised here, and work that ends
    without an answer is done again here.
    """
    if not may_be_copied() or (os.cpu_count() or 1) < 2:
        return None
    pool = _copies(1)
    answer = pool.submit(work, task)

    def wait() -> Done:
        try:
            return answer.result()
        except BrokenProcessPool:
            return work(task)
        finally:
            pool.shutdown()

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
