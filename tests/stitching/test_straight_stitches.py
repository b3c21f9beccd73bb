"""On straight lines: every stitch within its bounds, every corner hit, nothing lost."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from shapely.geometry import LineString

from quiltpath.stitching import PointKind, place
from tests.stitching.sewing import QUILTING, holes, lengths, runs_of, serpentine


@pytest.mark.parametrize(
    ("length", "number"),
    [
        (3.2, 1),
        (6.4, 2),
        (32.0, 10),
        (320.0, 100),
        (3.5, 1),
        (6.0, 2),  # two of 3.0 mm; one would be 6 mm
        (33.0, 10),  # 3.3 mm is nearer 3.2 than 11 of exactly 3.0
        (33.6, 11),  # 3.055 is 0.145 away, 10 of 3.36 is 0.16 away
        (1000.0, 313),  # 0.00511 mm away, 312 are 0.00513 mm away
        (17.5, 5),  # the longest that 5 stitches of 3.5 mm can fill
        (18.0, 6),
    ],
)
def test_a_straight_line_gets_the_number_of_stitches_nearest_the_set_length(
    length: float, number: int
) -> None:
    """Expected numbers worked out by hand from length / number."""
    stitches = place(runs_of([(0, 0), (length, 0)]), QUILTING)
    assert stitches.stitch_count == number
    assert np.allclose(lengths(stitches), length / number, rtol=1e-9)
    assert len(stitches.forced_short) == 0


def test_from_18_mm_up_every_length_can_be_sewn_within_3_to_3_5_mm() -> None:
    """n stitches fill 3.0 n to 3.5 n mm; from n = 6 on these ranges meet (6 x 3.5 = 7 x 3.0)."""
    wanted = np.concatenate([np.arange(18.0, 60.0, 0.01), np.arange(60.0, 400.0, 0.37)])
    runs = runs_of(*[[(0, y), (length, y)] for y, length in enumerate(wanted)])
    stitches = place(runs, QUILTING)
    assert lengths(stitches).min() >= 3.0 - 1e-9
    assert lengths(stitches).max() <= 3.5 + 1e-9
    assert len(stitches.forced_short) == 0


def test_below_18_mm_just_the_lengths_that_no_whole_number_fits_are_listed() -> None:
    wanted = np.arange(0.05, 18.0, 0.05)
    stitches = place(runs_of(*[[(0, y), (s, y)] for y, s in enumerate(wanted)]), QUILTING)
    # Brute force: some n has 3.0 n <= length <= 3.5 n.
    can = [any(3.0 * n - 1e-6 <= s <= 3.5 * n + 1e-6 for n in range(1, 7)) for s in wanted]
    assert np.allclose(np.sort(stitches.forced_short[:, 0]), wanted[~np.array(can)])
    assert lengths(stitches).max() <= 3.5 + 1e-9


def test_a_forced_short_stretch_says_its_length_its_stitches_and_where_it_is() -> None:
    stitches = place(runs_of([(0, 0), (5, 0), (5, 40)]), QUILTING)
    assert stitches.forced_short[:, :2].tolist() == [[5.0, 2.0]]
    first = int(stitches.forced_short[0, 2])
    assert stitches.points[first].tolist() == [2.5, 0.0]


@pytest.mark.parametrize(
    ("stitch_mm", "per_inch"),
    [(2.5, 10.16), (25.4 / 12, 12.0), (3.0, 8.47), (3.5, 7.26)],
)
def test_stitches_in_an_inch_are_25_4_over_the_stitch_length(
    stitch_mm: float, per_inch: float
) -> None:
    """ "Convert metric stitch length to stitches per inch", stashbandit.net."""
    setting = QUILTING.replaced(length=stitch_mm, shortest=stitch_mm - 0.4, longest=stitch_mm + 0.4)
    stitches = place(runs_of([(0, 0), (25.4 * 100, 0)]), setting)
    assert stitches.stitch_count / 100 == pytest.approx(per_inch, abs=0.006)


def test_a_run_is_travel_needle_down_stitches_trim() -> None:
    stitches = place(runs_of([(0, 0), (9.6, 0)], [(0, 5), (6.4, 5)]), QUILTING)
    travel, stitch, trim = PointKind.TRAVEL, PointKind.STITCH, PointKind.TRIM
    assert stitches.kind.tolist() == [travel, *[stitch] * 4, trim, travel, *[stitch] * 3, trim]
    assert stitches.points[[0, 1, 4, 5]].tolist() == [[0, 0], [0, 0], [9.6, 0], [9.6, 0]]
    assert stitches.stitch_count == 5
    assert stitches.stitched_mm == pytest.approx(16.0)
    assert stitches.trims == 2


def test_there_and_back_gets_a_needle_point_at_every_turn() -> None:
    path = serpentine(7, length=101.0, gap=7.3)
    sewn = holes(place(runs_of(path), QUILTING))
    for corner in path:
        assert np.hypot(*(sewn - corner).T).min() < 1e-9


def test_where_two_pieces_meet_the_needle_goes_down_only_if_they_turn() -> None:
    onwards = place(runs_of([(0, 0), (10, 0)], [(10, 0), (20, 0)], per_run=[2]), QUILTING)
    assert np.allclose(lengths(onwards), 20 / 6)
    turning = place(runs_of([(0, 0), (10, 0)], [(10, 0), (10, 10)], per_run=[2]), QUILTING)
    assert [10.0, 0.0] in turning.points.tolist()
    assert turning.line[turning.is_stitch].tolist() == [0, 0, 0, 1, 1, 1]


def test_a_gentle_bend_is_no_corner_and_a_sharper_one_is() -> None:
    def bent(degrees: float) -> list[tuple[float, float]]:
        angle = math.radians(degrees)
        return [(0, 0), (10, 0), (10 + 12 * math.cos(angle), 12 * math.sin(angle))]

    assert [10.0, 0.0] not in place(runs_of(bent(29)), QUILTING).points.tolist()
    assert [10.0, 0.0] in place(runs_of(bent(31)), QUILTING).points.tolist()


def test_a_corner_cut_off_by_a_hair_is_one_corner_not_two() -> None:
    chamfered = [(0, 0), (31.9, 0), (32, 0.1), (32, 32)]
    stitches = place(runs_of(chamfered), QUILTING)
    sewn = holes(stitches)
    assert np.hypot(*(sewn - [32, 0]).T).min() <= 0.1
    assert lengths(stitches).min() >= 3.0


def test_a_hook_of_a_few_hundredths_where_lines_were_joined_makes_no_stitch() -> None:
    hooked = [(0, 0), (32, 0), (32.0, 0.03), (64, 0.03)]
    stitches = place(runs_of(hooked), QUILTING)
    assert lengths(stitches).min() >= 3.0
    assert stitches.stitch_count == 20


@pytest.mark.parametrize("runs", [runs_of(), runs_of([(1, 1), (1, 1)])])
def test_nothing_to_sew_makes_no_stitch(runs: object) -> None:
    stitches = place(runs, QUILTING)  # type: ignore[arg-type]
    assert stitches.stitch_count == 0
    assert stitches.stitched_mm == 0.0


def test_a_run_without_length_does_not_shift_the_runs_after_it() -> None:
    stitches = place(runs_of([(5, 5), (5, 5)], [(0, 0), (6.4, 0)]), QUILTING)
    assert holes(stitches, 1).tolist() == [[0, 0], [3.2, 0], [6.4, 0]]


turn = st.integers(31, 149).flatmap(lambda a: st.sampled_from([a, -a]))
leg = st.floats(0.6, 90.0)


@st.composite
def cornered_lines(draw: st.DrawFn) -> np.ndarray:
    """Polylines that turn by more than the corner angle at each vertex."""
    headings = np.radians(np.cumsum(draw(st.lists(turn, min_size=1, max_size=8))))
    steps = draw(st.lists(leg, min_size=len(headings), max_size=len(headings)))
    moves = np.column_stack([np.cos(headings), np.sin(headings)]) * np.array(steps)[:, None]
    return np.concatenate([np.zeros((1, 2)), np.cumsum(moves, axis=0)])


@given(st.lists(cornered_lines(), min_size=1, max_size=5))
def test_cornered_lines_are_sewn_as_the_trade_asks(drawn: list[np.ndarray]) -> None:
    stitches = place(runs_of(*drawn), QUILTING)
    assert lengths(stitches).max() <= 3.5 + 1e-9
    for run, line in enumerate(drawn):
        here = (stitches.run == run) & stitches.is_stitch
        stretch = stitches.stretch[here]
        legs = np.hypot(*np.diff(line, axis=0).T)
        # one stretch from corner to corner, each ending exactly at its corner
        assert len(np.unique(stretch)) == len(legs)
        ends = np.flatnonzero(np.diff(stretch, append=-1))
        assert np.abs(stitches.points[here][ends] - line[1:]).max() < 1e-9
        # all stitches of a stretch are equal, and those of a long one are within bounds
        sizes = stitches.step_mm[here]
        leg = legs[stretch - stretch[0]]
        number = np.bincount(stretch - stretch[0])[stretch - stretch[0]]
        assert np.allclose(sizes, leg / number, atol=1e-7)
        assert (sizes[leg >= 18.0] >= 3.0 - 1e-9).all()
    total = sum(LineString(line).length for line in drawn)
    assert stitches.stitched_mm == pytest.approx(total, rel=1e-9)
    for length, number, _ in stitches.forced_short:
        assert not any(3.0 * n <= length <= 3.5 * n for n in range(1, 40))
        assert length / number < 3.0


@given(st.floats(2.0, 4.0), st.floats(0.05, 0.8), st.floats(0.05, 0.8), st.floats(0.5, 400))
def test_whatever_is_set_no_stitch_is_longer_than_the_upper_bound(
    set_mm: float, below: float, above: float, length: float
) -> None:
    low, high = set_mm - below, set_mm + above
    setting = QUILTING.replaced(length=set_mm, shortest=low, longest=high)
    stitches = place(runs_of([(0, 0), (length, 0)]), setting)
    size = lengths(stitches)[0]
    assert size <= high + 1e-6
    # By trying every number: the one taken is nearest the set length among those allowed.
    sizes = [length / n for n in range(1, 900) if low - 1e-9 <= length / n <= high + 1e-9]
    if sizes:
        assert abs(size - set_mm) == pytest.approx(min(abs(s - set_mm) for s in sizes), abs=1e-6)
    else:
        assert size == pytest.approx(length / math.ceil(length / high))


def test_of_two_numbers_as_near_to_the_set_length_the_longer_stitches_are_sewn() -> None:
    """4 mm at 3 mm: one of 4 and two of 2 are a millimetre off each; fewer holes in the cloth."""
    wide = QUILTING.replaced(length=3.0, shortest=1.0, longest=5.0)
    assert place(runs_of([(0, 0), (4, 0)]), wide).stitch_count == 1
    assert place(runs_of([(0, 0), (4.01, 0)]), wide).stitch_count == 2
    assert place(runs_of([(0, 0), (0.5, 0)]), wide).stitch_count == 1


def test_a_stretch_shorter_than_the_lower_bound_by_a_hair_is_listed() -> None:
    """2.9999 mm is; 3 mm is not, nor what is missing no more than a millionth."""
    for length, listed in ((2.9999, 1), (3.0, 0), (3.0 - 5e-7, 0)):
        stitches = place(runs_of([(0, 0), (length, 0)]), QUILTING)
        assert len(stitches.forced_short) == listed
