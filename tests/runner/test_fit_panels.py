"""Panels at hand: one long or two short, and where each is trimmed."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from quiltpath.runner.fit import Table
from quiltpath.runner.fit_panels import Join, Panel, PanelChoice, inner_trim_mm, panel_choices
from quiltpath.units import MM_PER_INCH

IN = MM_PER_INCH
EIGHTH = IN / 8
TABLE = Table(60 * IN, 40 * IN)


def short_panel(**more: float) -> Panel:
    """A panel of 40 x 15 in print on 42 x 17 in cloth, ending in 2 in strips."""
    sizes = {
        "length_mm": 42 * IN, "width_mm": 17 * IN, "printed_length_mm": 40 * IN,
        "printed_width_mm": 15 * IN, "end_strip_mm": 2 * IN, "seam_mm": IN / 4, "count": 2,
    }  # fmt: skip
    return Panel("short", **{**sizes, **more})


def test_two_inch_sashing_leaves_an_inch_and_a_quarter() -> None:
    """Common practice: half the finished sashing plus one seam allowance; 2 in and 1/4 in."""
    assert inner_trim_mm(2 * IN, IN / 4) == pytest.approx(1.25 * IN)


def choice_of(join: Join, panel: Panel, wanted: float, width: float = 14 * IN) -> PanelChoice:
    every = panel_choices([panel], TABLE, wanted, width, 2 * IN, EIGHTH)
    return next(choice for choice in every if choice.join is join)


def test_joined_in_the_sashing_both_inner_ends_keep_the_same_strip() -> None:
    """40 in print less a 2 in strip plus half of 2 in: 39 in each, 78 in joined (arithmetic)."""
    choice = choice_of(Join.SASHING, short_panel(), 78 * IN)
    inner = [trim for trim in choice.trims if "join" in trim.where]
    assert [trim.offset_mm for trim in inner] == pytest.approx([1.25 * IN] * 2)
    assert [trim.removed_mm for trim in inner] == pytest.approx([0.75 * IN] * 2)
    assert choice.length_mm == pytest.approx(78 * IN)
    assert choice.drop_mm == pytest.approx(9 * IN)


def test_the_join_stays_in_the_centre_because_both_ends_give_up_the_same() -> None:
    """Common practice; 78 in to 72 in: 3 in off each outer end."""
    choice = choice_of(Join.SASHING, short_panel(), 72 * IN)
    outer = [trim for trim in choice.trims if trim.where.endswith("end")]
    assert [trim.removed_mm for trim in outer] == pytest.approx([3 * IN] * 2)
    assert [trim.offset_mm for trim in outer] == pytest.approx([-1 * IN] * 2)
    assert choice.join_at_mm == pytest.approx(36 * IN)


def test_joined_across_the_print_nothing_is_trimmed_at_the_join() -> None:
    """Common practice: 1/4 in of extra print at each, sewn with a 1/4 in seam."""
    panel = short_panel(end_strip_mm=0.0, overlap_mm=IN / 4)
    choice = choice_of(Join.PRINT, panel, 79.5 * IN)
    assert choice.length_mm == pytest.approx(79.5 * IN)
    assert not [trim for trim in choice.trims if "join" in trim.where]


def test_one_long_panel_is_taken_before_two_short_ones() -> None:
    long = Panel("long", 80 * IN, 17 * IN, 78 * IN, 15 * IN)
    best = panel_choices([short_panel(), long], TABLE, 72 * IN, 14 * IN, 2 * IN, EIGHTH)[0]
    assert (best.panel.name, best.join, best.reaches) == ("long", Join.NONE, True)


def test_where_nothing_reaches_the_longest_is_first_with_the_drop_that_results() -> None:
    best = panel_choices([short_panel()], TABLE, 90 * IN, 14 * IN, 2 * IN, EIGHTH)[0]
    assert not best.reaches
    assert best.length_mm == pytest.approx(78 * IN)
    assert best.drop_mm == pytest.approx(9 * IN)


@pytest.mark.parametrize(
    ("panel", "width", "fault"),
    [
        (short_panel(), 16 * IN, "narrower than the runner"),
        (short_panel(end_strip_mm=0.5 * IN), 14 * IN, "half the finished sashing"),
        (short_panel(end_strip_mm=IN, length_mm=40 * IN), 14 * IN, "seam allowance"),
    ],
)
def test_what_cannot_be_sewn_is_said(panel: Panel, width: float, fault: str) -> None:
    assert fault in choice_of(Join.SASHING, panel, 72 * IN, width).fault


def test_no_panels_no_choices() -> None:
    assert panel_choices([], TABLE, 72 * IN, 14 * IN) == ()


@given(
    wanted=st.floats(1200, 2100),
    width=st.floats(200, 380),
    step=st.sampled_from([1.0, EIGHTH]),
)
def test_cloth_in_is_runner_and_seams_and_waste(wanted: float, width: float, step: float) -> None:
    """Area is conserved, and trims lie on the marks of the ruler."""
    for choice in panel_choices([short_panel()], TABLE, wanted, width, 2 * IN, step):
        cloth = choice.panels_used * 42 * 17 * IN * IN
        seams = 2 * IN / 4 * (choice.panels_used - 1)
        used = (choice.length_mm + seams) * choice.width_mm
        assert used + choice.waste_mm2 == pytest.approx(cloth)
        outer = [trim for trim in choice.trims if "join" not in trim.where]
        assert all((t.removed_mm / step + 1e-6) % 1 < 1e-5 for t in outer)
        if choice.reaches:
            assert wanted - 0.5 <= choice.length_mm <= wanted + 2 * step
