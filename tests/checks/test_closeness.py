"""Rows of stitching closer than the foot can follow."""

from __future__ import annotations

import re

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from quiltpath.checks.closeness import lines_too_close
from quiltpath.checks.limits import CheckLimits
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
