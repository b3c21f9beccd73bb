"""What a cutting plan says of itself: on either side of each limit, with its figures."""

from __future__ import annotations

import math
import re

import pytest
from shapely.geometry import LineString, Point, Polygon, box

from quiltpath.findings import for_a_person
from quiltpath.geometry.runner_shapes import Region, RegionKind, Runner, Seam
from quiltpath.materials import CuttingPlan, plan_findings
from quiltpath.materials.strip_packing import MOST_SINGLE
from quiltpath.project import parse
from quiltpath.project.materials_sections import (
    BackingSection,
    BindingSection,
    PanelSection,
    QuiltedSection,
    TableSection,
    TopSection,
)
from quiltpath.project.runner_sections import PrintSection
from quiltpath.project.sewing_sections import WaddingSection
from quiltpath.result.computing import compute
from quiltpath.units import MM_PER_INCH
from tests.materials.plans import cloth, plan

IN = MM_PER_INCH


def planned(outline: Polygon | None = None, **sections: object) -> CuttingPlan:
    """A runner of 2200 by 320 mm that quilting does not draw up, joined in the centre."""
    shape = outline or box(0, 0, 2200, 320)
    seams = (Seam("panel join", LineString([(1100, 0), (1100, 320)]), True),)
    usual: dict[str, object] = {"quilted": QuiltedSection(taken_up=0.0)}
    return plan(Runner(shape, seams=() if outline else seams), **usual | sections)


def said(found: CuttingPlan, code: str) -> list[str]:
    return [finding.text for finding in plan_findings(found) if finding.code == code]


@pytest.mark.parametrize(
    ("table", "lines"),
    [
        (1800, []),
        (
            2150,
            [
                "the runner hangs down 1 in (25 mm) at each end;"
                " 6 to 12 in (150 to 300 mm) is usual, less where somebody sits"
            ],
        ),
    ],
)
def test_an_unusual_drop_is_told_in_both_units(table: float, lines: list[str]) -> None:
    assert said(planned(table=TableSection(length=table, width=900)), "drop-unusual") == lines


def test_a_runner_that_covers_too_much_of_its_table_is_told_by_its_share() -> None:
    """320 of 500 mm are 64 percent."""
    (line,) = said(planned(table=TableSection(length=1800, width=500)), "width-unusual")
    assert line == "the runner is 64% of the table's width; a quarter to a third is usual"
    assert not said(planned(table=TableSection(length=1800, width=1000)), "width-unusual")


@pytest.mark.parametrize(
    ("width", "mats", "over"), [(900, 290, ""), (900, 320, "1 1/8 in (30 mm)"), (300, 0, "")]
)
def test_place_mats_overlap_where_they_reach_under_the_runner(
    width: float, mats: float, over: str
) -> None:
    """(900 - 320) / 2 = 290 mm of table on either side. Where there are no mats a runner that is
    wider than its table lies over none."""
    lines = said(
        planned(table=TableSection(length=1800, width=width, place_mats=mats)), "place-mats-overlap"
    )
    told = f"place mats lie {over} over the runner on each side"
    assert lines == ([f"{told}; make the runner narrower by twice that"] if over else [])


def test_without_a_table_nothing_is_said_of_it() -> None:
    codes = {finding.code for finding in plan_findings(planned())}
    assert not codes & {"drop-unusual", "width-unusual", "place-mats-overlap"}


def test_panels_are_told_that_do_not_fit_and_those_that_do_not_reach() -> None:
    """One panel of 1050 mm of print reaches 1050 of 2200; one of 300 mm is too narrow for 320."""
    short = PanelSection(size=(1100, 400), printed=(1050, 360), end_strip=50, seam=6)
    assert said(planned(panel=(short,)), "panels-too-short")
    assert not said(planned(panel=(short,)), "panels-do-not-fit")
    narrow = PanelSection(size=(2400, 310), printed=(2350, 300), seam=6)
    (line,) = said(planned(panel=(narrow,)), "panels-do-not-fit")
    assert line.startswith("no panel at hand can be used: ")
    assert not said(planned(panel=(narrow,)), "panels-too-short")
    long = PanelSection(size=(2400, 400), printed=(2350, 360), seam=6)
    codes = {finding.code for finding in plan_findings(planned(panel=(long,)))}
    assert not codes & {"panels-do-not-fit", "panels-too-short"}


