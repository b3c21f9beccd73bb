"""Panels and [grid] tell of one print: where they contradict each other, the sums are shown."""

from __future__ import annotations

import pytest

from quiltpath.errors import InputError
from quiltpath.project import Project, parse


def panels(
    grid: str, end_strip: float = 2, count: int = 2, more: str = "", high: int = 15
) -> Project:
    """38 in of print on 40 in of cloth, for a runner of 72 or 36 in by 14 in."""
    return parse(f"""units = "in"
[runner]
length = {36 * count}
width = 14
[[panel]]
size = "40 x {high + 2} in"
rim = 1
end_strip = {end_strip}
count = {count}
{more}
[grid]
sashing = 2
{grid}
""")


def test_blocks_of_the_grid_fill_the_print_between_the_end_strips() -> None:
    """Three blocks of 10 in and two strips of 2 are 34 in: 38 less two end strips of 2."""
    assert panels("along = 6\nblock = [10, 12]").grid is not None
    assert panels("along = 3\nblock = [10, 12]", count=1).grid is not None
    assert panels("blocks_along = [8, 10, 12]", count=1).grid is not None


@pytest.mark.parametrize(
    ("grid", "count", "told"),
    [
        ("along = 6\nblock = [9, 12]", 2, r"3 blocks with their sashing, 31 in .* 34 in"),
        ("along = 3\nblock = [11, 12]", 1, r"3 blocks with their sashing, 37 in .* 34 in"),
        ("blocks_along = [8, 10, 10]", 1, r"3 blocks with their sashing, 32 in .* 34 in"),
        ("along = 5\nblock = [10, 12]", 2, r"5 blocks along cannot be shared by two panels"),
        ("along = 3\nblock = [10, 16]", 1, r"16 in .* across, the print is 15 in"),
    ],
)
def test_a_grid_that_its_panels_do_not_have_shows_the_sum(grid: str, count: int, told: str) -> None:
    with pytest.raises(InputError, match=told):
        panels(grid, count=count)


def test_without_end_strips_the_print_must_only_hold_the_blocks() -> None:
    """Nobody said where blocks end: two panels of 38 in and 1/4 in seams have 75 1/2 in."""
    assert panels("along = 6\nblock = [10, 12]", end_strip=0).grid is not None
    with pytest.raises(InputError, match=r"6 blocks with their sashing, 76 in .* 75 1/2 in"):
        panels("along = 6\nblock = [11, 12]", end_strip=0)


def test_a_sashing_that_is_read_a_millimetre_off_is_no_contradiction() -> None:
    """A ruler's slip at each block is let pass: 3 x 1 mm."""
    assert panels("along = 3\nblock = [10.03, 12]", count=1).grid is not None
    with pytest.raises(InputError):
        panels("along = 3\nblock = [10.2, 12]", count=1)
