"""Where lines stop short of motifs, and how far they run past the finished edge."""

from __future__ import annotations

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from quiltpath.errors import InputError
from quiltpath.patterns import draw
from tests.patterns.runners import disc, drawn, layer, plain, pointed, sashed

MANY = tuple(disc(60 + 120 * i, 160, 40, place=f"{i}") for i in range(15))


@settings(max_examples=40)
@given(clearance=st.floats(0, 30), angle=st.floats(0, 180))
def test_no_line_comes_nearer_to_a_motif_than_the_clearance(clearance: float, angle: float) -> None:
    lines = drawn(plain(motifs=MANY), "straight", angle=angle, spacing=30, clearance=clearance)
    motifs = shapely.union_all([m.shape for m in MANY])
    assert shapely.distance(lines.geometry, motifs).min() >= clearance - 0.05


def test_clearance_takes_away_nothing_else() -> None:
    runner = plain(motifs=MANY)
    whole = drawn(runner, "straight", angle=30, spacing=30)
    cut = drawn(runner, "straight", angle=30, spacing=30, clearance=6)
    zone = shapely.union_all([m.shape for m in MANY]).buffer(6, 64)
    wanted = shapely.length(shapely.difference(whole.geometry, zone)).sum()
    assert shapely.length(cut.geometry).sum() == pytest.approx(wanted, abs=8 * 3.0)


def test_without_clearance_lines_run_over_motifs() -> None:
    lines = drawn(plain(motifs=MANY), "straight", spacing=40)
    assert np.allclose(shapely.length(lines.geometry), 1830)


def test_a_line_runs_past_both_ends_by_the_overrun() -> None:
    lines = drawn(plain(), "straight", spacing=40, overrun=20)
    assert np.allclose(shapely.bounds(lines.geometry)[:, [0, 2]], [-20, 1850])


def test_a_slanting_line_goes_on_in_its_own_direction() -> None:
    short = drawn(pointed(), "straight", angle=37, spacing=30)
    longer = drawn(pointed(), "straight", angle=37, spacing=30, overrun=15)
    gained = shapely.length(longer.geometry) - shapely.length(short.geometry)
    assert np.allclose(gained, 30)


def test_lines_inside_a_block_stop_at_its_edge() -> None:
    lines = drawn(sashed(), "straight", region="A1", spacing=40, overrun=20)
    assert np.allclose(shapely.bounds(lines.geometry)[:, [0, 2]], [25, 225])


def test_the_cut_ends_at_a_motif_do_not_run_on() -> None:
    lines = drawn(plain(motifs=MANY[4:5]), "straight", spacing=320, clearance=10, overrun=20)
    left, right = sorted(lines.geometry, key=lambda g: g.bounds[0])
    assert left.bounds[0] == pytest.approx(-20) and right.bounds[2] == pytest.approx(1850)
    assert left.bounds[2] == pytest.approx(540 - 50, abs=0.05)


def test_half_an_inch_is_usual_and_never_more_than_the_margin() -> None:
    usual = draw(plain(), [layer("straight", spacing=40)])
    assert np.allclose(shapely.length(usual.geometry), 1830 + 24)
    bare = draw(type(plain())(plain().outline), [layer("straight", spacing=40)])
    assert np.allclose(shapely.length(bare.geometry), 1830)


def test_an_overrun_wider_than_the_wadding_is_refused() -> None:
    with pytest.raises(InputError, match="past the wadding") as error:
        drawn(plain(), "straight", spacing=40, overrun=80)
    assert error.value.key == "quilting[1].overrun"


def test_lines_that_the_binding_would_cover_are_told() -> None:
    """A double-fold binding is sewn on with a 1/4 in seam (common practice)."""
    (remark,) = drawn(plain(), "straight", spacing=100, anchor=5).remarks
    assert remark.code == "line-near-edge" and remark.message.startswith("1 line runs")
    assert not drawn(plain(), "straight", spacing=100, anchor=7).remarks
