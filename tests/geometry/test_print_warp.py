"""A print that does not lie square: from a tape measure's figures to the place of every line."""

from __future__ import annotations

import math

import numpy as np
import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st
from shapely.geometry import LineString

from quiltpath.errors import InputError
from quiltpath.geometry.print_warp import PrintWarp, from_measures
from quiltpath.patterns import draw
from quiltpath.project import parse
from quiltpath.runner import build

L, W = 2200.0, 320.0


def place(warp: PrintWarp, x: float, y: float) -> np.ndarray:
    return warp.moved(np.array([[x, y]]))[0]


def test_unequal_diagonals_give_the_lean_and_the_end_shift() -> None:
    """2200 x 320 mm with diagonals of 2228 and 2218 mm leans by 0.9 degrees, 5 mm at the end.

    By the law of cosines: p^2 - q^2 = 4 a b sin(lean).
    """
    warp = from_measures(L, W, diagonals=(2228, 2218))
    assert warp.skew_deg == pytest.approx(0.9, abs=0.05)
    shift = place(warp, 0, W)[0] - place(warp, 0, 0)[0]
    assert shift == pytest.approx(5, abs=0.1)


@given(
    lengths=st.tuples(*[st.floats(2190, 2210)] * 3),
    widths=st.tuples(*[st.floats(314, 326)] * 3),
    bow=st.floats(-8, 8),
)
def test_the_measures_are_found_again_on_the_warped_print(
    lengths: tuple[float, ...], widths: tuple[float, ...], bow: float
) -> None:
    warp = from_measures(L, W, lengths=lengths, widths=widths, bow=bow)
    for y, length in zip((0, W / 2, W), lengths, strict=True):
        assert math.dist(place(warp, 0, y), place(warp, L, y)) == pytest.approx(length, abs=0.1)
    for x, width in zip((0, L / 2, L), widths, strict=True):
        ends = place(warp, x, 0), place(warp, x, W)
        assert ends[1][1] - ends[0][1] == pytest.approx(width, abs=1e-6)
    ends = place(warp, L / 2, 0), place(warp, L / 2, W)
    middle = place(warp, L / 2, W / 2)[0]
    assert middle - (ends[0][0] + ends[1][0]) / 2 == pytest.approx(bow, abs=1e-6)


def test_a_print_that_lies_even_moves_nothing() -> None:
    warp = from_measures(L, W)
    points = np.random.default_rng(1).uniform([-50, -50], [L + 50, W + 50], (200, 2))
    assert np.allclose(warp.moved(points), points)
    assert warp.largest_shift_mm == pytest.approx(0, abs=1e-9)
    assert warp.skew_deg == pytest.approx(0, abs=1e-9)


def test_the_map_meets_every_measured_crossing_and_goes_on_beyond() -> None:
    at = np.array([[[0.0, 0], [101, 1]], [[2, 50], [104, 52]]])
    warp = PrintWarp(np.array([0.0, 100]), np.array([0.0, 50]), at)
    corners = np.array([[0.0, 0], [100, 0], [0, 50], [100, 50]])
    assert np.allclose(warp.moved(corners), at.reshape(-1, 2))
    assert np.allclose(place(warp, 50, 0), [50.5, 0.5])  # halfway between its neighbours
    assert np.allclose(place(warp, 200, 0), [202, 2])  # as far again


def test_diagonals_that_no_runner_of_these_sides_has_are_refused() -> None:
    with pytest.raises(ValueError, match="measure them again"):
        from_measures(L, W, diagonals=(2400, 2100))


def runner_of(more: str):  # type: ignore[no-untyped-def]
    return build(
        parse(f"""units = "mm"
[runner]
length = 1000
width = 300
[grid]
along = 3
across = 1
sashing = 50
outer_sashing = 25
[print]
{more}""")
    )


@pytest.mark.parametrize(("bow", "straight"), [(0.8, True), (-0.8, True), (1.2, False)])
def test_a_print_less_than_a_millimetre_off_keeps_straight_lines(
    bow: float, straight: bool
) -> None:
    """A tape tells no less: below it a crosswise line has two points, and the print is told."""
    runner = runner_of(f"bow = {bow}")
    layer = parse("""units = "mm"
runner = { length = 1000, width = 300 }
quilting = [{ kind = "straight", spacing = 50, angle = 90 }]""").quilting
    lines = draw(runner, layer)
    assert (max(len(line.coords) for line in lines.geometry) == 2) is straight
    (remark,) = lines.remarks
    assert remark.code == ("print-nearly-even" if straight else "print-followed")
    assert f"{abs(bow):.1f} mm" in remark.message
    ends = {len(line.coords) for line in runner.printed}
    assert (ends == {2}) is straight


