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
