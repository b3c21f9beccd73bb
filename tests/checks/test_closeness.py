"""Rows of stitching closer than the foot can follow."""

from __future__ import annotations

import re

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from quiltpath.checks import CheckLimits
from quiltpath.checks.line_spacing import lines_too_close
from tests.checks.sewing import lines_of

LIMITS = CheckLimits()


def level(y: float, low: float = 0, high: float = 300) -> list[tuple[float, float]]:
    return [(low, y), (high, y)]


@given(apart=st.floats(0.5, 2.9), angle=st.floats(0, np.pi))
@settings(max_examples=40, deadline=None)
def test_two_lines_nearer_than_the_foot_allows_are_named_with_distance_and_place(
    apart: float, angle: float
) -> None:
    turn = np.array([[np.cos(angle), np.sin(angle)], [-np.sin(angle), np.cos(angle)]])
    pair = [np.array(level(y)) @ turn for y in (0.0, apart)]
    (finding,) = lines_too_close(lines_of(*pair), LIMITS)
    assert finding.code == "lines-too-close" and not finding.fails
    said = float(re.search(r"([\d.]+) mm apart", finding.message)[1])  # type: ignore[index]
    assert abs(said - apart) <= 0.05 + 1e-6
    assert finding.at_mm is not None
    place = turn @ np.array(finding.at_mm)
    assert -1e-6 < place[0] < 300 and -1e-6 < place[1] < apart + 1e-6


@given(apart=st.floats(3.0, 50))
@settings(max_examples=25, deadline=None)
def test_lines_as_far_apart_as_the_foot_allows_are_silent(apart: float) -> None:
    assert lines_too_close(lines_of(level(0), level(apart), level(2 * apart)), LIMITS) == ()


def test_eighth_inch_rows_are_sewn_on_purpose() -> None:
    """Rows at 1/8 in, matchstick fashion (common practice), are not complained of."""
    rows = [level(3.175 * row) for row in range(40)]
    assert lines_too_close(lines_of(*rows), LIMITS) == ()


def test_crossing_and_meeting_lines_are_silent() -> None:
    crosshatch = [level(y) for y in range(0, 300, 20)]
    crosshatch += [[(x, 0), (x, 300)] for x in range(0, 300, 20)]
    star = [[(0, 0), (200 * np.cos(a), 200 * np.sin(a))] for a in np.radians(range(0, 90, 5))]
    assert lines_too_close(lines_of(*crosshatch), LIMITS) == ()
    assert lines_too_close(lines_of(*star), LIMITS) == ()


def test_lines_that_lie_on_each_other_are_routings_business() -> None:
    assert lines_too_close(lines_of(level(0), level(0.1)), LIMITS) == ()


def test_two_rings_too_close_are_found() -> None:
    angle = np.linspace(0, 2 * np.pi, 181)
    circle = np.column_stack([np.cos(angle), np.sin(angle)])
    (finding,) = lines_too_close(lines_of(40 * circle, 42 * circle), LIMITS)
    assert "2.0 mm" in finding.message


def test_the_closest_of_several_places_is_the_one_named() -> None:
    drawing = lines_of(level(0), level(2.5), level(100), level(101.2), level(200), level(202))
    (finding,) = lines_too_close(drawing, LIMITS)
    assert "1.2 mm" in finding.message
    assert finding.at_mm is not None and 99 < finding.at_mm[1] < 102


@pytest.mark.parametrize("drawing", [lines_of(), lines_of(level(0))])
def test_none_and_one_line_are_silent(drawing: object) -> None:
    assert lines_too_close(drawing, LIMITS) == ()  # type: ignore[arg-type]


def told(*paths: list[tuple[float, float]]) -> str:
    """The message without the distance that the foot asks for; empty where nothing is said."""
    return "".join(finding.message for finding in lines_too_close(lines_of(*paths), LIMITS))


def test_each_line_is_looked_at_in_the_middle_of_every_inch_or_so() -> None:
    """100 mm with a corner after 30: looks at 12.5, 37.5, 62.5 and 87.5 along it. The short line
    1 mm beside the last one finds the long one, and is found by it."""
    far, bent = level(200), [(0.0, 0.0), (30.0, 0.0), (30.0, 70.0)]
    beside = [(31.0, 57.0), (31.0, 58.0)]
    (finding,) = lines_too_close(lines_of(far, bent, beside), LIMITS)
    assert finding.at_mm == pytest.approx((30.0, 57.5))
    assert finding.message.startswith("lines lie only 1.0 mm apart, the foot asks")
    assert finding.message.endswith("this at 2 places")


@pytest.mark.parametrize("first", [0, 1])
def test_a_short_line_between_two_looks_is_found_from_its_own_middle(first: int) -> None:
    both = [level(0), level(2, 140, 144)]
    (finding,) = lines_too_close(lines_of(both[first], both[1 - first]), LIMITS)
    assert finding.message.endswith("this at one place")
    assert finding.at_mm == (142.0, 2.0)


def test_a_line_beside_two_others_is_one_place_for_each_look() -> None:
    """75 mm is three looks; the two outer lines are 4 mm apart and find the middle one alone."""
    assert told(*[level(y, 0, 75) for y in (0, 2, 4)]).endswith("this at 9 places")


def test_of_very_much_line_no_more_than_20000_places_are_looked_at() -> None:
    assert told(level(0, 0, 1e6), level(2, 0, 1e6)).endswith("this at 20000 places")
    assert told(level(0, 0, 2e5), level(2, 0, 2e5)).endswith("this at 16000 places")


@pytest.mark.parametrize(("slant", "found"), [(0.0, True), (19.0, True), (21.0, False)])
def test_lines_at_more_than_20_degrees_do_not_run_beside_each_other(
    slant: float, found: bool
) -> None:
    """A short line whose middle lies 1.5 mm above the look at (12.5, 0)."""
    along = 2 * np.array([np.cos(np.radians(slant)), np.sin(np.radians(slant))])
    middle = np.array([12.5, 1.5])
    short = [tuple(middle - along), tuple(middle + along)]
    assert bool(told(level(0, 0, 25), short)) == found


def test_a_line_that_ends_just_short_of_another_s_side_does_not_run_beside_it() -> None:
    assert told(level(0, 0, 25), [(12.5, 1.0), (12.5, 26.0)]) == ""


def test_a_line_close_to_itself_is_not_looked_for() -> None:
    hairpin = [(0.0, 0.0), (100.0, 0.0), (100.0, 2.0), (0.0, 2.0)]
    assert told(hairpin, level(200)) == ""


@pytest.mark.parametrize(("apart", "found"), [(0.29, False), (0.31, True), (2.99, True)])
def test_lines_a_needle_s_width_apart_lie_on_each_other(apart: float, found: bool) -> None:
    assert bool(told(level(0), level(apart))) == found


def test_what_a_third_line_meets_is_close_to_another_all_the_same() -> None:
    """The level line meets the upright and runs beside the other level one."""
    message = told(level(0), [(300, 0), (300, 50)], level(2, 0, 200))
    assert message.endswith("this at 16 places")