def test_blocks_strips_and_printed_lines_lie_where_the_print_lies() -> None:
    runner = runner_of("lengths = [1000, 1000, 1000]\nwidths = [300, 300, 300]\nbow = 6")
    assert runner.even is not None
    even, bowed = runner.even.blocks[1].shape, runner.blocks[1].shape
    assert bowed.area == pytest.approx(even.area, rel=1e-3)
    assert bowed.bounds[2] - even.bounds[2] == pytest.approx(6, abs=0.1)
    assert runner.outline.equals(runner.even.outline)
    upright = [line for line in runner.printed if line.bounds[2] - line.bounds[0] < 20]
    assert all(isinstance(line, LineString) for line in runner.printed)
    assert all(line.length > 300 for line in upright)


def test_printed_lines_that_ran_to_the_edge_still_do() -> None:
    runner = runner_of("bow = 6")
    lengthwise = [line for line in runner.printed if line.bounds[2] - line.bounds[0] > 500]
    assert len(lengthwise) == 2
    for line in lengthwise:
        assert line.bounds[0] == pytest.approx(0, abs=1e-6)
        assert line.bounds[2] == pytest.approx(1000, abs=1e-6)


def test_measured_crossings_count_like_the_printed_lines() -> None:
    with pytest.raises(InputError, match="2 lengthwise and 6 crosswise lines"):
        runner_of("points = [[[0, 0], [1, 0]], [[0, 1], [1, 1]]]")


def test_measured_crossings_move_the_printed_lines_onto_themselves() -> None:
    even = runner_of("bow = 1").even
    assert even is not None
    bounds = shapely.bounds(np.array(even.printed))
    x = np.unique(np.round(bounds[bounds[:, 0] == bounds[:, 2], 0], 6))
    rows = [[[round(float(v + 0.02 * y), 3), y + 1] for v in x] for y in (25, 275)]
    runner = runner_of(f"points = {rows}")
    whole = shapely.union_all(np.array(runner.printed))
    crossings = shapely.points(np.array(rows).reshape(-1, 2))
    assert shapely.distance(crossings, whole).max() < 0.01


@pytest.mark.parametrize(
    ("more", "fault"),
    [
        ("", "nothing is measured"),
        ("bow = 3\npoints = [[[0, 0], [1, 0]], [[0, 1], [1, 1]]]", "both given"),
        ("points = [[[0, 0], [1, 0]], [[0, 1]]]", "not all of one length"),
        ("diagonals = [1300, 1000]", "measure them again"),
        ("points = [[[0, 0]]]", "two or more"),
    ],
)
def test_wrong_measures_are_told_in_one_line(more: str, fault: str) -> None:
    with pytest.raises(InputError, match=fault):
        runner_of(more)


def stretched() -> PrintWarp:
    """Columns at 0, 100, 300 and rows at 0, 50, 80 lie at 0, 101, 307 and 0, 52, 81."""
    at = np.stack(np.meshgrid([0.0, 101, 307], [0.0, 52, 81]), axis=-1)
    return PrintWarp(np.array([0.0, 100, 300]), np.array([0.0, 50, 80]), at)


def test_stretch_and_shift_of_a_print_that_has_grown_by_arithmetic() -> None:
    warp = stretched()
    along, across = warp.stretch
    assert along == pytest.approx((101 / 100, 206 / 200))
    assert across == pytest.approx((29 / 30, 52 / 50))
    assert warp.largest_shift_mm == pytest.approx(math.hypot(7, 2))
    assert warp.skew_deg == pytest.approx(0.0)


@pytest.mark.parametrize(
    ("turn", "lean", "rise", "skew"),
    [
        (0.0, 0.1, 0.0, math.degrees(math.atan(0.1))),
        (0.0, -0.1, 0.0, -math.degrees(math.atan(0.1))),
        (0.0, 0.0, 0.05, math.degrees(math.atan(0.05))),
        (3.0, 0.0, 0.0, 0.0),
        (-3.0, 0.1, 0.0, math.degrees(math.atan(0.1))),
    ],
)
def test_the_lean_is_told_against_the_lengthwise_lines(
    turn: float, lean: float, rise: float, skew: float
) -> None:
    """Right of square is positive; a print that is merely turned leans nowhere."""
    x, y = np.meshgrid([0.0, 100, 300], [0.0, 50, 80])
    c, s = math.cos(math.radians(turn)), math.sin(math.radians(turn))
    u, v = x + lean * y, y + rise * x
    at = np.stack([c * u - s * v, s * u + c * v], axis=-1)
    warp = PrintWarp(np.array([0.0, 100, 300]), np.array([0.0, 50, 80]), at)
    assert warp.skew_deg == pytest.approx(skew, abs=1e-6)


