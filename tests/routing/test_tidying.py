"""What is sloppy in a drawing is put right before sewing, and each change is told."""

import numpy as np
import pytest
from shapely.geometry import LineString, Point, box

from quiltpath.quilting.lines import LineRole, Lines, join, layer_lines
from quiltpath.routing import POLICIES, PieceKind, Policy, route

RUNNER = box(0, 0, 400, 200)


def fill(*shapes: object) -> Lines:
    return layer_lines([LineString(shape) for shape in shapes], name="fill")


def sew(lines: Lines, policy: Policy | None = None) -> tuple[int, float, list[str]]:
    """Runs, length sewn, and the codes of what was changed."""
    runs = route(lines, policy or Policy(), RUNNER, 30.0)
    codes = [change.code for change in runs.changes]
    return len(runs), runs.kind_length_mm(PieceKind.LINE), codes


def test_a_hairline_gap_is_closed_and_told() -> None:
    count, length, codes = sew(fill([(10, 50), (100, 50)], [(100.1, 50), (200, 50)]))
    assert (count, codes) == (1, ["gap-closed"])
    assert length == pytest.approx(190)


def test_a_gap_wider_than_the_tolerance_stays() -> None:
    count, _, codes = sew(fill([(10, 50), (100, 50)], [(100.5, 50), (200, 50)]))
    assert (count, codes) == (2, [])


def test_a_ring_that_misses_a_line_by_a_hair_is_joined_to_it_and_told() -> None:
    ring = np.array(Point(100, 100).buffer(40).exterior.coords)
    count, _, codes = sew(fill([(20, 140.1), (200, 140.1)], ring))
    assert (count, codes) == (1, ["gap-closed"])


def test_two_layers_with_the_same_line_sew_it_once_with_the_earlier_role() -> None:
    hold = layer_lines([LineString([(0, 50), (400, 50)])], name="sashing", role=LineRole.HOLD)
    lines = join([fill([(400, 50), (0, 50)], [(0, 90), (400, 90)]), hold])
    runs = route(lines, POLICIES["walking-foot"], RUNNER, 30.0)
    assert sorted(runs.piece_line) == [1, 2], "the hold line is sewn, its double is not"
    assert [change.code for change in runs.changes] == ["sewn-once"]
    assert "fill lies on sashing for 400 mm" in runs.changes[0].message


def test_a_scrap_shorter_than_a_stitch_is_dropped_where_it_stands_alone() -> None:
    count, length, codes = sew(fill([(10, 50), (100, 50)], [(150, 90), (151, 90)]))
    assert (count, codes) == (1, ["short-dropped"])
    assert length == pytest.approx(90)


def test_a_scrap_between_two_lines_joins_them() -> None:
    count, length, codes = sew(
        fill([(10, 50), (100, 50)], [(100, 50), (101, 51)], [(101, 51), (200, 51)])
    )
    assert (count, codes) == (1, ["short-joined"])
    assert length == pytest.approx(90 + np.sqrt(2) + 99)


def test_a_whisker_at_a_junction_is_dropped() -> None:
    count, _, codes = sew(
        fill([(10, 50), (100, 50)], [(100, 50), (200, 50)], [(100, 50), (100, 51)])
    )
    assert (count, codes) == (1, ["short-dropped"])


def test_a_line_without_length_is_told_and_left_out() -> None:
    count, _, codes = sew(fill([(10, 50), (10, 50)], [(10, 90), (100, 90)]))
    assert (count, codes) == (1, ["short-dropped"])


def test_changes_name_their_place() -> None:
    runs = route(fill([(10, 50), (100, 50)], [(100.1, 50), (200, 50)]), Policy(), RUNNER, 30.0)
    assert runs.changes[0].at_mm == pytest.approx((100.0, 50.0), abs=0.2)
    assert "fill" in runs.changes[0].message
