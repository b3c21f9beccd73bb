"""Where a line must be cut between two passes, and what hides the cut, on lines drawn by hand."""

from __future__ import annotations

import numpy as np
import pytest
from shapely.geometry import LineString

from quiltpath.machine.pass_bands import HidingGrade, Places, Spans, cutting_places, spans_of

ZONE = (40.0, 60.0)


def shapes(*lines: list[tuple[float, float]]) -> np.ndarray:
    return np.array([None, *map(LineString, lines)], dtype=object)[1:]


def spans(*lines: list[tuple[float, float]], zone: tuple[float, float] = ZONE) -> Spans:
    return spans_of(shapes(*lines), np.arange(len(lines)), zone)


def heights(*y: float) -> list[tuple[float, float]]:
    """A line straight up and down, so that arc lengths are sums of heights."""
    return [(0.0, at) for at in y]


@pytest.mark.parametrize(
    ("line", "wanted"),
    [
        (heights(0, 100), [(40, 60, True)]),
        (heights(100, 0), [(40, 60, False)]),
        (heights(0, 100, 0), [(40, 60, True), (140, 160, False)]),
        (heights(0, 50, 0), []),
        (heights(45, 55), []),
        (heights(0, 50, 10, 100), [(120, 140, True)]),
        (heights(0, 50, 45, 100), [(40, 70, True)]),
        (heights(100, 50, 55, 0), [(40, 70, False)]),
        ([(0, 0), (0, 40), (5, 40), (5, 60), (5, 100)], [(40, 65, True)]),
        ([(0, 40), (0, 100)], []),
        ([(0, 39), (0, 61)], [(1, 21, True)]),
        ([(0, 0), (0, 60), (5, 60), (5, 50), (5, 100)], [(40, 85, True)]),
        ([(0, 100), (0, 40), (5, 40), (5, 50), (5, 0)], [(40, 85, False)]),
        ([(0, 0), (75, 100)], [(50, 75, True)]),
    ],
)
def test_a_span_runs_from_the_last_below_to_the_first_above(
    line: list[tuple[float, float]], wanted: list[tuple[float, float, bool]]
) -> None:
    """Zone from 40 to 60. The last is a 3-4-5 slant: 125 long, 100 high."""
    found = spans(line)
    got = zip(found.low.tolist(), found.high.tolist(), found.upwards.tolist(), strict=True)
    assert [(*map(pytest.approx, span[:2]), span[2]) for span in wanted] == list(got)
    assert len(found) == len(wanted)
    for shape, (low, high, _) in zip(found.shape, wanted, strict=True):
        assert shape.length == pytest.approx(high - low)


def test_only_the_lines_asked_for_are_looked_at() -> None:
    drawn = shapes(heights(0, 100), heights(0, 100), heights(0, 20))
    assert spans_of(drawn, np.array([1, 2]), ZONE).line.tolist() == [1]


def told(places: Places) -> set[tuple[int, int, int, float, float]]:
    return {
        (int(span), int(hiding), int(partner), float(x), float(y))
        for span, hiding, partner, (x, y) in zip(
            places.span, places.hiding, places.partner, places.point, strict=True
        )
    }


def test_crossings_hide_a_cut_the_better_where_thread_can_go_on() -> None:
    """Two uprights in the zone; a lengthwise line at 50 that can be joined, one at 55 that cannot,
    and a printed line at 47."""
    drawn = shapes(
        [(10, 0), (10, 100)], [(30, 0), (30, 100)], [(0, 50), (40, 50)], [(0, 55), (20, 55)]
    )
    found = cutting_places(
        spans_of(drawn, np.array([0, 1]), ZONE),
        drawn,
        np.array([True, True, True, False]),
        [LineString([(20, 47), (40, 47)])],
    )
    assert told(found) == {
        (0, HidingGrade.JOINS, 2, 10.0, 50.0),
        (1, HidingGrade.JOINS, 2, 30.0, 50.0),
        (0, HidingGrade.CROSSES, 3, 10.0, 55.0),
        (1, HidingGrade.CROSSES, -1, 30.0, 47.0),
    }


