"""Checks of drawn lines in a process of their own, while this one finds their sewing order."""

from __future__ import annotations

import os
import signal
from collections.abc import Callable
from concurrent.futures import Future, ProcessPoolExecutor
from concurrent.futures.process import BrokenProcessPool
from functools import cache, partial
from multiprocessing import get_context

from quiltpath.checks import DrawnChecks, check_drawn
from quiltpath.process import look_seldom_for_garbage
from quiltpath.quilting import Lines
from quiltpath.runner import Runner


def begun(runner: Runner, lines: Lines) -> Callable[[], DrawnChecks]:
    """Begin to check ``lines``; what it returns waits for the answer, the same as done here."""
    here = partial(check_drawn, runner, lines)
    pool = _pool()
    if pool is None:
        return here
    try:
        found = pool.submit(check_drawn, runner, lines)
    except RuntimeError:  # the other process is gone
        return here
    return partial(_answered, found, here)


def get_ready() -> None:
    """Start the other process, so that the first question need not wait until it has loaded."""
    pool = _pool()
    if pool is not None:
        pool.submit(look_seldom_for_garbage)


def _answered(found: Future[DrawnChecks], here: Callable[[], DrawnChecks]) -> DrawnChecks:
    try:
        return found.result()
    except BrokenProcessPool:
        return here()


@cache
def _pool() -> ProcessPoolExecutor | None:
    """One for all sessions; none where it would only take turns with this process.

    A fresh process: forking one that runs threads is not safe everywhere.
    """
    if (os.cpu_count() or 1) < 2:
        return None
    return ProcessPoolExecutor(1, mp_context=get_context("spawn"), initializer=_leave_ctrl_c)


def _leave_ctrl_c() -> None:
    """Ctrl+C is for the process that started this one, which then ends it."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)