def leaning(degrees: float, misread_mm: float = 0.0) -> PrintSection:
    """A print of 2200 by 320 mm that leans, and both diagonals read too long."""
    shift = 320 * math.sin(math.radians(degrees))
    high = 320 * math.cos(math.radians(degrees))
    rising, falling = math.hypot(2200 + shift, high), math.hypot(2200 - shift, high)
    diagonals = rising + misread_mm, falling + misread_mm
    return PrintSection(lengths=(2200,) * 3, widths=(320,) * 3, diagonals=diagonals)


@pytest.mark.parametrize("way", [1, -1])
def test_a_print_out_of_square_is_told_from_a_fifth_of_a_degree_on(way: int) -> None:
    """320 sin(0.5 degrees) = 2.8 mm, a 3 on the tape: 2197 by 320 mm is square in it."""
    assert not said(planned(print=leaning(0.19 * way)), "print-off-square")
    assert said(planned(print=leaning(0.21 * way)), "print-off-square")
    (line,) = said(planned(print=leaning(0.5 * way)), "print-off-square")
    assert line == (
        "the print is 0.5 degrees out of square, its ends shifted by 3 mm; the largest true"
        " rectangle is 86 1/2 in (2197 mm) by 12 5/8 in (320 mm); trim to that rectangle;"
        " quilting lines follow the print that is there"
    )
    assert not said(planned(print=leaning(0.5)), "print-measures-disagree")


def test_sides_and_diagonals_that_cannot_belong_together_are_told() -> None:
    """Diagonals 30 mm longer than their sides allow: no panel has them, a slip of the tape does."""
    (line,) = said(planned(print=leaning(0.0, 30.0)), "print-measures-disagree")
    assert line.startswith("sides and diagonals of the print disagree by ")
    assert line.endswith("; measure again, the diagonals first")
    assert not said(planned(print=leaning(0.0, 3.0)), "print-measures-disagree")


def test_a_backing_seam_that_cannot_keep_clear_is_told_with_what_it_is_near() -> None:
    """Both layers are 520 mm wide and joined along the runner from cloth of 300 mm: 900 mm to
    either side of the wadding's join leave no place for the backing's, nor does the panel join
    across the runner. Where nothing is kept clear there is nothing to say."""
    cloths = cloth("wadding", "wadding", width=300), cloth("backing", "backing", width=300)
    wadding, backing = WaddingSection(extra=100), BackingSection(extra=100, seam=6, clear=900)
    assert said(planned(backing=backing, wadding=wadding, cloth=cloths), "seam-near-seam") == [
        "a backing join cannot keep clear of wadding join 1;"
        " take a wider cloth, or allow less clearance"
    ]
    anywhere = backing.replaced(clear=0.0)
    assert said(planned(backing=anywhere, wadding=wadding, cloth=cloths), "seam-near-seam") == []


def test_a_binding_that_falls_short_is_told_with_what_it_needs() -> None:
    """5040 mm, 57.15 mm overlap, 12.7 mm of mitres and 203.2 mm to handle: 5313 mm."""
    scrap, bolt = (
        cloth("scrap", "binding", width=900, length=100),
        cloth("bolt", "binding", width=900),
    )
    (line,) = said(planned(cloth=(scrap,)), "binding-too-short")
    told = "the cloth at hand does not give 209 1/8 in (5313 mm) of binding; add a cloth"
    assert line == told
    assert not said(planned(cloth=(bolt,)), "binding-too-short")


@pytest.mark.parametrize(("allowance", "short"), [(69.8, True), (69.9, False)])
def test_an_allowance_must_hold_the_overlap_and_the_mitres(allowance: float, short: bool) -> None:
    """One strip width of 57.15 mm and four mitres of 3.175: 69.85 mm over the perimeter."""
    lines = said(planned(binding=BindingSection(allowance=allowance)), "binding-allowance-short")
    assert bool(lines) is short
    if short:
        assert lines[0] == (
            "the allowance leaves 201 1/8 in (5110 mm) of strip, the edge takes 201 1/8 in"
            " (5110 mm); allow at least a strip width and the mitres"
        )


