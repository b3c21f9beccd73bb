"""Other processes for work that falls into parts, where a second core would lie idle.

They are fresh ones: forking a process that runs threads is not safe everywhere. Each loads what its
work needs, which takes half a second, so that only work of seconds is worth it.
"""

from __future__ import annotations

import os
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import ProcessPoolExecutor
from concurrent.futures.process import BrokenProcessPool
from multiprocessing import get_context
from typing import TypeVar

Task = TypeVar("Task")
Done = TypeVar("Done")


def fresh_processes(number: int, begin: Callable[[], object] | None = None) -> ProcessPoolExecutor:
    """A pool of up to ``number`` processes; each calls ``begin`` first."""
    return ProcessPoolExecutor(number, mp_context=get_context("spawn"), initializer=begin)


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
    with fresh_processes(workers) as pool:
        waiting = [pool.submit(work, task) for task in tasks]
        try:
            for task, answer in zip(tasks, waiting, strict=True):
                try:
                    yield answer.result()
                except BrokenProcessPool:
                    yield work(task)
        finally:
            pool.shutdown(wait=False, cancel_futures=True)
