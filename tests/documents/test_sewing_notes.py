"""The sheet of notes at the machine."""

from __future__ import annotations

import pytest

from quiltpath.documents.notes import sewing_notes
from quiltpath.documents.report import sewing_report
from quiltpath.project import parse
from quiltpath.result.computing import compute

PLAIN = """
[runner]
length = "1200 mm"
width = "320 mm"
size_is = "flat"
[[quilting]]
pattern = "{pattern}"
spacing = "about 1 in"
"""


def notes(pattern: str) -> str:
    return sewing_notes(
        "Long table", sewing_report(compute(parse(PLAIN.format(pattern=pattern))).sewing)
    )


@pytest.mark.parametrize("pattern", ["square-grid", "one-line-crosshatch", "meander"])
def test_the_sheet_begins_with_the_usual_caution_and_fits_a_printed_page(pattern: str) -> None:
    text = notes(pattern)
    assert "Stop the machine before hands go near" in text and "manual comes before" in text
    assert all(len(line) <= 88 for line in text.splitlines())
    assert "[ ] section 1" in text


def test_straight_lines_come_with_the_bar_s_setting() -> None:
    """1200 mm at about an inch: 47 gaps of 25.5 mm."""
    text = " ".join(notes("crosswise-lines").split())
    assert "Bar to the left of the needle" in text and "bar at 1 in (25.5 mm)" in text
    assert "as numbered on the guide" in text and "not as numbered" not in text


def test_a_pattern_without_straight_lines_says_nothing_of_a_bar() -> None:
    assert "GUIDE BAR" not in notes("meander") and "IN BALANCE" in notes("meander")


def test_one_line_in_place_of_many_is_told() -> None:
    assert "ONE-LINE CROSSHATCH" in notes("one-line-crosshatch")
    assert "Baste firmly" in notes("one-line-crosshatch").replace("\n    ", " ")
