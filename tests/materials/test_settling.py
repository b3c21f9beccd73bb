"""How often lines are drawn until the flat top is settled."""

from __future__ import annotations

import pytest

from quiltpath import parse
from quiltpath.materials.draw_up import quilting_share
from quiltpath.materials.settling import settle
from quiltpath.runner.states import Pair, Size

PROJECT = parse('units = "mm"\nrunner = { length = 1000, width = 400 }')


class Counted:
    """A drawing of the same density on whatever top, which counts how often it is asked."""

    def __init__(self, m_per_m2: float) -> None:
        self.m_per_m2, self.asked = m_per_m2, 0

    def __call__(self, kept: Pair) -> tuple[Size, float]:
        self.asked += 1
        return Size(1000 / kept[0], 400 / kept[1]), self.m_per_m2


@pytest.mark.parametrize("m_per_m2", [30.0, 55.0, 110.0])
@pytest.mark.parametrize(("wrong", "drawn"), [(0.0, 1), (20.0, 2), (-20.0, 2)])
def test_a_guess_that_is_right_spares_a_drawing_and_a_wrong_one_changes_nothing(
    m_per_m2: float, wrong: float, drawn: int
) -> None:
    without, drawing = Counted(m_per_m2), Counted(m_per_m2)
    states, kept = settle(PROJECT, without)
    assert settle(PROJECT, drawing, Counted(max(m_per_m2 + wrong, 1.0))) == (states, kept)
    assert (without.asked, drawing.asked) == (2, drawn)
    assert states.flat.length_mm == pytest.approx(
        1000 / (1 - round(quilting_share(m_per_m2), 3)), abs=0.5
    )


def test_a_guess_within_a_mm_or_two_of_a_metre_is_drawn_once() -> None:
    """Curves find room for a line or not by a hair, so that each of two tops asks for the other."""
    asked: list[Pair] = []

    def drawing(kept: Pair) -> tuple[Size, float]:
        asked.append(kept)
        return Size(1000 / kept[0], 400 / kept[1]), 59.15 if kept[0] < 0.9765 else 60.61

    states, kept = settle(PROJECT, drawing, Counted(60.94))
    assert asked == [kept]
    own_share = quilting_share(drawing(kept)[1])
    assert abs(states.quilting[0].likely - own_share) < 0.0015


def test_a_density_that_never_settles_is_drawn_three_times_and_told_as_it_was_drawn() -> None:
    """Every other top would ask for twice as much."""
    asked: list[Pair] = []

    def drawing(kept: Pair) -> tuple[Size, float]:
        asked.append(kept)
        return Size(1000 / kept[0], 400 / kept[1]), 40.0 if len(asked) % 2 else 120.0

    states, kept = settle(PROJECT, drawing)
    assert len(asked) == 3 and kept == asked[-1]
    assert states.flat.length_mm == pytest.approx(1000 / kept[0])
