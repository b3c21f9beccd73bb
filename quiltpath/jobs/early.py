"""The process that writes, begun before this one has loaded anything.

It loads what writing needs while this one loads and computes; what both need they load twice, side
by side.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from quiltpath.progress import Progress
from quiltpath.worker_pool import Worker

if TYPE_CHECKING:
    from quiltpath.jobs.make import Written
    from quiltpath.result.values import Result


def writing() -> Worker[Result, Written]:
    """For :func:`quiltpath.jobs.make.load_and_make`: give it a result and it writes."""
    return Worker(_write, _load)


def _write(result: Result, progress: Progress) -> Written:
    from quiltpath.jobs.make import write

    return write(result, progress)


def _load() -> None:
    from quiltpath.jobs.make import load_writers

    load_writers()
