"""The bulk of the panel join: crossed squarely it is a moment, crossed on a slant it is long."""

from __future__ import annotations

import math
import re

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from quiltpath.checks import CheckLimits
from quiltpath.checks.needle_checks import shallow_crossings
from quiltpath.geometry.runner_shapes import Seam
from tests.checks.sewing import RUNNER, join_at, runner_of, runs_of

LIMITS = CheckLimits()
JOINED = runner_of(seams=(join_at(400),))


def slanting(angle_deg: float, y: float = 160.0) -> list[tuple[float, float]]:
    """A run through the join at this angle to it."""
    dx, dy = 100 * math.sin(math.radians(angle_deg)), 100 * math.cos(math.radians(angle_deg))
    return [(400 - dx, y - dy), (400 + dx, y + dy)]


@given(angle=st.floats(3, 29.9))
@settings(max_examples=25, deadline=None)
def test_a_shallow_crossing_is_named_with_angle_place_and_length_on_the_bulk(angle: float) -> None:
    (finding,) = shallow_crossings(JOINED, runs_of(slanting(angle)), LIMITS)
    assert finding.code == "join-crossed-shallow" and not finding.fails
    assert finding.at_mm == pytest.approx((400, 160))
    told = re.search(r"join at (\d+)°", finding.message)
    assert told is not None
    assert abs(int(told[1]) - angle) <= 0.5 + 1e-9  # halfway between two degrees, either


def test_the_length_on_the_bulk_is_that_of_the_slant() -> None:
    """Half an inch of opened allowances, crossed at asin(1/4), is 2 in long: 12.7 x 4."""
    angle = math.degrees(math.asin(0.25))
    (finding,) = shallow_crossings(JOINED, runs_of(slanting(angle)), LIMITS)
    assert "51 mm" in finding.message  # 50.8 to the half millimetre


@given(angle=st.floats(30, 150))
@settings(max_examples=25, deadline=None)
def test_a_crossing_at_thirty_degrees_or_more_is_silent(angle: float) -> None:
    assert shallow_crossings(JOINED, runs_of(slanting(angle)), LIMITS) == ()


def test_the_angle_can_be_set() -> None:
    runs = runs_of(slanting(40))
    assert shallow_crossings(JOINED, runs, LIMITS) == ()
    assert len(shallow_crossings(JOINED, runs, CheckLimits(join_angle_deg=45))) == 1


def test_stitching_in_the_ditch_of_the_join_is_on_purpose() -> None:
    assert shallow_crossings(JOINED, runs_of([(400, 0), (400, 320)]), LIMITS) == ()


def test_the_worst_of_several_is_named_and_all_are_counted() -> None:
    runs = runs_of(slanting(25, 100), slanting(10, 160), slanting(60, 200))
    (finding,) = shallow_crossings(JOINED, runs, LIMITS)
    assert "2 lines" in finding.message and "10°" in finding.message


def test_the_jump_from_one_run_to_the_next_is_not_sewn() -> None:
    """Two level runs whose ends lie on a slant across the join."""
    runs = runs_of([(0, 0), (380, 0)], [(420, 300), (800, 300)])
    assert shallow_crossings(JOINED, runs, LIMITS) == ()


def test_no_join_and_other_seams_are_silent() -> None:
    sashing_seam = Seam("sashing", join_at(400).line)
    runs = runs_of(slanting(10))
    assert shallow_crossings(runner_of(RUNNER), runs, LIMITS) == ()
    assert shallow_crossings(runner_of(seams=(sashing_seam,)), runs, LIMITS) == ()
