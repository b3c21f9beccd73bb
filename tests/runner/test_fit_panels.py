"""Panels at hand: one long or two short, and where each is trimmed."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from quiltpath.runner.panels import Join, Panel, PanelChoice, Table, inner_trim_mm, panel_choices
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


BOTH = short_panel(overlap_mm=IN / 4)


@pytest.mark.parametrize(
    ("panel", "sashing", "joins"),
    [
        (BOTH, 2 * IN, {Join.NONE, Join.SASHING, Join.PRINT}),
        (short_panel(), 2 * IN, {Join.NONE, Join.SASHING}),
        (short_panel(), 0.0, {Join.NONE, Join.EDGE}),
        (short_panel(end_strip_mm=0.0), 2 * IN, {Join.NONE, Join.EDGE}),
        (short_panel(overlap_mm=IN / 4, end_strip_mm=0.0), 0.0, {Join.NONE, Join.PRINT}),
        (short_panel(overlap_mm=IN / 4, count=1), 2 * IN, {Join.NONE}),
        (short_panel(count=0), 2 * IN, set()),
        (short_panel(count=3), 2 * IN, {Join.NONE, Join.SASHING}),
    ],
)
def test_two_panels_are_joined_where_they_have_something_to_join_by(
    panel: Panel, sashing: float, joins: set[Join]
) -> None:
    """In the sashing they need end strips, across the print an overlap, and two panels always."""
    choices = panel_choices([panel], TABLE, 72 * IN, 14 * IN, sashing, EIGHTH)
    assert {choice.join for choice in choices} == joins
    for choice in choices:
        assert choice.panels_used == (1 if choice.join is Join.NONE else 2)


@pytest.mark.parametrize(
    ("panel", "width", "join", "sound"),
    [
        (short_panel(), 15 * IN + 0.5, Join.NONE, True),
        (short_panel(), 15 * IN + 0.6, Join.NONE, False),
        (short_panel(end_strip_mm=IN), 14 * IN, Join.SASHING, True),
        (short_panel(end_strip_mm=0.99 * IN), 14 * IN, Join.SASHING, False),
        (short_panel(end_strip_mm=IN, length_mm=40.5 * IN), 14 * IN, Join.SASHING, True),
        (short_panel(end_strip_mm=IN, length_mm=40.4 * IN), 14 * IN, Join.SASHING, False),
        (short_panel(overlap_mm=IN / 4 + 0.5), 14 * IN, Join.PRINT, True),
        (short_panel(overlap_mm=IN / 4 + 0.6), 14 * IN, Join.PRINT, False),
        (short_panel(overlap_mm=IN / 4 - 0.6), 14 * IN, Join.PRINT, False),
    ],
)
def test_what_just_can_be_sewn_is_no_fault(
    panel: Panel, width: float, join: Join, sound: bool
) -> None:
    """2 in sashing, 1/4 in seams: an end strip of 1 in shows half the sashing, and 1 1/4 in of
    cloth must be there in all. Half a millimetre is let pass."""
    assert (choice_of(join, panel, 72 * IN, width).fault == "") == sound


def test_sides_and_ends_give_up_alike_and_no_more_than_asked() -> None:
    """15 in print to 14.1 in: half an inch less a bit at each side, down to a mark of 1/8 in."""
    choice = choice_of(Join.NONE, short_panel(), 39 * IN, 14.1 * IN)
    sides = [trim for trim in choice.trims if "side" in trim.where]
    assert [trim.removed_mm for trim in sides] == pytest.approx([3 * EIGHTH] * 2)
    assert choice.width_mm == pytest.approx(14.25 * IN)
    ends = [trim for trim in choice.trims if trim.where.endswith("end")]
    assert [trim.removed_mm for trim in ends] == pytest.approx([IN / 2] * 2)
    assert [trim.offset_mm for trim in ends] == pytest.approx([1.5 * IN] * 2)
    assert choice.length_mm == pytest.approx(39 * IN)
    assert choice.drop_mm == pytest.approx((39 - 60) / 2 * IN)
    used = 39 * 14.25 * IN * IN
    assert choice.waste_share == pytest.approx(1 - used / (42 * 17 * IN * IN))
    whole = choice_of(Join.NONE, short_panel(), 40 * IN, 15 * IN)
    assert not [trim for trim in whole.trims if "side" in trim.where]


def test_choices_come_sound_ones_first_then_those_that_reach_then_by_cloth() -> None:
    """A long one that wastes little, one that wastes more, two joined, then what falls short."""
    snug = Panel("snug", 76 * IN, 16 * IN, 74 * IN, 15 * IN)
    roomy = Panel("roomy", 99 * IN, 18 * IN, 90 * IN, 16 * IN)
    narrow = Panel("narrow", 99 * IN, 12 * IN, 90 * IN, 11 * IN)
    found = panel_choices(
        [narrow, short_panel(), roomy, snug], TABLE, 72 * IN, 14 * IN, 2 * IN, EIGHTH
    )
    named = [(choice.panel.name, choice.join) for choice in found]
    assert named == [
        ("snug", Join.NONE),
        ("roomy", Join.NONE),
        ("short", Join.SASHING),
        ("short", Join.NONE),
        ("narrow", Join.NONE),
    ]
    assert [choice.reaches for choice in found] == [True, True, True, False, False]


def test_what_quilting_takes_comes_off_the_drop() -> None:
    """78 in joined, of which 97 percent is left: 75.66 in on a table of 60."""
    (choice,) = [
        one
        for one in panel_choices(
            [short_panel()], TABLE, 78 * IN, 14 * IN, 2 * IN, EIGHTH, kept_share=0.97
        )
        if one.join is Join.SASHING
    ]
    assert choice.drop_mm == pytest.approx((0.97 * 78 - 60) / 2 * IN)
