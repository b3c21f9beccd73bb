"""A runner cut into parts: nothing lost, nothing twice, nothing outside, cuts where they hide."""

from __future__ import annotations

import math

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from quiltpath.errors import InputError
from quiltpath.machine import MachineProfile, ProfileRegistry
from quiltpath.machine.part_plan import PartPlan, PartSetting, plan_parts, worst_misplacement
from quiltpath.machine.parts import CutSecuring, shared_crosses
from quiltpath.machine.rectangle_cover import Field
from quiltpath.stitching import PointKind, Stitches
from tests.documents.runners import grid_runner, outline, slanted_runner
from tests.formats.designs import Sewn, along, stitches_of, wander

REGISTRY = ProfileRegistry()
LONG = grid_runner(900.0, 300.0)
EDGE = outline(900.0, 300.0)


def _machine(along_mm: float, across_mm: float, **more: object) -> MachineProfile:
    facts = {
        "title": "A machine",
        "kind": "hoop",
        "field": {"along": f"{along_mm} mm", "across": f"{across_mm} mm"},
        "formats": ["dst"],
        **more,
    }
    return MachineProfile.model_validate(facts)


def _sewn_stitches(stitches: Stitches) -> np.ndarray:
    """(s, 4) both ends of every stitch sewn for the quilt's sake, securing left out, sorted."""
    sewn = np.flatnonzero(stitches.is_stitch)
    holes = np.flatnonzero(stitches.kind == PointKind.STITCH)
    before = holes[np.searchsorted(holes, sewn) - 1]
    ends = np.hstack([stitches.points[before], stitches.points[sewn]])
    return ends[np.lexsort(np.round(ends, 6).T)]


def _together(made: PartPlan) -> np.ndarray:
    ends = np.vstack([_sewn_stitches(part.stitches) for part in made.parts])
    return ends[np.lexsort(np.round(ends, 6).T)]


@pytest.mark.parametrize("name", [name for name in REGISTRY.names() if name != "longarm-small"])
@pytest.mark.parametrize("design", [LONG, slanted_runner(900, 300)], ids=["grid", "diagonal"])
def test_the_parts_together_sew_every_stitch_once(name: str, design: Stitches) -> None:
    made = plan_parts(design, REGISTRY.find(name), PartSetting(), outline=EDGE)
    assert np.array_equal(_together(made), _sewn_stitches(design))


@given(
    seed=st.integers(0, 10_000),
    field=st.tuples(st.integers(60, 200), st.integers(60, 200)),
    margin=st.integers(0, 10),
    centre_out=st.booleans(),
    crosses=st.booleans(),
)
@settings(deadline=None, max_examples=40)
def test_nothing_is_sewn_outside_a_fields_safe_margin(
    seed: int, field: tuple[int, int], margin: int, centre_out: bool, crosses: bool
) -> None:
    design = stitches_of([Sewn(wander(seed + k, 150, (40.0 * k, 10.0))) for k in range(3)])
    profile = _machine(*field, margin=f"{margin} mm")
    setting = PartSetting(centre_out=centre_out, sew_crosses=crosses)
    made = plan_parts(design, profile, setting, outline=outline(500, 200))
    usable = np.array(field) - 2 * margin
    for part in made.parts:
        points = part.machine_stitches.points
        assert (np.ptp(points, axis=0) <= usable + 1e-6).all()
        middle = np.array([part.field.centre])
        half = np.array([part.field.right, part.field.high]) - middle
        assert (np.abs(part.stitches.points - middle) <= half + 1e-6).all()
    if not crosses:
        assert np.array_equal(_together(made), _sewn_stitches(design))


def test_a_design_that_fits_is_one_part_and_keeps_every_point() -> None:
    made = plan_parts(LONG, REGISTRY.find("longarm-medium"), PartSetting(), outline=EDGE)
    assert made.in_one
    assert made.parts[0].name == "whole"
    assert np.array_equal(made.parts[0].stitches.points, LONG.points)
    assert np.array_equal(made.parts[0].stitches.kind, LONG.kind)


