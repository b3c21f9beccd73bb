"""Where something lies, in words that lead a hand to it; by hand for two blocks of 200 mm."""

from __future__ import annotations

import pytest

from quiltpath.project import parse
from quiltpath.runner import build
from quiltpath.runner.places import lean_words, place_on, places_in_words
from quiltpath.units import Measures

TWO_BLOCKS = """
[runner]
length = "460 mm"
width = "240 mm"
[grid]
along = 2
block = "200 mm"
sashing = "20 mm"
outer_sashing = "20 mm"
"""


@pytest.mark.parametrize(
    ("at_mm", "said"),
    [
        ((26, 210), "block A1, 6 mm from its left edge, 10 mm below its upper edge"),
        ((430, 30), "block B1, 10 mm from its right edge, 10 mm above its lower edge"),
        ((225, 60), "5 mm to the right of block A1, 40 mm above its lower edge"),
        ((60, 10), "10 mm below block A1, 40 mm from its left edge"),
        ((5, 5), "beyond the lower left corner of block A1"),
        ((60, -12), "12 mm below the runner, 60 mm from its left edge"),
        ((21, 219), "at the upper left corner of block A1"),
        ((219, 60), "on the right edge of block A1, 40 mm above its lower edge"),
        ((470, 200), "10 mm to the right of the runner, 40 mm below its upper edge"),
    ],
)
def test_a_place_is_told_from_edges_that_can_be_seen(at_mm: tuple[float, float], said: str) -> None:
    assert place_on(build(parse(TWO_BLOCKS)), at_mm, Measures("metric")) == said


def test_inches_where_inches_are_asked_for() -> None:
    runner = build(parse('runner = { length = "24 in", width = "10 in" }'))
    said = place_on(runner, (25.4, 3 * 25.4), Measures("inches"))
    assert said == "1 in from the runner's left edge, 3 in above its lower edge"


@pytest.mark.parametrize(
    ("places", "said"),
    [
        (["sashing 1"], "left of A1"),
        (["sashing 2"], "between A1 and B1"),
        (["sashing 3"], "right of B1"),
        (["A1", "B1"], "A1, B1"),
    ],
)
def test_a_strip_is_told_by_the_blocks_beside_it(places: list[str], said: str) -> None:
    assert places_in_words(build(parse(TWO_BLOCKS)), places) == said


@pytest.mark.parametrize(
    ("angle", "said"),
    [
        (0.0, "along the runner"),
        (90.0, "across the runner"),
        (30.0, "at 30 degrees, rising to the right"),
        (45.0, "on the diagonal, rising to the right"),
        (135.0, "on the diagonal, rising to the left"),
        (150.0, "at 30 degrees, rising to the left"),
    ],
)
def test_an_angle_is_told_as_it_is_seen(angle: float, said: str) -> None:
    assert lean_words(angle) == said