def test_a_join_that_comes_too_near_is_told_where_and_how_near() -> None:
    """A triangle with sides of 120 mm: the middle of a side is 60 mm from its corners, less 44 mm
    more that the open stretch takes."""
    side = 120.0
    triangle = Polygon([(0, 0), (side, 0), (side / 2, side * math.sqrt(0.75))])
    found = planned(triangle, cloth=(cloth("binding", "binding", width=5000),))
    (finding,) = [f for f in plan_findings(found) if f.code == "binding-join-near"]
    wanted = 60.0 - (4 * IN - 2 * IN)
    assert found.binding.joins.least_mm == pytest.approx(wanted)
    assert finding.message == (
        "the best start still brings a binding join within 3/8 in (9 mm) of a corner, the panel"
        " join or another join"
    )
    assert finding.at_mm is not None
    assert triangle.exterior.distance(Point(finding.at_mm)) < 1e-6
    assert not said(planned(), "binding-join-near")


def test_what_is_nearer_than_nothing_is_told_as_nothing() -> None:
    """With sides of 60 mm the open stretch reaches round the corner: 30 mm less 51."""
    found = planned(box(0, 0, 60, 60), cloth=(cloth("binding", "binding", width=5000),))
    assert found.binding.joins.least_mm == pytest.approx(30 - 2 * IN)
    (line,) = said(found, "binding-join-near")
    assert "within 0 in (0 mm) of a corner" in line


@pytest.mark.parametrize(("at_hand", "short"), [(2420.0, False), (2350.0, True)])
def test_cloth_that_is_too_short_is_told_with_what_is_there(at_hand: float, short: bool) -> None:
    """2400 mm of backing in one piece."""
    cream = cloth("cream", "backing", width=1020, length=at_hand)
    backing = BackingSection(extra=100, seam=6, seam_worth=100_000)
    lines = said(planned(backing=backing, cloth=(cream,)), "cloth-too-short")
    told = "cream: what is at hand holds 0 of 1 piece, the rest takes 94 1/2 in (2400 mm) more"
    assert lines == ([f"{told}; the shopping list has it"] if short else [])


@pytest.mark.parametrize("more", [0, 1])
def test_however_many_parts_a_top_has_its_cloth_is_laid_out_and_bought(more: int) -> None:
    """32 mm squares, 31 to a strip of 1016 mm: 13 strips of 32 mm, whichever way they are laid."""
    number = MOST_SINGLE + more
    squares = tuple(Region(f"{n}", RegionKind.BLOCK, box(0, 0, 20, 20)) for n in range(number))
    top, blue = TopSection(made="pieced", seam=6), cloth("blue", "block")
    found = plan(Runner(box(0, 0, 400, 400), squares), top=top, cloth=(blue,))
    (laid,) = [layout for layout in found.layouts if layout.cloth.name == "blue"]
    assert laid.piece_count == number and laid.length_mm == pytest.approx(13 * 32)
    (line,) = [item for item in found.shopping if item.name == "blue"]
    assert line.need == pytest.approx(13 * 32 + 2 * IN)


def test_a_curve_bound_straight_is_told_and_how_to_answer_it() -> None:
    disc = Point(300, 300).buffer(300, 64)
    assert said(planned(disc), "binding-needs-bias")
    assert not said(planned(disc, binding=BindingSection(cut="bias")), "binding-needs-bias")
    assert not said(planned(), "binding-needs-bias")


def test_what_a_curve_is_answered_with_can_be_written_into_the_project() -> None:
    """The remedy's own words, put where it says, are read and answer it."""
    text = '[runner]\nshape = "round"\nlength = "20 in"\n'
    (remedy,) = [f.remedy for f in compute(parse(text)).findings if f.code == "binding-needs-bias"]
    wanted = re.fullmatch(r'.*: (cut = "bias") under (\[binding\])', remedy)
    assert wanted is not None
    key, table = wanted.groups()
    answered = compute(parse(f"{text}{table}\n{key}\n"))
    assert "binding-needs-bias" not in {finding.code for finding in answered.findings}