def test_needle_points_coincide_at_a_cut() -> None:
    """One line of 300 mm in two fields: the first ends on the hole that the second starts at."""
    line = stitches_of([Sewn(along((0, 0), (300, 0)))])
    made = plan_parts(
        line,
        _machine(170, 100),
        PartSetting(securing=CutSecuring(count=0)),
        outline=outline(300, 10),
    )
    first, second = made.parts
    assert np.array_equal(first.stitches.needle_holes[-1], second.stitches.needle_holes[0])
    assert len(made.cuts) == 1
    assert made.cuts[0].at_mm == tuple(second.stitches.needle_holes[0])


def test_with_an_overlap_the_stitches_at_a_cut_are_sewn_twice() -> None:
    line = stitches_of([Sewn(along((0, 0), (300, 0)))])
    setting = PartSetting(overlap_mm=30.0, overlap_stitches=2)
    made = plan_parts(line, _machine(170, 100), setting, outline=outline(300, 10))
    assert len(_together(made)) == len(_sewn_stitches(line)) + 2


def test_both_sides_of_a_cut_are_secured_and_run_ends_are_left_alone() -> None:
    line = stitches_of([Sewn(along((0, 0), (300, 0)))])
    setting = PartSetting(securing=CutSecuring(count=6, length_mm=1.0))
    made = plan_parts(line, _machine(170, 100), setting, outline=outline(300, 10))
    for part in made.parts:
        stitches = part.stitches
        tiny = np.flatnonzero(stitches.kind == PointKind.SECURING)
        assert len(tiny) == 6
        assert stitches.step_mm[tiny] == pytest.approx(1.0)
        assert np.ptp(stitches.points[tiny], axis=0) == pytest.approx((1.0, 0.0))


def test_a_cut_lies_on_a_crossing_where_the_fields_share_one() -> None:
    """Crosswise lines every 20 mm: any overlap of 30 mm holds a crossing, and cuts sit on them."""
    lines = [along((0, 50), (500, 50))]
    lines += [along((x, 0), (x, 100)) for x in range(20, 500, 20)]
    design = stitches_of([Sewn(line) for line in lines])
    made = plan_parts(
        design, _machine(150, 150), PartSetting(overlap_mm=30.0), outline=outline(500, 100)
    )
    lengthwise = [cut for cut in made.cuts if cut.at_mm[1] == 50]
    assert lengthwise
    for cut in lengthwise:
        assert abs(cut.at_mm[0] / 20 - round(cut.at_mm[0] / 20)) * 20 <= 1.8


def test_a_cut_lies_on_a_printed_sashing_line_where_the_fields_share_one() -> None:
    design = stitches_of([Sewn(along((0, 50), (300, 50)))])
    sashing = shapely.LineString([(151.0, 0), (151.0, 100)])
    profile = _machine(190, 150)
    made = plan_parts(design, profile, PartSetting(), outline=outline(300, 100), printed=[sashing])
    assert [abs(cut.at_mm[0] - 151.0) <= 1.7 for cut in made.cuts] == [True]


@pytest.mark.parametrize("centre_out", [False, True])
def test_crosses_are_common_to_a_neighbour_sewn_before(centre_out: bool) -> None:
    profile = REGISTRY.find("hoop-130x180")
    made = plan_parts(LONG, profile, PartSetting(centre_out=centre_out), outline=EDGE)
    cloth = EDGE.buffer(1e-6)
    for part in made.parts[1:]:
        box = shapely.box(part.field.left, part.field.low, part.field.right, part.field.high)
        assert part.crosses.shape == (2, 2)
        assert np.hypot(*np.diff(part.crosses, axis=0)[0]) > 30
        assert shapely.distance(box, shapely.points(part.crosses)).max() <= 1e-6
    assert np.array_equal(made.parts[0].crosses, made.parts[1].crosses)
    marks = np.vstack([part.crosses for part in made.parts])
    assert shapely.contains(cloth, shapely.points(marks)).all()


