"""Bamboo: bars from end to end, rings set off by half a joint from bar to bar."""

from __future__ import annotations

import numpy as np
import pytest
import shapely

from tests.patterns.runners import drawn, plain


def parts(**keys: object) -> tuple[list, list]:
    """(height of each long line), (x, lower, upper) of each short one, sorted."""
    lines = drawn(plain(900, 200), "bamboo", **keys)
    level, short = [], []
    for line in lines.geometry:
        (x0, y0), (x1, y1) = shapely.get_coordinates(line)
        if y0 == y1:
            assert {x0, x1} == {0.0, 900.0}
            level.append(y0)
        else:
            assert x0 == x1
            short.append((x0, min(y0, y1), max(y0, y1)))
    return sorted(level), sorted(short)


def test_bars_and_joints_that_divide_the_runner() -> None:
    """200 mm in 4 bars of 50, 900 in 3 joints of 300: rings in the middle of each joint in the
    first and third bar, between joints in the others. A bar's edge on the runner's is not sewn."""
    level, short = parts(spacing=50, joint=300, ring=10)
    assert level == [50.0, 100.0, 150.0]
    in_the_middle, between = [150, 450, 750], [300, 600]
    wanted = [
        (x + side, 50.0 * bar, 50.0 * bar + 50.0)
        for bar, places in enumerate([in_the_middle, between, in_the_middle, between])
        for x in places
        for side in (-5.0, 5.0)
    ]
    assert np.allclose(short, sorted(wanted))


def test_bars_and_joints_that_leave_a_rest_are_centred_and_closed() -> None:
    """3 bars of 60 leave 10 mm on each side, 2 joints of 400 leave 50 mm at each end."""
    level, short = parts(spacing=60, joint=400, ring=20)
    assert level == pytest.approx([10.0, 70.0, 130.0, 190.0])
    wanted = [
        (x + side, low, low + 60.0)
        for low, places in ((10.0, [250, 650]), (70.0, [450]), (130.0, [250, 650]))
        for x in places
        for side in (-10.0, 10.0)
    ]
    assert np.allclose(short, sorted(wanted))


def test_about_gives_whole_bars_and_joints() -> None:
    """About 55 mm is 4 bars of 50, about 280 is 3 joints of 300."""
    assert parts(spacing="about 55", joint="about 280", ring=10) == parts(
        spacing=50, joint=300, ring=10
    )
