"""The process that writes, begun before this one has loaded anything.

It loads what writing needs while this one loads and computes; what both need they load twice, side
by side.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from quiltpath.aside import Aside
from quiltpath.telling import Tell

if TYPE_CHECKING:
    from quiltpath.make.outputs import Written
    from quiltpath.result import Result


def writing() -> Aside[Result, Written]:
    """For :func:`quiltpath.make.load_and_make`: give it a result and it writes."""
    return Aside(_write, _load)


def _write(result: Result, tell: Tell) -> Written:
    from quiltpath.make.outputs import write

    return write(result, tell)


def _load() -> None:
    from quiltpath.make.outputs import load_writers

    load_writers()