def test_a_bent_line_lies_where_its_points_lie() -> None:
    """Within a hundredth of a millimetre, all along a line across a bowed print."""
    warp = from_measures(L, W, bow=8, bow_lengthwise=-5)
    line = LineString([(100, -20), (1900, 340)])
    (bent,) = warp.bent(np.array([line], dtype=object))
    share = np.linspace(0, 1, 500)[:, None]
    dense = (1 - share) * np.array(line.coords[0]) + share * np.array(line.coords[1])
    # Points every 4 mm of a curve as flat as a print's bow stray by far less than a needle.
    assert shapely.distance(bent, shapely.points(warp.moved(dense))).max() < 0.01
    assert len(bent.coords) > 8
    assert np.allclose(bent.coords[0], warp.moved(np.array([[100.0, -20]]))[0])


@pytest.mark.parametrize(
    ("diagonals", "fits"),
    [((2223, 2223), True), ((2267, 2267), True), ((2268.5, 2268.5), False), ((2178, 2178), False)],
)
def test_diagonals_may_miss_the_sides_by_2_percent(
    diagonals: tuple[float, float], fits: bool
) -> None:
    """2200 x 320 mm has diagonals of 2223.15 mm (Pythagoras), 2 percent of which is 44.46."""
    if fits:
        from_measures(L, W, diagonals=diagonals)
    else:
        with pytest.raises(ValueError, match="do not fit"):
            from_measures(L, W, diagonals=diagonals)


@pytest.mark.parametrize(
    ("at", "moved_by"),
    [((500, 150), (6.0, -4.0)), ((500, 75), (4.5, -4.0)), ((250, 150), (6.0, -3.0))],
)
def test_a_motif_moves_with_its_middle_and_keeps_its_shape(
    at: tuple[int, int], moved_by: tuple[float, float]
) -> None:
    """Bows are parabolas: 6 (1 - v^2) along and -4 (1 - u^2) across, u and v from -1 to 1."""
    corners = [(at[0] - 20, at[1] - 10), (at[0] + 20, at[1] - 10), (at[0] + 20, at[1] + 10)]
    traced = [[x - at[0], y - at[1]] for x, y in corners]
    runner = build(
        parse(f"""units = "mm"
[runner]
length = 1000
width = 300
[print]
bow = 6
bow_lengthwise = -4
[[motif]]
name = "sail"
outline = {traced}
at = {list(at)}
""")
    )
    (motif,) = runner.motifs
    assert runner.even is not None
    (even,) = runner.even.motifs
    wanted = [even.shape.bounds[k] + moved_by[k % 2] for k in range(4)]
    assert motif.shape.bounds == pytest.approx(wanted)
    assert motif.shape.area == pytest.approx(even.shape.area)
    for line, before in zip(motif.outlines, even.outlines, strict=True):
        assert np.allclose(np.array(line.coords) - np.array(before.coords), moved_by)


def test_lines_that_end_at_a_border_stay_inside_it_on_a_print_that_is_bowed() -> None:
    """Printed lines run from border to border, 30 mm in; those of a bowed print still do."""
    runner = build(
        parse("""units = "mm"
[runner]
length = 1000
width = 300
[grid]
along = 3
across = 1
sashing = 40
border = 30
[print]
bow = 6
bow_lengthwise = 3
""")
    )
    assert runner.even is not None
    assert len(runner.printed) == len(runner.even.printed)
    for line in runner.printed:
        low_x, low_y, high_x, high_y = line.bounds
        assert low_x > 20 and high_x < 980 and low_y > 20 and high_y < 280
    lengths = [line.length for line in runner.even.printed]
    assert [line.length for line in runner.printed] == pytest.approx(lengths, rel=2e-3)


@pytest.mark.parametrize(
    ("rows", "told"),
    [
        ([[[0, 5], [100, 5]], [[0, 5], [100, 90]]], True),
        ([[[0, 5], [0, 5]], [[0, 90], [100, 90]]], True),
        ([[[0, 5], [100, 6]], [[1, 90], [101, 90]]], False),
    ],
)
def test_crossings_are_given_from_left_to_right_and_from_the_lowest_up(
    rows: list, told: bool
) -> None:
    """One block between two lines each way: no two crossings of a line at one place."""
    text = f"""units = "mm"
[runner]
length = 120
width = 100
[grid]
outer_sashing = 10
[print]
points = {rows}"""
    if told:
        with pytest.raises(InputError, match="out of order"):
            build(parse(text))
    else:
        assert build(parse(text)).print_warp is not None
