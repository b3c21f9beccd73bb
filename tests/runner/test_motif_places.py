"""A motif lies in the middle of its block, at its size and turned as asked (closed forms)."""

from __future__ import annotations

from pathlib import Path

import pytest

from quiltpath.project import parse
from quiltpath.runner import build

PROJECT = """
[runner]
length = "700 mm"
width = "300 mm"
[grid]
along = 3
sashing = "20 mm"
outer_sashing = "10 mm"
[[motif]]
name = "tile"
file = "tile.svg"
size = "60 mm"
{where}
"""


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """A drawing of 30 by 10, so that its size is told by its longer side."""
    drawing = '<svg xmlns="http://www.w3.org/2000/svg"><path d="M5 5 h30 v10 h-30 z"/></svg>'
    (tmp_path / "tile.svg").write_text(drawing)
    return tmp_path


def test_in_every_block_it_lies_in_the_middle(folder: Path) -> None:
    """Blocks of (700 - 20 - 40) / 3 from 10 mm on, 20 mm apart."""
    runner = build(parse(PROJECT.format(where='blocks = "all"'), folder=folder))
    side = (700 - 2 * 10 - 2 * 20) / 3
    places = [motif.shape.centroid for motif in runner.motifs]
    assert [place.x for place in places] == pytest.approx(
        [10 + side / 2 + number * (side + 20) for number in range(3)]
    )
    assert [place.y for place in places] == pytest.approx([150.0] * 3)
    for motif in runner.motifs:
        low_x, low_y, high_x, high_y = motif.shape.bounds
        assert (high_x - low_x, high_y - low_y) == pytest.approx((60.0, 20.0))


def test_at_a_point_it_lies_there_and_turned_it_turns_about_its_middle(folder: Path) -> None:
    where = 'at = ["200 mm", "120 mm"]\nrotate = 90'
    (motif,) = build(parse(PROJECT.format(where=where), folder=folder)).motifs
    assert (motif.shape.centroid.x, motif.shape.centroid.y) == pytest.approx((200.0, 120.0))
    low_x, low_y, high_x, high_y = motif.shape.bounds
    assert (high_x - low_x, high_y - low_y) == pytest.approx((20.0, 60.0))


def test_at_several_points_there_is_one_at_each(folder: Path) -> None:
    where = 'at = [["200 mm", "120 mm"], ["400 mm", "180 mm"]]'
    motifs = build(parse(PROJECT.format(where=where), folder=folder)).motifs
    assert [m.shape.centroid.x for m in motifs] == pytest.approx([200.0, 400.0])
    assert [m.shape.centroid.y for m in motifs] == pytest.approx([120.0, 180.0])


def test_off_the_middle_it_lies_alike_in_every_block(folder: Path) -> None:
    middle = build(parse(PROJECT.format(where='blocks = "all"'), folder=folder))
    where = 'blocks = "all"\noffset = ["-12 mm", "30 mm"]'
    aside = build(parse(PROJECT.format(where=where), folder=folder))
    moved = [
        (after.shape.centroid.x - before.shape.centroid.x, after.shape.centroid.y - 150.0)
        for before, after in zip(middle.motifs, aside.motifs, strict=True)
    ]
    assert moved == [pytest.approx((-12.0, 30.0))] * 3


TRACED = PROJECT.replace('file = "tile.svg"\nsize = "60 mm"', "{shape}")


@pytest.mark.parametrize(("size", "side"), [("", 40.0), ('size = "80 mm"', 80.0)])
def test_a_traced_shape_is_as_large_as_it_was_traced_unless_a_size_is_given(
    size: str, side: float
) -> None:
    """A triangle 40 mm long and 30 mm high: its area is half of both multiplied."""
    corners = '[["5 mm", "7 mm"], ["45 mm", "7 mm"], ["5 mm", "37 mm"]]'
    shape = f"outline = {corners}\n{size}"
    where = 'at = ["200 mm", "120 mm"]'
    (motif,) = build(parse(TRACED.format(shape=shape, where=where))).motifs
    low_x, low_y, high_x, high_y = motif.shape.bounds
    assert (high_x - low_x, high_y - low_y) == pytest.approx((side, side * 3 / 4))
    assert ((low_x + high_x) / 2, (low_y + high_y) / 2) == pytest.approx((200.0, 120.0))
    assert motif.shape.area == pytest.approx(side * side * 3 / 8)
    assert [line.length for line in motif.outlines] == [pytest.approx(side * (1 + 0.75 + 1.25))]
