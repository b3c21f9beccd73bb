"""The table of all outside checks, written from the checks themselves.

python -m tests.outside.table     writes tests/outside/CHECKS.md
"""

from __future__ import annotations

import importlib
from pathlib import Path

from tests.outside.check import CHECKS, OutsideCheck

PLACE = Path(__file__).parent / "CHECKS.md"
FIELDS = (
    "sizes",
    "lines",
    "gap",
    "stitches",
    "thread",
    "order",
    "binding",
    "cloth",
    "paper",
    "files",
    "machine",
)
HEAD = """# Checked from outside

Each row is a whole job: a project file goes in as a person would write it, and what comes out, a
file of the set or a figure of its report, is read back by somebody else's reader and held against
what somebody else says: published rules and worked examples, standards, textbooks, closed forms,
solvers. What a row's project does not say is what it is without being asked for. "Memory" stands
where a standard was not at hand, "common practice" where the trade does so and no page was found
that says it. Lengths in mm unless said; the last column is the largest difference that passes.
The tests recompute every row; `python -m tests.outside.table` writes this page, and SLIPS.md says
which faults which rows notice.
"""

WITHOUT = """## Without an outside check

Numbers that are told and that no row holds against anybody else's word. Tests of their rooms hold
each against arithmetic, against finite elements or against a carrying-out of the plan.

| number | why |
| --- | --- |
| minutes of a part on a frame or in a hoop, minutes to load it | each machine's own |
| misplacement of a stitch after hoopings, in mm | nobody's figure was found |
| loft and puff in mm of a kind of wadding | packets do not say; a swatch is a row above |
| stiffness in words | a rule of thumb, and told as one |
| pull and lean of a piece sewn one way, in mm and degrees | no published measurement was found |
| spacing that would even a piece out | drawn and measured again; its bow is a row above |
| which stretch of a line fits a printed seam best | the photo or the ruler decides |
| where several copies lie on one piece of cloth | areas are a row above; tests lay it out |
| bobbin stops of a machine file | metres of a bobbin are a row above |
| cost in money | prices are the user's own |
| a photo's corners and motifs, in mm | drawn scenes of known size, in `tests/photo` |
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
    return "\n".join([*parts, WITHOUT])


if __name__ == "__main__":
    PLACE.write_text(table(), encoding="utf-8", newline="\n")