@pytest.mark.parametrize(("width", "inside"), [(300.0, 25.0), (120.0, 15.0)])
def test_crosses_to_be_marked_lie_an_inch_inside_the_edge(width: float, inside: float) -> None:
    """No pen draws a cross on a raw edge, and the binding would hide it (common practice); on a
    narrow runner they stay three quarters of its width apart."""
    edge, profile = outline(900.0, width), REGISTRY.find("hoop-200x360")
    made = plan_parts(grid_runner(900.0, width), profile, PartSetting(), outline=edge)
    marks = np.vstack([part.crosses for part in made.parts])
    away = shapely.distance(edge.exterior, shapely.points(marks))
    assert len(made.parts) > 1 and away.min() == pytest.approx(inside)
    sewn = PartSetting(sew_crosses=True)
    made = plan_parts(grid_runner(900.0, width), profile, sewn, outline=edge)
    marks = np.vstack([part.crosses for part in made.parts])
    away = shapely.distance(edge.exterior, shapely.points(marks))
    assert away.min() == pytest.approx(3.0), "what the machine sews is hidden by the binding"


def test_crosses_sewn_first_come_with_a_halt_each_and_lie_in_the_field() -> None:
    setting = PartSetting(sew_crosses=True)
    made = plan_parts(LONG, REGISTRY.find("hoop-200x300"), setting, outline=EDGE)
    for part in made.parts:
        stitches = part.stitches
        assert np.count_nonzero(stitches.kind == PointKind.STOP) == 2
        first_holes = stitches.needle_holes[[0, 9]]
        assert np.array_equal(first_holes, part.crosses)


def test_centre_out_starts_in_the_middle_and_never_comes_back_in() -> None:
    made = plan_parts(
        LONG, REGISTRY.find("hoop-200x360"), PartSetting(centre_out=True), outline=EDGE
    )
    away = [round(abs(part.field.centre[0] - 450), 6) for part in made.parts]
    assert away == sorted(away)
    assert away[0] < 20


def test_along_goes_from_the_left_end_to_the_right() -> None:
    made = plan_parts(LONG, REGISTRY.find("hoop-200x360"), PartSetting(), outline=EDGE)
    places = [part.field.centre[0] for part in made.parts]
    assert places == sorted(places)


def test_names_sort_in_sewing_order() -> None:
    made = plan_parts(
        grid_runner(), REGISTRY.find("hoop-100x100"), PartSetting(), outline=outline(1830, 360)
    )
    names = [part.name for part in made.parts]
    assert len(names) > 99
    assert names == sorted(names)
    assert names[0] == f"hooping-001-of-{len(names)}"


def test_a_runner_deeper_than_the_throat_takes_passes_along_the_rails() -> None:
    """320 mm of quilting at 280 mm usable: two passes; 900 mm fits the rail."""
    made = plan_parts(LONG, REGISTRY.find("longarm-small"), PartSetting(), outline=EDGE)
    assert [part.name for part in made.parts] == ["pass-01-of-02", "pass-02-of-02"]
    assert not any(part.field.turned for part in made.parts)


def test_a_runner_longer_than_the_rail_is_refused_with_the_rail_that_would_do() -> None:
    """1830 mm and 10 mm of overrun at each end, and 10 mm of margin: 1870 mm."""
    with pytest.raises(InputError, match=r"the smallest rail that would do is .*\(1870 mm\)"):
        plan_parts(
            grid_runner(), REGISTRY.find("longarm-small"), PartSetting(), outline=outline(1830, 360)
        )


def test_a_field_no_larger_than_its_overlaps_is_refused_with_the_field_that_would_do() -> None:
    with pytest.raises(InputError, match="the smallest field that would do is 87 mm wide"):
        plan_parts(LONG, _machine(80, 80, margin="3 mm"), PartSetting(overlap_mm=40), outline=EDGE)


def test_a_stitch_longer_than_the_machine_sews_is_refused() -> None:
    with pytest.raises(InputError, match=r"a stitch of 3\.2 mm is longer than this machine sews"):
        plan_parts(LONG, _machine(200, 200, longest_stitch="3 mm"), PartSetting(), outline=EDGE)


def test_misplacement_is_the_shift_and_the_chord_of_the_turn() -> None:
    """Half a degree at 100 mm from the pivot: 1 + 200 sin(0.25°) = 1.873 mm, by hand."""
    line = stitches_of([Sewn(along((0, 0), (300, 0)))])
    made = plan_parts(line, _machine(170, 100), PartSetting(), outline=outline(300, 10))
    told = worst_misplacement(made)
    assert told is not None
    pivot = made.parts[1].crosses.mean(axis=0)
    away = math.dist(pivot, told.at_mm)
    assert 1 + 2 * 100 * math.sin(math.radians(0.25)) == pytest.approx(1.8727, abs=1e-4)
    assert told.offset_mm == pytest.approx(1 + 0.8727 * away / 100, abs=1e-3)
    assert told.parts == (1, 2)


