"""The sheet of notes at the machine."""

from __future__ import annotations

import pytest

from quiltpath.documents.instructions.quilting_steps import one_line_tasks
from quiltpath.documents.notes import sewing_notes
from quiltpath.project import parse
from quiltpath.result.computing import compute
from quiltpath.units import Measures

PLAIN = """
[runner]
length = "1200 mm"
width = "320 mm"
size_is = "flat"
[[quilting]]
pattern = "{pattern}"
spacing = "about 1 in"
"""


def notes(pattern: str, more: str = "") -> str:
    return sewing_notes(compute(parse(PLAIN.format(pattern=pattern) + more)))


@pytest.mark.parametrize("pattern", ["square-grid", "one-line-crosshatch", "meander"])
def test_the_sheet_begins_with_the_usual_caution_and_fits_a_printed_page(pattern: str) -> None:
    text = notes(pattern)
    assert "Stop the machine before hands go near" in text and "manual comes before" in text
    assert all(len(line) <= 88 for line in text.splitlines())


def test_straight_lines_come_with_the_bar_s_setting() -> None:
    """1200 mm at about an inch: 47 gaps of 25.5 mm."""
    text = " ".join(notes("crosswise-lines").split())
    assert "the bar to the left of the needle" in text and "bar at 1 in (25.5 mm)" in text


def test_a_pattern_without_straight_lines_says_nothing_of_a_bar() -> None:
    assert "GUIDE BAR" not in notes("meander")


@pytest.mark.parametrize(("profile", "loads"), [("", False), ("longarm-small", True)])
def test_each_machine_has_the_notes_of_its_own_hands(profile: str, loads: bool) -> None:
    """No guide bar on a frame; nothing to unload at a table."""
    machine = f'[machine]\nprofile = "{profile}"\n' if profile else ""
    text = notes("crosswise-lines", machine)
    assert ("TO COUNT BEFORE UNLOADING" in text) == loads == ("[ ] " in text)
    assert ("GUIDE BAR" in text) != loads


@pytest.mark.parametrize(("spacing", "counted"), [("about 1 in", True), ("about 1/4 in", False)])
def test_only_as_many_lines_as_a_person_counts_are_to_be_counted(
    spacing: str, counted: bool
) -> None:
    """47 lines across the runner are; those that go into the hundreds are looked along beside the
    drawing."""
    project = PLAIN.replace("about 1 in", spacing).format(pattern="crosswise-lines")
    text = sewing_notes(compute(parse(f'{project}[machine]\nprofile = "longarm-small"\n')))
    boxes = [line for line in text.splitlines() if line.startswith("  [ ] ")]
    assert boxes and all(("too many to count" in line) != counted for line in boxes)
    assert all(("lines" in line) == counted for line in boxes)
    assert ("lay placement.pdf beside the piece" in " ".join(text.split())) != counted


def test_a_piece_that_leans_is_told_and_one_that_does_not_is_left_alone() -> None:
    square = notes("crosswise-lines").replace("\n    ", " ")
    assert "SQUARENESS" not in square
    leaning = notes("crosswise-lines", "angle = 45\n").replace("\n    ", " ")
    assert "leans one way" in leaning and "Square up by both diagonals" in leaning


def test_one_line_in_place_of_many_is_told() -> None:
    assert "ONE-LINE CROSSHATCH" in notes("one-line-crosshatch")


@pytest.mark.parametrize(("inset", "kept"), [("1/4 in", True), ("1 in", True), ("2 in", False)])
def test_turns_near_the_edge_are_to_be_kept_when_it_is_trimmed(inset: str, kept: bool) -> None:
    """Nobody trims by what lies farther in."""
    result = compute(parse(PLAIN.format(pattern="one-line-crosshatch") + f'inset = "{inset}"\n'))
    said = [" ".join(sewing_notes(result).split()), *one_line_tasks(result, Measures("inches"))]
    assert all("needle down" in words and ("trim outside" in words) == kept for words in said)
    assert "Baste firmly" in notes("one-line-crosshatch").replace("\n    ", " ")
