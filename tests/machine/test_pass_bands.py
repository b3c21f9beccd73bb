"""How many passes a frame needs and where each may give way, worked out on a tape."""

from __future__ import annotations

import pytest

from quiltpath.machine.pass_bands import PassBands


@pytest.mark.parametrize(
    ("high", "passes"),
    [(200, 1), (200.1, 2), (380, 2), (380.1, 3), (560, 3), (561, 4)],
)
def test_each_pass_after_the_first_adds_its_depth_less_the_overlap(
    high: float, passes: int
) -> None:
    """200 mm deep with 20 mm in common: 200, 380, 560 mm."""
    assert len(PassBands(0, high, 200, 20)) == passes
    assert len(PassBands(-50, high - 50, 200, 20)) == passes


def test_a_pass_gives_way_no_sooner_than_the_rest_allows_and_no_later_than_it_reaches() -> None:
    """500 mm from y = 10 in three passes of 200: the second and third reach 380 down from 510, so
    the first must come to 130, and reaches 210; then the third reaches 200 down, to 310."""
    bands = PassBands(10, 510, 200, 20)
    assert bands.zone(0, 10) == pytest.approx((130, 210))
    assert bands.zone(1, 150) == pytest.approx((310, 350))
    assert bands.middle(0, 10) == pytest.approx(10 + 500 / 3)
    assert bands.middle(1, 150) == pytest.approx(150 + 180)
    assert bands.middle(2, 330) == pytest.approx(510)


def test_the_slack_of_a_pass_lies_on_both_sides_of_what_it_sews() -> None:
    assert PassBands(0, 500, 200, 20).window(100, 240) == pytest.approx((70, 270))


def test_the_overlap_is_less_than_the_depth() -> None:
    PassBands(0, 500, 20.1, 20)
    with pytest.raises(ValueError, match="overlap"):
        PassBands(0, 500, 20, 20)
