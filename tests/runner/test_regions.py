"""Blocks, strips, cornerstones and border by name, kind and place, on a grid laid out by hand."""

from __future__ import annotations

import pytest
from shapely.geometry import box

from quiltpath.errors import InputError
from quiltpath.geometry.runner_shapes import RegionKind, Runner
from quiltpath.project import parse
from quiltpath.runner import build
from quiltpath.runner.grid import column_letter


def grid(*, cornerstones: bool, border: float = 0.0, across: int = 2) -> Runner:
    """3 x 2 blocks of 100 mm, 20 mm of sashing, 15 mm of outer sashing, a border of 10 mm."""
    length = 3 * 100 + 2 * 20 + 2 * 15 + 2 * border
    width = across * 100 + (across - 1) * 20 + 2 * 15 + 2 * border
    return build(
        parse(
            f"""units = "mm"
[runner]
length = {length}
width = {width}
[grid]
along = 3
across = {across}
block = 100
sashing = 20
outer_sashing = 15
border = {border}
cornerstones = {str(cornerstones).lower()}
"""
        )
    )


def bounds(runner: Runner, prefix: str) -> dict[str, tuple[float, ...]]:
    return {
        region.name: tuple(round(side, 6) for side in region.shape.bounds)
        for region in runner.regions
        if region.name.startswith(prefix)
    }


COLUMNS = {"A": (15.0, 115.0), "B": (135.0, 235.0), "C": (255.0, 355.0)}
UPRIGHT = [(0.0, 15.0), (115.0, 135.0), (235.0, 255.0), (355.0, 370.0)]
LEVEL = [(0.0, 15.0), (115.0, 135.0), (235.0, 250.0)]
ROWS = [(15.0, 115.0), (135.0, 235.0)]


@pytest.mark.parametrize("cornerstones", [False, True])
def test_blocks_are_lettered_along_and_numbered_up(cornerstones: bool) -> None:
    runner = grid(cornerstones=cornerstones)
    for letter, (left, right) in COLUMNS.items():
        for number, (low, high) in enumerate(ROWS, start=1):
            assert bounds(runner, f"{letter}{number}") == {
                f"{letter}{number}": (left, low, right, high)
            }
    assert len(runner.blocks) == 6


def test_without_cornerstones_crosswise_strips_run_through() -> None:
    """Numbered from 1: crosswise ones from the left, then lengthwise ones from the lowest up."""
    runner = grid(cornerstones=False)
    wanted = [(left, 0.0, right, 250.0) for left, right in UPRIGHT]
    wanted += [(left, low, right, high) for low, high in LEVEL for left, right in COLUMNS.values()]
    assert bounds(runner, "sashing") == {
        f"sashing {number}": strip for number, strip in enumerate(wanted, start=1)
    }
    assert bounds(runner, "cornerstone") == {}


def test_with_cornerstones_every_strip_ends_at_them() -> None:
    runner = grid(cornerstones=True)
    wanted = [(left, low, right, high) for left, right in UPRIGHT for low, high in ROWS]
    wanted += [(left, low, right, high) for low, high in LEVEL for left, right in COLUMNS.values()]
    assert bounds(runner, "sashing") == {
        f"sashing {number}": strip for number, strip in enumerate(wanted, start=1)
    }
    stones = [(left, low, right, high) for low, high in LEVEL for left, right in UPRIGHT]
    assert bounds(runner, "cornerstone") == {
        f"cornerstone {number}": stone for number, stone in enumerate(stones, start=1)
    }


@pytest.mark.parametrize("cornerstones", [False, True])
def test_strips_at_the_outside_are_outer_sashing(cornerstones: bool) -> None:
    for region in grid(cornerstones=cornerstones).regions:
        left, low, right, high = region.shape.bounds
        if region.name.startswith("sashing"):
            outside = right <= 15 or left >= 355 or high <= 15 or low >= 235
            assert region.kind is (RegionKind.OUTER_SASHING if outside else RegionKind.SASHING)


def test_a_border_lies_round_everything_else() -> None:
    runner = grid(cornerstones=True, border=10.0)
    (border,) = [region for region in runner.regions if region.name == "border"]
    assert border.kind is RegionKind.BORDER
    assert border.shape.equals(box(0, 0, 390, 270).difference(box(10, 10, 380, 260)))
    assert bounds(runner, "A1") == {"A1": (25.0, 25.0, 125.0, 125.0)}
    assert sum(region.shape.area for region in runner.regions) == pytest.approx(390 * 270)
    assert not [region for region in grid(cornerstones=True).regions if region.name == "border"]


def test_printed_lines_run_along_every_edge_of_blocks_and_strips() -> None:
    """Inside the border and along it, from one end to the other."""
    runner = grid(cornerstones=False, border=10.0)
    found = {tuple(round(side, 6) for side in line.bounds) for line in runner.printed}
    upright = [10, 25, 125, 145, 245, 265, 365, 380]
    level = [10, 25, 125, 145, 245, 260]
    assert found == {(x, 10, x, 260) for x in upright} | {(10, y, 380, y) for y in level}
    assert len(runner.printed) == len(upright) + len(level)


def test_columns_are_lettered_as_in_a_ledger() -> None:
    """Against counting: A to Z, then AA to AZ, BA and so on."""
    alphabet = "ABCDEFGHIJKLMNOPQRSTUVWXYZ"
    names = [*alphabet, *(a + b for a in alphabet for b in alphabet)]
    assert [column_letter(index) for index in range(len(names))] == names
    assert column_letter(len(names)) == "AAA"


def measured(along: list[float], across: list[float], length: float, width: float) -> Runner:
    return build(
        parse(
            f'units = "mm"\n[runner]\nlength = {length}\nwidth = {width}\n'
            f"[grid]\nprinted_along = {along}\nprinted_across = {across}\n"
        )
    )


def test_measured_lines_are_block_edges_by_turns_and_the_rest_is_outer_sashing() -> None:
    runner = measured([20, 120, 150, 240], [10, 110], 265, 118)
    assert bounds(runner, "A1") == {"A1": (20, 10, 120, 110)}
    assert bounds(runner, "B1") == {"B1": (150, 10, 240, 110)}
    assert bounds(runner, "sashing") == {
        "sashing 1": (0, 0, 20, 118),
        "sashing 2": (120, 0, 150, 118),
        "sashing 3": (240, 0, 265, 118),
        "sashing 4": (20, 0, 120, 10),
        "sashing 5": (150, 0, 240, 10),
        "sashing 6": (20, 110, 120, 118),
        "sashing 7": (150, 110, 240, 118),
    }
    kinds = {region.name: region.kind for region in runner.regions}
    assert kinds["sashing 2"] is RegionKind.SASHING
    assert kinds["sashing 1"] is kinds["sashing 7"] is RegionKind.OUTER_SASHING


def test_measured_blocks_may_reach_the_edges() -> None:
    runner = measured([0, 100, 120, 260], [0, 118], 260, 118)
    assert bounds(runner, "") == {
        "A1": (0, 0, 100, 118),
        "B1": (120, 0, 260, 118),
        "sashing 1": (100, 0, 120, 118),
    }


@pytest.mark.parametrize("along", [[-0.1, 100], [0, 262]])
def test_measured_lines_lie_on_the_runner(along: list[float]) -> None:
    with pytest.raises(InputError, match=r"outside the length"):
        measured(along, [0, 118], 260, 118)
