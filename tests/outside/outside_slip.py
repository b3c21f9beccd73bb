"""A fault that somebody could make, in one place of the package."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from tests.by_the_book import PROJECT


@dataclass(frozen=True)
class OutsideSlip:
    """``right`` stands once in the ``file``; ``wrong`` takes its place.

    ``asked`` are the fields whose rows are asked; without any, all rows that come past its line.
    """

    what: str
    file: str
    right: str
    wrong: str
    asked: tuple[str, ...] = ()

    @property
    def path(self) -> Path:
        return PROJECT / self.file

    @property
    def module(self) -> str:
        """``"quiltpath.units"`` for quiltpath/units.py."""
        return self.file.removesuffix(".py").replace("/", ".")

    def stands(self) -> bool:
        """Whether it can still be made."""
        return self.path.read_text(encoding="utf-8").count(self.right) == 1

    def source(self) -> str:
        """The module's text with the fault in it."""
        return self.path.read_text(encoding="utf-8").replace(self.right, self.wrong)


def slips_in(file: str, *rows: tuple[str, str, str], asked: str = "") -> tuple[OutsideSlip, ...]:
    """Slips of one file: what, what stands there, what takes its place."""
    fields = tuple(asked.split())
    return tuple(OutsideSlip(*row[:1], f"quiltpath/{file}.py", *row[1:], fields) for row in rows)
