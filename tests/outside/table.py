"""The table of all outside checks, written from the checks themselves.

python -m tests.outside.table     writes tests/outside/CHECKS.md
"""

from __future__ import annotations

import importlib
from pathlib import Path

from tests.outside.check import CHECKS, OutsideCheck

PLACE = Path(__file__).parent / "CHECKS.md"
FIELDS = (
    "whole_jobs",
    "thread",
    "stitches",
    "routing",
    "gap",
    "binding",
    "cloth",
    "sizes",
    "paper",
    "files",
    "patterns",
)
HEAD = """# Checked from outside

What the package says, beside what somebody else says: published rules and worked examples,
standards, textbooks, closed forms, and other people's readers and solvers. Lengths in mm unless
said. The last column is the largest difference that passes. The tests recompute every row;
`python -m tests.outside.table` writes this page.
"""


def all_checks() -> list[OutsideCheck]:
    """Every check of every field, in the order of the files."""
    for field in FIELDS:
        importlib.import_module(f"tests.outside.{field}")
    return CHECKS


def table() -> str:
    """The page as it should stand in the repository."""
    checks = all_checks()
    parts = [HEAD + f"\n{len(checks)} checks.\n"]
    for field in dict.fromkeys(check.field for check in checks):
        rows = [check.row() for check in checks if check.field == field]
        head = "| check | source | expected | got | within |\n| --- | --- | --- | --- | --- |"
        parts.append(f"## {field}\n\n{head}\n" + "\n".join(rows) + "\n")
    return "\n".join(parts)


if __name__ == "__main__":
    PLACE.write_text(table(), encoding="utf-8", newline="\n")
