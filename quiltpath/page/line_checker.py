"""A process beside the page's own that looks for the widest gaps while lines are put in order."""

from __future__ import annotations

import os
import signal
from collections.abc import Callable
from concurrent.futures import Future, ProcessPoolExecutor
from concurrent.futures.process import BrokenProcessPool
from functools import cache, partial

from quiltpath.checks import Gaps, LineChecks, check_lines, find_gaps
from quiltpath.geometry.runner_shapes import Runner
from quiltpath.patterns import Lines
from quiltpath.process import look_seldom_for_garbage
from quiltpath.worker_pool import fresh_processes


def submit_checks(runner: Runner, lines: Lines) -> Callable[[], LineChecks]:
    """Begin to look for the gaps of ``lines``; what it returns makes the other checks and waits."""
    pool = _pool()
    if pool is None:
        return partial(check_lines, runner, lines)
    here = partial(find_gaps, lines.geometry, runner.outline)
    try:
        found = pool.submit(find_gaps, lines.geometry, runner.outline)
    except RuntimeError:  # the other process is gone
        return partial(check_lines, runner, lines)
    return partial(check_lines, runner, lines, gaps=partial(_found, found, here))


def start_worker() -> None:
    """Start the other process, so that the first question need not wait until it has loaded."""
    pool = _pool()
    if pool is not None:
        pool.submit(look_seldom_for_garbage)


def _found(found: Future[Gaps], here: Callable[[], Gaps]) -> Gaps:
    try:
        return found.result()
    except BrokenProcessPool:
        return here()


@cache
def _pool() -> ProcessPoolExecutor | None:
    """One for all sessions; none where it would only take turns with this process."""
    return fresh_processes(1, _leave_ctrl_c) if (os.cpu_count() or 1) > 1 else None


def _leave_ctrl_c() -> None:
    """Ctrl+C is for the process that started this one, which then ends it."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)
