"""How work says how far it has come."""

from __future__ import annotations

from collections.abc import Callable

Tell = Callable[[str, int, int], None]
"""Called with what is being done, the steps done and the steps in all."""


def silent(what: str, done: int, of: int) -> None:
    """Tell nobody."""