@pytest.mark.parametrize(("turn", "hidden"), [(29.0, False), (31.0, True), (-31.0, True)])
def test_a_corner_of_more_than_30_degrees_hides_a_cut(turn: float, hidden: bool) -> None:
    run = np.tan(np.radians(turn))
    drawn = shapes([(0, 0), (0, 50), (50 * run, 100)])
    found = cutting_places(spans_of(drawn, np.array([0]), ZONE), drawn, np.array([True]), [])
    assert told(found) == ({(0, HidingGrade.CORNER, -1, 0.0, 50.0)} if hidden else set())


@pytest.mark.parametrize(
    ("zone", "at", "chosen"),
    [
        ((40, 60), 43.9, False),
        ((40, 60), 44.0, True),
        ((40, 60), 56.0, True),
        ((40, 60), 44.1, True),
        ((40, 60), 55.9, True),
        ((40, 60), 56.1, False),
        ((40, 49), 42.9, False),  # a third of a short span
        ((40, 49), 43.1, True),
        ((40, 49), 46.1, False),
    ],
)
def test_a_cut_keeps_4_mm_from_the_ends_of_its_span(
    zone: tuple[float, float], at: float, chosen: bool
) -> None:
    drawn = shapes(heights(0, 100), [(-5, at), (5, at)])
    found = cutting_places(spans_of(drawn, np.array([0]), zone), drawn, np.ones(2, bool), [])
    assert len(found.span) == chosen


def test_nothing_to_cut_has_no_places() -> None:
    drawn = shapes(heights(0, 20), [(-5, 10), (5, 10)])
    found = cutting_places(spans_of(drawn, np.arange(2), ZONE), drawn, np.ones(2, bool), [])
    assert len(found.span) == 0


def test_a_cut_hides_best_where_thread_goes_on_then_at_a_line_then_at_a_corner() -> None:
    ranks = [HidingGrade.JOINS, HidingGrade.CROSSES, HidingGrade.CORNER, HidingGrade.OPEN]
    assert list(HidingGrade) == ranks == sorted(set(ranks))


def test_a_printed_line_hides_the_cut_of_every_line_that_crosses_it() -> None:
    """Three uprights over two sashing lines, of which the first ends before the third upright."""
    drawn = shapes(*[[(x, 0), (x, 100)] for x in (10, 30, 50)])
    sashing = [LineString([(0, 47), (40, 47)]), LineString([(0, 52), (60, 52)])]
    spans_here = spans_of(drawn, np.arange(3), ZONE)
    found = cutting_places(spans_here, drawn, np.ones(3, bool), sashing)
    crossed = {(0, 10.0, 47.0), (1, 30.0, 47.0)} | {(k, 10.0 + 20 * k, 52.0) for k in range(3)}
    assert told(found) == {(k, HidingGrade.CROSSES, -1, x, y) for k, x, y in crossed}


def test_of_many_corners_on_several_lines_each_is_found_and_no_bend_between_lines() -> None:
    """Steps of 2 mm up and to the right between 44 and 56 on the first line; one gentle bend and
    one corner on the second; the third is straight."""
    steps = [(0.0, 0.0), (0.0, 46.0), (2.0, 46.0), (2.0, 50.0), (4.0, 50.0), (4.0, 100.0)]
    bends = [(20.0, 0.0), (20.0, 48.0), (21.0, 52.0), (30.0, 52.0), (30.0, 100.0)]
    drawn = shapes(steps, bends, [(50.0, 100.0), (50.0, 0.0)])
    found = cutting_places(spans_of(drawn, np.arange(3), ZONE), drawn, np.ones(3, bool), [])
    corners = {(0, *at) for at in steps[1:5]} | {(1, *at) for at in bends[2:4]}
    assert told(found) == {(k, HidingGrade.CORNER, -1, x, y) for k, x, y in corners}
