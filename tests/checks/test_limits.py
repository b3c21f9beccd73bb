"""The figures that the checks go by, in one list: common practice, and changed only on purpose."""

from __future__ import annotations

import dataclasses

import pytest

from quiltpath.checks import CheckLimits

QUARTER_INCH, EIGHTH_INCH = 6.35, 3.175

LIMITS = {
    "gap_places": 5,
    "gap_tolerance_mm": 0.5,
    "often_washed_mm": 75.0,
    "foot_mm": 3.0,
    "join_bulk_mm": QUARTER_INCH,
    "join_angle_deg": 30.0,
    "in_the_ditch_deg": 2.0,
    "edge_mm": QUARTER_INCH,
    "beside_mm": 0.5,
    "hole_passes": 4,
    "hole_mm": 0.15,
    "density_ratio": 2.0,
    "density_window_mm": 100.0,
    "bobbin_reserve": 0.05,
}


def test_every_limit_is_what_the_trade_has() -> None:
    assert dataclasses.asdict(CheckLimits()) == LIMITS


def test_rows_an_eighth_of_an_inch_apart_may_be_sewn_on_purpose() -> None:
    assert CheckLimits().foot_mm < EIGHTH_INCH


def test_limits_are_the_sewer_s_to_change() -> None:
    changed = dataclasses.replace(CheckLimits(), hole_passes=6)
    assert changed.hole_passes == 6
    with pytest.raises(dataclasses.FrozenInstanceError):
        changed.hole_passes = 7  # type: ignore[misc]