def test_a_pieced_top_without_a_grid_is_told_to_have_no_parts() -> None:
    """Else its cloth would silently be missing; the remedy that is named gives one piece of it."""
    text = (
        'units = "mm"\n[runner]\nlength = 900\nwidth = 300\n[top]\nmade = "pieced"\n'
        '[[quilting]]\nkind = "straight"\nspacing = 50\n'
    )
    code = "top-without-parts"
    bare, one = compute(parse(text)), compute(parse(f"{text}[grid]\nalong = 1\n"))
    assert code in {finding.code for finding in bare.findings} and not bare.cutting.top_cuts
    assert code not in {finding.code for finding in one.findings}
    assert [cut.count for cut in one.cutting.top_cuts] == [1]
    at_hand = compute(parse(text.replace("pieced", "at hand")))
    assert code not in {finding.code for finding in at_hand.findings}


def test_panels_too_few_for_the_copies_are_a_finding_and_no_fault_of_the_program() -> None:
    text = """units = "in"
[runner]
length = 36
width = 14
[[panel]]
size = [40, 17]
printed = [38, 15]
count = 2
[[quilting]]
kind = "straight"
spacing = 1
[materials]
copies = 3
"""
    found = compute(parse(text))
    told = [f.message for f in found.findings if f.code == "panels-too-few"]
    assert len(told) == 1 and "1 panel short" in told[0]
    assert found.runner.length_mm > 36 * IN * 0.99
    enough = compute(parse(text.replace("copies = 3", "copies = 2")))
    assert "panels-too-few" not in {finding.code for finding in enough.findings}


PIECED = """
units = "in"
[runner]
length = "{length} in"
width = "12 in"
size_is = "flat"
[grid]
along = {along}
sashing = "1 in"
outer_sashing = "1 in"
{border}
[top]
made = "pieced"
[[quilting]]
kind = "straight"
"""


@pytest.mark.parametrize(
    ("length", "along", "told", "mild"),
    [
        # (40 - 8) / 7 = 4.571, cut as 4 5/8: 7 of them and 8 strips are 40 3/8
        (40, 7, "flat top of 40 3/8 in by 12 in: 3/8 in longer than wished", False),
        # (60 - 14) / 13 = 3.538, cut as 3 1/2: 59 1/2
        (60, 13, "flat top of 59 1/2 in by 12 in: 1/2 in shorter than wished", False),
        # (45 - 8) / 7 = 5.286, cut as 5 1/4: 44 3/4
        (45, 7, "flat top of 44 3/4 in by 12 in: 1/4 in shorter than wished", True),
        # (37 - 7) / 6 = 5
        (37, 6, "", True),
    ],
)
def test_a_pieced_top_that_is_wished_flat_is_told_to_come_out_otherwise(
    length: int, along: int, told: str, mild: bool
) -> None:
    result = compute(parse(PIECED.format(length=length, along=along, border="")))
    found = [f for f in result.findings if f.code == "pieced-by-the-ruler"]
    assert result.states.flat.length_mm == pytest.approx(result.cutting.pieced.size_mm[0])
    if not told:
        assert not found
        return
    (one,) = found
    assert told in one.message and one.mild is mild
    assert bool(for_a_person(found)) is not mild


def test_a_border_that_grows_takes_what_the_ruler_leaves() -> None:
    """The remedy as the finding words it, carried out."""
    text = PIECED.format(length=72, along=10, border='border = "1 in"')
    text = text.replace('made = "pieced"', 'made = "pieced"\ngrows = "border"')
    result = compute(parse(text))
    # (72 - 13) / 10 = 5.9, cut as 5 7/8: 1/4 in is left, 1/8 for each end
    assert result.states.flat.length_mm == pytest.approx(72 * IN)
    assert result.cutting.pieced is not None and result.cutting.pieced.border is not None
    ends = result.cutting.pieced.border.ends
    assert ends.along_mm == pytest.approx((1 + 1 / 8 + 1 / 4) * IN, abs=0.1)
    assert not [f for f in result.findings if f.code == "pieced-by-the-ruler"]
