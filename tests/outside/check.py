"""One check against something that this project did not make: what, by whose word, how near."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from functools import cache
from typing import TypeVar

Value = float | int | str | tuple[float, ...] | tuple[str, ...]
Got = TypeVar("Got", bound=Callable[[], Value])


@dataclass(frozen=True)
class OutsideCheck:
    """``got`` is asked of the package; ``expected`` is what ``source`` says.

    ``within`` is the largest difference that counts as the same; 0 asks for the very value.
    """

    field: str
    what: str
    source: str
    expected: Value
    got: Callable[[], Value]
    within: float

    def holds(self) -> bool:
        """Whether the package says what the source says."""
        found, expected = _several(self.got()), _several(self.expected)
        return len(found) == len(expected) and all(
            _same(one, other, self.within) for one, other in zip(found, expected, strict=True)
        )

    def row(self) -> str:
        """The check as a row of the table, the same on every machine."""
        places = _places(self.within)
        shown = [_shown(value, places) for value in (self.expected, self.got())]
        allowed = f"{self.within:g}" if self.within else "exact"
        return f"| {self.what} | {self.source} | {' | '.join(shown)} | {allowed} |"


CHECKS: list[OutsideCheck] = []


def outside(
    field: str, what: str, source: str, expected: Value, within: float = 0.0
) -> Callable[[Got], Got]:
    """Enter a function that asks the package as a check of what ``source`` says."""

    def entered(got: Got) -> Got:
        CHECKS.append(OutsideCheck(field, what, source, expected, cache(got), within))
        return got

    return entered


def _several(value: Value) -> tuple[float | str, ...]:
    return value if isinstance(value, tuple) else (value,)


def _same(one: float | str, other: float | str, within: float) -> bool:
    if isinstance(one, str) or isinstance(other, str):
        return one == other
    return math.isfinite(one) and abs(one - other) <= within + 1e-9 * abs(other)


def _places(within: float) -> int:
    """Decimals that are the same on every machine: one less than the check asks for, or none."""
    return 4 if within == 0 else max(0, min(4, math.ceil(-math.log10(within)) - 1))


def _shown(value: Value, places: int) -> str:
    return ", ".join(
        part if isinstance(part, str) else _plain(part, places) for part in _several(value)
    )


def _plain(number: float, places: int) -> str:
    # Adding 0.0 turns a negative zero into a plain one.
    text = f"{round(number, places) + 0.0:.{max(places, 0)}f}"
    return text.rstrip("0").rstrip(".") if "." in text else text
