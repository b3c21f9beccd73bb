"""The runs as one tape: where its corners are, what lies at each length, how it is divided."""

from __future__ import annotations

import math

import numpy as np
import pytest
import shapely
from shapely.geometry import LineString

from quiltpath.stitching.division import stitch_numbers, stretches
from quiltpath.stitching.path import corner_arcs, path_of
from tests.stitching.sewing import QUILTING, runs_of


def corners(*pieces: list[tuple[float, float]], deg: float = 30.0) -> list[float]:
    return corner_arcs(path_of(runs_of(*pieces)), deg).round(9).tolist()


def bent(turn: float, before: float = 20.0, after: float = 20.0) -> list[tuple[float, float]]:
    """Level, then on at an angle to the left."""
    way = math.radians(turn)
    return [(0, 0), (before, 0), (before + after * math.cos(way), after * math.sin(way))]


@pytest.mark.parametrize(
    ("turn", "found"), [(29, []), (31, [20.0]), (-31, [20.0]), (90, [20.0]), (180, [20.0])]
)
def test_a_turn_of_more_than_30_degrees_is_a_corner(turn: float, found: list[float]) -> None:
    assert corners(bent(turn)) == found
    assert corners(bent(turn), deg=100) == ([20.0] if turn == 180 else [])


@pytest.mark.parametrize(
    ("before", "after", "found"),
    [(0.4, 20, 0), (0.6, 20, 1), (20, 0.4, 0), (20, 0.6, 1), (0.4, 0.4, 0)],
)
def test_a_corner_within_half_a_millimetre_of_an_end_is_left_to_the_end(
    before: float, after: float, found: int
) -> None:
    assert len(corners(bent(90, before, after))) == found


def test_a_corner_cut_off_by_a_hair_is_one_and_two_apart_are_two() -> None:
    """A bevel of 0.3 mm, 45 degrees twice, and one of 0.6 mm."""
    for bevel, number in ((0.3, 1), (0.6, 2)):
        step = bevel / math.sqrt(2)
        path = [(0.0, 0.0), (20.0, 0.0), (20 + step, step), (20 + step, 20.0)]
        assert len(corners(path)) == number


def test_a_hook_of_a_hundredth_is_no_corner() -> None:
    assert corners([(0, 0), (20, 0), (20, 0.01), (40, 0.01)]) == []


def test_corners_are_counted_on_from_run_to_run_and_none_lies_between_runs() -> None:
    """40 mm, then a run that starts elsewhere: its corner lies at 40 + 20."""
    assert corners(bent(90), [(100, 5), (120, 5), (120, 40)]) == [20.0, 60.0]


def test_points_and_segments_are_found_by_length_along_the_tape() -> None:
    """Against shapely, run by run; points that stand twice are passed over."""
    rng = np.random.default_rng(3)
    pieces = [rng.uniform(0, 90, (5, 2)) for _ in range(3)]
    pieces[1][2] = pieces[1][1]
    path = path_of(runs_of(*pieces))
    lengths = [LineString(piece).length for piece in pieces]
    assert path.run_arc == pytest.approx(np.concatenate([[0], np.cumsum(lengths)]))
    assert np.bincount(path.run).tolist() == [4, 3, 4]
    assert path.line.tolist() == path.run.tolist()
    assert np.allclose(path.run_first, [piece[0] for piece in pieces])
    for run, piece in enumerate(pieces):
        share = rng.uniform(0, 1, 20)
        arcs = path.run_arc[run] + share * lengths[run]
        segment = path.segment_at(arcs, np.full(20, run, dtype=np.int32))
        assert (path.run[segment] == run).all()
        wanted = shapely.line_interpolate_point(LineString(piece), share * lengths[run])
        assert np.allclose(path.points_at(arcs, segment), shapely.get_coordinates(wanted))


def test_stretches_run_from_end_to_securing_to_corner_to_end() -> None:
    """60 mm with a corner at 40, secured at its start; then 30 mm, secured at its end."""
    runs = runs_of(
        [(0, 0), (40, 0), (40, 20)], [(0, 50), (30, 50)], secured=[[True, False], [False, True]]
    )
    found = stretches(path_of(runs), runs, QUILTING)
    assert found.low == pytest.approx([0, 6, 40, 60, 84])
    assert found.high == pytest.approx([6, 40, 60, 84, 90])
    assert found.run.tolist() == [0, 0, 0, 1, 1]
    assert found.securing.tolist() == [True, False, False, False, True]
    assert found.corners == 1
    chosen = found.take(found.securing)
    assert chosen.length == pytest.approx([6, 6]) and chosen.run.tolist() == [0, 1]


def test_the_number_of_stitches_is_the_best_of_all_whole_numbers() -> None:
    """Brute force: within 3 to 3.5 mm where any is, the nearest to 3.2; else the fewest that are
    not too long."""
    lengths = np.arange(0.25, 60, 0.25)
    found = stitch_numbers(lengths, np.zeros(len(lengths), dtype=bool), QUILTING)
    for length, number in zip(lengths.tolist(), found.tolist(), strict=True):
        fitting = [n for n in range(1, 30) if 3.0 - 1e-9 <= length / n <= 3.5 + 1e-9]
        if fitting:
            best = min(fitting, key=lambda n, each=length: abs(each / n - 3.2))
            assert abs(length / number - 3.2) == pytest.approx(abs(length / best - 3.2))
            assert number in fitting
        else:
            assert number == max(1, math.ceil(length / 3.5 - 1e-9))


def test_tiny_stitches_come_nearest_their_millimetre() -> None:
    lengths = np.array([0.2, 1.4, 1.6, 6.0, 7.4])
    assert stitch_numbers(lengths, np.ones(5, dtype=bool), QUILTING).tolist() == [1, 1, 2, 6, 7]