def test_the_worst_of_several_joins_is_told() -> None:
    """Lines at several heights are cut at one edge: the outer joins move most."""
    lines = stitches_of([Sewn(along((0, y), (300, y))) for y in (0, 15, 30, 60)])
    made = plan_parts(lines, _machine(170, 100), PartSetting(), outline=shapely.box(0, -5, 300, 65))
    pivots = [part.crosses.mean(axis=0) for part in made.parts]
    moved = [
        1 + 0.8727 / 100 * math.dist(pivots[max(cut.fields) - 1], cut.at_mm) for cut in made.cuts
    ]
    told = worst_misplacement(made)
    assert told is not None and min(moved) < max(moved) - 0.02
    assert told.offset_mm == pytest.approx(max(moved), abs=1e-3)


def test_a_whole_design_has_no_joins_to_misplace() -> None:
    made = plan_parts(LONG, REGISTRY.find("longarm-large"), PartSetting(), outline=EDGE)
    assert worst_misplacement(made) is None


OVAL = shapely.affinity.scale(shapely.Point(600, 200).buffer(1, 160), 600, 200)


@pytest.mark.parametrize("profile", ["hoop-130x180", "hoop-100x100"])
def test_the_needle_gets_to_every_cross_and_none_is_drawn_over_another(profile: str) -> None:
    """Rings in an oval: a part at its end has few stitches, about whose middle its file lies, and
    hoops that lie crosswise among others share narrow strips with several of them."""
    rings = [shapely.affinity.scale(OVAL, share, share) for share in (0.95, 0.75, 0.5, 0.25)]
    design = stitches_of([Sewn(shapely.get_coordinates(ring.exterior)) for ring in rings])
    made = plan_parts(design, REGISTRY.find(profile), PartSetting(), outline=OVAL)
    for part in made.parts:
        field = part.field
        box = shapely.box(field.left, field.low, field.right, field.high)
        assert shapely.distance(box, shapely.points(part.crosses)).max() <= 1e-6
        assert np.hypot(*np.diff(part.crosses, axis=0)[0]) > 30
    marks = np.unique(np.round(np.vstack([part.crosses for part in made.parts]), 3), axis=0)
    apart = np.hypot(*(marks[:, None] - marks[None]).transpose(2, 0, 1))
    assert apart[apart > 0].min() > 10.0, "two arms of 5 mm as the guide draws them"


def test_one_cross_serves_those_that_lie_within_its_reach() -> None:
    """Three crosses within 3 mm become one; one whose field ends before it keeps its own."""
    fields = [Field(0, 0, 100, 100), Field(90, 0, 190, 100), Field(96, 0, 196, 100)]
    own = [
        np.array([[95.0, 50.0], [20.0, 50.0]]),
        np.array([[97.0, 50.0], [180.0, 50.0]]),
        np.array([[98.0, 50.0], [150.0, 90.0]]),
    ]
    first, second, third = shared_crosses(fields, own)
    assert first.tolist() == [[97, 50], [20, 50]]
    assert second.tolist() == [[97, 50], [180, 50]]
    assert third.tolist() == [[97, 50], [150, 90]]
    narrow = [Field(0, 0, 96, 100), *fields[1:]]
    first, second, third = shared_crosses(narrow, own)
    assert first[0].tolist() == second[0].tolist() == [95, 50] and third[0].tolist() == [98, 50]


def test_two_crosses_of_one_part_stay_two() -> None:
    fields = [Field(0, 0, 100, 100), Field(0, 0, 100, 100)]
    own = [np.array([[50.0, 50.0], [58.0, 50.0]]), np.array([[54.0, 50.0], [90.0, 90.0]])]
    for crosses in shared_crosses(fields, own):
        assert np.hypot(*np.diff(crosses, axis=0)[0]) >= 4
