"""Guides bound even rows: which stretches across lie wholly on sewn lines, by a count."""

from __future__ import annotations

import numpy as np
import pytest

from quiltpath.checks.obstacles import guides


def segment_ends(pieces: list[tuple[float, float, float]], axis: int) -> np.ndarray:
    """(k, 2, 2) ends of segments at a place on the axis, from low to high on the other."""
    ends = np.zeros((len(pieces), 2, 2))
    for k, (place, low, high) in enumerate(pieces):
        ends[k, :, axis] = place
        ends[k, :, 1 - axis] = (low, high)
    return ends


@pytest.mark.parametrize("axis", [0, 1])
@pytest.mark.parametrize("seed", range(15))
def test_a_stretch_is_spanned_where_every_centimetre_of_it_is_sewn(seed: int, axis: int) -> None:
    """Against a row of marks 5 mm off each whole centimetre, over places met and not met."""
    rng = np.random.default_rng(seed)
    pieces = []
    sewn = np.zeros((6, 60), dtype=bool)
    for _ in range(14):
        place, low = int(rng.integers(0, 6)), int(rng.integers(0, 50))
        high = min(low + int(rng.integers(3, 20)), 60)
        sewn[place, low:high] = True
        ends = (10.0 * low, 10.0 * high)
        pieces.append((40.0 * place, *(ends if rng.random() < 0.5 else ends[::-1])))
    ends = segment_ends(pieces, axis)
    found = guides(ends[:, 0], ends[:, 1], axis)
    met = np.flatnonzero(sewn.any(axis=1))
    assert found.place.tolist() == (40.0 * met).tolist()
    for index, place in enumerate(met):
        for low in range(0, 58, 3):
            high = low + int(rng.integers(1, 60 - low + 1))
            ask = (np.array([index]), np.array([10.0 * low]), np.array([10.0 * high]))
            assert found.spanned(*ask)[0] == sewn[place, low:high].all()


def test_lines_that_touch_are_one_and_those_a_hair_apart_are_two() -> None:
    ends = segment_ends([(0.0, 0, 50), (0.0, 50, 90), (0.0, 91, 150), (30.0, 20, 70)], 1)
    found = guides(ends[:, 0], ends[:, 1], 1)
    lines = zip(found.place_of.tolist(), found.begin.tolist(), found.finish.tolist(), strict=True)
    assert list(lines) == [(0, 0.0, 90.0), (0, 91.0, 150.0), (1, 20.0, 70.0)]


def test_slanting_and_short_lines_bound_nothing() -> None:
    """20 mm or less is too short to follow; a thousandth off square is square to the eye."""
    start = np.array([(0, 0), (0, 10), (0, 20), (0, 30)], dtype=float)
    end = np.array([(20, 0), (20.1, 10), (90, 20.002), (90, 30.0005)], dtype=float)
    assert guides(start, end, 1).place.tolist() == [10.0, 30.0]
    assert len(guides(start, end, 0).place) == 0


@pytest.mark.parametrize(
    ("low", "high", "spanned"),
    [
        (10.0, 50.0, True),
        (49.8, 50.0, True),
        (9.5, 50.0, False),
        (10.0, 50.3, False),
        (50.6, 90.0, True),
        (50.1, 90.0, False),
        (50.6, 90.5, False),
        (10.0 - 5e-7, 50.0 + 5e-7, True),
        (10.0 - 5e-6, 50.0, False),
        (10.0, 50.0 + 5e-6, False),
    ],
)
def test_a_stretch_ends_with_its_line_to_a_millionth_of_a_millimetre(
    low: float, high: float, spanned: bool
) -> None:
    """Two lines in a row, from 10 to 50 and from 50.6 to 90; rounding is let pass."""
    ends = segment_ends([(30.0, 10, 50), (30.0, 50.6, 90)], 1)
    found = guides(ends[:, 0], ends[:, 1], 1)
    assert found.spanned(np.array([0]), np.array([low]), np.array([high]))[0] == spanned


def test_lines_a_ten_thousandth_apart_lie_at_one_place() -> None:
    ends = segment_ends([(29.9998, 0, 50), (30.0002, 50, 90)], 1)
    found = guides(ends[:, 0], ends[:, 1], 1)
    assert (found.place.tolist(), found.begin.tolist(), found.finish.tolist()) == ([30], [0], [90])
