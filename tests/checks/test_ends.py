"""Starts and stops that show."""

from __future__ import annotations

import pytest
from shapely.geometry import LineString, MultiPolygon, Point

from quiltpath.checks import CheckLimits
from quiltpath.checks.needle_checks import ends_on_show
from quiltpath.geometry.runner_shapes import PlacedMotif
from tests.checks.sewing import RUNNER, join_at, lines_of, runner_of, runs_of

LIMITS = CheckLimits()
MIDDLE = [(300, 160), (500, 160)]


def test_a_line_secured_in_the_open_shows_at_both_ends() -> None:
    (finding,) = ends_on_show(runner_of(), lines_of(MIDDLE), runs_of(MIDDLE), LIMITS)
    assert finding.code == "ends-on-show" and "2 starts and stops" in finding.message
    assert finding.at_mm in [(300, 160), (500, 160)]
    assert "bury" in finding.remedy


def test_one_end_is_one_start_or_stop() -> None:
    runs = runs_of(MIDDLE, secured=(True, False))
    (finding,) = ends_on_show(runner_of(), lines_of(MIDDLE), runs, LIMITS)
    assert finding.message == "1 start or stop shows" and finding.at_mm == (300, 160)


@pytest.mark.parametrize(
    "path",
    [
        [(4, 160), (796, 160)],  # under the binding
        [(-20, 160), (820, 160)],  # in the wadding's margin
    ],
)
def test_ends_at_the_edge_do_not_show(path: list[tuple[float, float]]) -> None:
    assert ends_on_show(runner_of(), lines_of(path), runs_of(path), LIMITS) == ()


def test_ends_on_sashing_on_a_seam_and_on_a_motifs_outline_do_not_show() -> None:
    runs, lines = runs_of(MIDDLE), lines_of(MIDDLE)
    sashing = LineString([(300, 0), (300, 320)])
    circle = Point(550, 160).buffer(50, quad_segs=64)
    motif = PlacedMotif("leaf", "B1", MultiPolygon([circle]), (LineString(circle.exterior),))
    hidden = runner_of(printed=(sashing,), motifs=(motif,))
    assert ends_on_show(hidden, lines, runs, LIMITS) == ()
    seamed = runner_of(seams=(join_at(500),), printed=(sashing,))
    assert ends_on_show(seamed, lines, runs, LIMITS) == ()


def test_an_end_beside_the_sashing_line_shows_all_the_same() -> None:
    beside = LineString([(297, 0), (297, 320)])
    (finding,) = ends_on_show(
        runner_of(printed=(beside,)), lines_of(MIDDLE), runs_of(MIDDLE), LIMITS
    )
    assert "2 starts" in finding.message


def test_ends_on_a_line_that_may_be_retraced_do_not_show() -> None:
    ring = lines_of([(300, 0), (300, 320), (500, 320), (500, 0), (300, 0)], retraceable=True)
    assert ends_on_show(runner_of(RUNNER), ring, runs_of(MIDDLE), LIMITS) == ()


def test_ends_that_need_no_securing_are_not_looked_at() -> None:
    runs = runs_of(MIDDLE, secured=(False, False))
    assert ends_on_show(runner_of(), lines_of(MIDDLE), runs, LIMITS) == ()
    assert ends_on_show(runner_of(), lines_of(), runs_of(), LIMITS) == ()


def test_of_many_ends_the_one_nearest_the_middle_is_named() -> None:
    paths = [[(50, 160), (750, 160)], [(200, 100), (390, 165)]]
    (finding,) = ends_on_show(runner_of(), lines_of(*paths), runs_of(*paths), LIMITS)
    assert finding.at_mm == (390, 165) and "4 starts" in finding.message


@pytest.mark.parametrize(("inside", "shown"), [(6.35, False), (6.36, True)])
def test_a_quarter_inch_inside_the_edge_the_binding_covers_an_end(
    inside: float, shown: bool
) -> None:
    """A binding shows a quarter of an inch (common practice)."""
    path = [(inside, 160), (400, 160)]
    runs = runs_of(path, secured=(True, False))
    assert len(ends_on_show(runner_of(), lines_of(path), runs, LIMITS)) == shown
