"""Straight lines: where they fall, and that they treat both edges alike."""

from __future__ import annotations

import numpy as np
import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st
from shapely.affinity import scale

from quiltpath.errors import InputError
from tests.patterns.runners import drawn, levels, plain, pointed, sashed, stations


def test_an_exact_spacing_is_kept_and_starts_on_the_centre_line() -> None:
    at = levels(drawn(plain(), "straight", spacing=25))
    assert np.allclose(at, 160 + 25 * np.arange(-6, 7))


def test_about_25_mm_on_320_mm_gives_13_gaps_of_24_62_mm() -> None:
    """Common practice: gap = width / round(width / wanted)."""
    at = levels(drawn(plain(), "straight", spacing="about 25", anchor="edge"))
    assert len(at) == 12  # 13 gaps; the outermost two lines would lie in the binding
    assert np.allclose(np.diff(at), 320 / 13)
    assert at[0] == pytest.approx(24.615, abs=0.001)


@given(
    width=st.floats(100, 600),
    wanted=st.floats(4, 90),
    anchor=st.sampled_from(["centre", "halfway"]),
)
def test_even_division_gives_equal_gaps_and_meets_both_edges_alike(
    width: float, wanted: float, anchor: str
) -> None:
    at = levels(drawn(plain(600, width), "straight", spacing=f"about {wanted} mm", anchor=anchor))
    if len(at) < 2:
        return
    gaps = np.diff(at)
    assert np.allclose(gaps, gaps[0])
    assert at[0] == pytest.approx(width - at[-1], abs=1e-6)
    whole = width / gaps[0]
    assert whole == pytest.approx(round(whole), abs=1e-6)
    assert abs(whole - width / wanted) <= 0.5 + 1e-6


@given(angle=st.floats(-90, 90), spacing=st.floats(10, 80))
def test_lines_at_any_angle_are_parallel_and_evenly_apart(angle: float, spacing: float) -> None:
    lines = drawn(plain(), "straight", angle=angle, spacing=spacing).geometry
    ends = shapely.get_coordinates(lines).reshape(-1, 2, 2)
    normal = np.array([-np.sin(np.radians(angle)), np.cos(np.radians(angle))])
    across = ends @ normal
    assert np.allclose(across[:, 0], across[:, 1], atol=1e-6)
    assert np.allclose(np.diff(np.sort(across[:, 0])), spacing, atol=1e-6)


def test_lines_halfway_leave_the_centre_free() -> None:
    at = levels(drawn(plain(), "straight", spacing=40, anchor="halfway"))
    assert np.allclose(at, [20, 60, 100, 140, 180, 220, 260, 300])


def test_a_position_counts_from_the_left_end_or_the_lower_edge() -> None:
    upright = stations(drawn(plain(), "straight", angle=90, spacing=400, anchor=130))
    assert np.allclose(upright, [130, 530, 930, 1330, 1730])
    lengthwise = levels(drawn(plain(), "straight", spacing=100, anchor=30))
    assert np.allclose(lengthwise, [30, 130, 230])


def test_pairs_straddle_the_centre_line_and_mirror_each_other() -> None:
    at = levels(drawn(plain(), "straight", spacings=[6, 34]))
    assert np.allclose(at, 320 - at[::-1])
    assert np.allclose(sorted(set(np.round(np.diff(at), 6))), [6, 34])
    assert {157.0, 163.0} <= set(np.round(at, 6))


def test_a_plaid_of_three_and_a_gap_is_its_own_mirror_both_ways() -> None:
    lines = drawn(plain(), "grid", spacings=[10, 10, 50], spacings_2=[10, 10, 50])
    whole = shapely.union_all(lines.geometry)
    for turned in (scale(whole, xfact=-1, origin=(915, 160)), scale(whole, yfact=-1)):
        assert turned.hausdorff_distance(whole) < 1e-6


def test_both_families_of_a_grid_may_have_their_own_spacing() -> None:
    lines = drawn(plain(), "grid", spacing=40, spacing_2=100)
    box = shapely.bounds(lines.geometry)
    upright = box[:, 0] == box[:, 2]
    assert np.allclose(np.diff(np.sort(box[upright, 0])), 100)
    assert np.allclose(np.diff(np.sort(box[~upright, 1])), 40)


def test_a_crosshatch_is_its_own_mirror() -> None:
    lines = drawn(plain(), "grid", angles=[45, -45], spacing="about 38")
    whole = shapely.union_all(lines.geometry)
    mirrored = scale(whole, xfact=-1, yfact=1, origin=(915, 160))
    assert mirrored.hausdorff_distance(whole) < 1e-6


def test_every_block_is_divided_by_itself() -> None:
    lines = drawn(sashed(), "straight", region="blocks", angle=90, spacing="about 60")
    third = 200 / 3  # 200 mm at about 60 mm is three gaps, half a gap at either side
    in_a1 = 25 + third * np.array([0.5, 1.5, 2.5])
    assert np.allclose(stations(lines), [*in_a1, *(in_a1 + 250)])
    assert set(lines.source) == {"A1", "B1"}
    assert np.allclose(shapely.length(lines.geometry), 200)


def test_no_line_lies_along_the_finished_edge() -> None:
    """A line on the edge would vanish in the binding."""
    lines = drawn(pointed(), "straight", angle=45, spacing=50, anchor="edge")
    middle = shapely.line_interpolate_point(lines.geometry, 0.5, normalized=True)
    assert shapely.distance(middle, pointed().outline.exterior).min() > 1


def test_lines_stay_inside_a_pointed_runner() -> None:
    lines = drawn(pointed(), "grid", angles=[60, -60], spacing=20)
    assert shapely.covers(pointed().outline.buffer(1e-6), lines.geometry).all()


def test_a_spacing_that_nobody_could_sew_is_refused_before_drawing() -> None:
    with pytest.raises(InputError, match=r"stitches.*or more") as error:
        drawn(plain(90_000, 20_000), "straight", spacing=0.5)
    assert error.value.key == "quilting[1].spacing"


def test_the_spacing_that_the_message_offers_is_accepted() -> None:
    runner = plain(10_000, 1_000)
    with pytest.raises(InputError) as error:
        drawn(runner, "straight", spacing=0.6)
    offered = float(error.value.remedy.split()[1])
    assert 0.6 < offered < 0.75
    assert len(drawn(runner, "straight", spacing=offered)) > 1000
