"""The callback by which work says how far it has come, and the one that says it to nobody."""

from __future__ import annotations

from collections.abc import Callable

Progress = Callable[[str, int, int], None]
"""Called with what is being done, the steps done and the steps in all."""


def no_progress(what: str, done: int, of: int) -> None:
    """Pass nothing on."""
