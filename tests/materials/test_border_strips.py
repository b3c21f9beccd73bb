"""Border strips joined end to end: where each is cut, and how their corners are mitred."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from quiltpath.geometry.runner_shapes import RegionKind
from quiltpath.materials.border_strips import BorderJoins, border_joins
from quiltpath.materials.pieced_top import CutCount, piece_top
from quiltpath.materials.shopping import Cloth
from quiltpath.runner.grid import Band, BandKind
from tests.materials.piecer import joined_border


def strips(
    long: float, width: float, cloth: float, copies: int = 1, mitred: bool = False
) -> BorderJoins:
    cut = CutCount(RegionKind.BORDER, 2, long, width, "E")
    made = border_joins(cut, Cloth("blue", cloth), copies, "mitred" if mitred else "butted")
    assert made is not None
    return made


def test_a_join_that_would_lie_at_a_strips_end_moves_it_on() -> None:
    """Strips of 1000 by 60 mm joined: joins at 970, 1910, 2850. Two of 1900 mm: the first ends at
    1900, 10 mm from a join, so it begins where 1910 lies a strip's width beyond its end, or its
    end that far beyond: at 70, when it ends at 1970. The second follows, from 1970 to 3870: its
    start is 60 mm clear of 1910, and 2850 lies within."""
    made = strips(1900, 60, 1000)
    assert made.starts_mm == pytest.approx((70, 1970))
    assert made.strips == 5 and made.joined_mm == pytest.approx(5 * 1000 - 4 * 60)
    assert made.keeps_clear


def test_a_side_just_as_long_as_the_cloth_is_wide_needs_no_join() -> None:
    def of(long: float, width: float) -> BorderJoins | None:
        return border_joins(
            CutCount(RegionKind.BORDER, 2, long, width, "E"), Cloth("blue", 1000), 1
        )

    assert of(1000, 60) is None
    assert of(1000.1, 60) is not None
    # a strip three times as long as it is wide is the shortest that is worth joining
    assert of(1500, 1000 / 3) is not None
    assert of(1500, 334) is None


def test_a_mitred_strip_keeps_its_joins_off_the_whole_corner() -> None:
    """An inch over at each end, a strip's width of mitre, and half the join's own width and half
    a width more: joins lie 25.4 + 120 mm from the ends at least."""
    made = strips(1500, 60, 1000, mitred=True)
    _, joins = joined_border(made)
    for start in made.starts_mm:
        inside = [at for at in joins if start - 60 < at < start + 1560]
        assert inside and all(start + 145.4 <= at <= start + 1500 - 145.4 for at in inside)


@given(
    st.floats(1000, 4000), st.floats(30, 150), st.sampled_from([900.0, 1016.0, 1070.0]),
    st.integers(1, 4), st.booleans(),
)  # fmt: skip
def test_strips_are_enough_and_their_joins_lie_away_from_their_ends(
    long: float, width: float, cloth: float, copies: int, mitred: bool
) -> None:
    cut = CutCount(RegionKind.BORDER, 2, long, width, "E")
    made = border_joins(cut, Cloth("blue", cloth), copies, "mitred" if mitred else "butted")
    if made is None:
        assert long <= cloth or cloth < 3 * width
        return
    joined, joins = joined_border(made)
    assert joined == pytest.approx(made.joined_mm)
    ends = [start + long for start in made.starts_mm]
    assert len(ends) == 2 * copies and ends[-1] <= joined + 1e-6
    assert all(end <= start + 1e-6 for end, start in zip(ends, made.starts_mm[1:], strict=False))
    near = width if not mitred else 25.4 + 2 * width
    nearest = min(abs(at - end) for at in joins for end in (*made.starts_mm, *ends))
    assert nearest >= near - 1e-6 or not made.keeps_clear


@pytest.mark.parametrize(("end", "deg"), [(50.0, 45.0), (60.0, math.degrees(math.atan(50 / 60)))])
def test_a_mitre_runs_from_the_inner_to_the_outer_corner(end: float, deg: float) -> None:
    """Sides of 50 mm: with ends of 50 at 45 degrees, with ends of 60 at 39.8 (their tangent)."""

    def bands(border: float, inner: float) -> tuple[Band, ...]:
        at = (0.0, border, border + inner, inner + 2 * border)
        kinds = (BandKind.BORDER, BandKind.BLOCK, BandKind.BORDER)
        return tuple(Band(kind, a, b) for kind, a, b in zip(kinds, at, at[1:], strict=False))

    top = piece_top(
        bands(end, 800), bands(50, 200), cornerstones=False, seam_mm=6, corners="mitred"
    )
    assert top.border is not None
    assert top.border.mitre_deg == pytest.approx(deg)
