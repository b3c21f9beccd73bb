"""Hoopings chosen by what they cost a person: fewer ones, better places, nothing left bare."""

from __future__ import annotations

from itertools import product

import numpy as np
import pytest

from quiltpath.machine import MachineProfile
from quiltpath.machine.field_choice import Overlaps, choose_fields
from quiltpath.machine.hooping_cuts import hiding_grades
from quiltpath.machine.hooping_search import CutTask, best_places, covered, overlap_of
from quiltpath.machine.part_plan import PartSetting, plan_parts
from quiltpath.machine.rectangle_cover import Field, fewest_fields, least_fields
from quiltpath.project import parse
from quiltpath.project.sewing_sections import MachineSection
from quiltpath.result.computing import compute
from quiltpath.result.machine_parts import MachineParts
from tests.documents.runners import outline
from tests.formats.designs import Sewn, along, stitches_of

SUPPER = (-12.0, -12.0, 1840.8, 367.6)
"""What is sewn of a runner of 72 by 14 in whose lines run on by 12 mm."""


def hoop(wide: float, high: float, **more: object) -> MachineProfile:
    facts = {
        "title": "A hoop",
        "kind": "hoop",
        "field": {"along": f"{wide} mm", "across": f"{high} mm"},
        "formats": ["dst"],
        **more,
    }
    return MachineProfile.model_validate(facts)


@pytest.mark.parametrize(
    ("size", "wished", "fewer", "overlap"), [((194, 294), 18, 14, 4.0), ((194, 354), 17, 12, 8.0)]
)
def test_the_usual_overlap_would_cost_a_runner_of_72_by_14_in_rows_of_hoopings(
    size: tuple[float, float], wished: int, fewer: int, overlap: float
) -> None:
    """By hand: two rows of hoops lying turned are 2 x 194 - 8 = 380 mm deep, as deep as is sewn;
    along, 7 x 294 - 6 x 8 = 2010 mm and 6 x 354 - 5 x 8 = 2084 mm. With 12 mm two rows are 376."""
    assert len(fewest_fields(SUPPER, size, 12.0, True)) == wished
    assert len(fewest_fields(SUPPER, size, overlap, True)) == fewer
    assert least_fields(SUPPER, size, 4.0, True) == fewer


@pytest.fixture(scope="module")
def supper() -> MachineParts:
    project = parse(
        """
        title = "Supper"
        units = "in"
        runner = { length = 72, width = 14, size_is = "flat" }
        quilting = [
          { kind = "straight", spacing = 4, angle = 90 }, { kind = "straight", spacing = 3 }
        ]
        """
    )
    section = MachineSection.model_validate({"profile": "hoop-200x360", "least_overrun": 12.0})
    made = compute(project.replaced(machine=section)).machine
    assert isinstance(made, MachineParts)
    return made


def test_an_overlap_is_given_up_as_far_as_it_saves_hoopings_and_the_sheet_says_so(
    supper: MachineParts,
) -> None:
    choice = supper.plan.choice
    assert choice.taken.cost.loadings == len(supper.parts) == 12
    assert choice.fewest == 12
    assert 4.0 <= choice.taken.way.overlap_mm <= 8.4
    assert choice.runner_up is not None
    assert choice.runner_up.cost.loadings == 17
    told = " ".join(choice.words("hooping", "hoopings"))
    assert told.startswith("12 hoopings (overlapping by ")
    assert "Next best: 17 hoopings (overlapping by 1/2 in (12 mm) or more)" in told
    assert "Fewer than 12 hoopings do not reach all of it." in told


def test_the_cost_told_is_that_of_the_parts(supper: MachineParts) -> None:
    cost = supper.plan.choice.taken.cost
    assert cost.cuts == len(supper.cuts)
    assert cost.starts == sum(part.pieces for part in supper.parts)


def test_lines_that_end_sooner_save_hoopings_without_giving_up_overlap() -> None:
    """355.6 + 2 x 6 = 367.6 mm, in two rows that overlap by 2 x 194 - 367.6 = 20.4 mm."""
    project = parse(
        """
        units = "in"
        runner = { length = 72, width = 14, size_is = "flat" }
        quilting = [
          { kind = "straight", spacing = 4, angle = 90 }, { kind = "straight", spacing = 3 }
        ]
        machine = { profile = "hoop-200x360", least_overlap = "12 mm" }
        """
    )
    made = compute(project).machine
    assert isinstance(made, MachineParts)
    assert len(made.parts) == 12
    way = made.plan.choice.taken.way
    assert (way.overlap_mm, way.overrun_mm) == (12.0, 6.0)
    holes = np.vstack([part.stitches.needle_holes for part in made.parts])
    assert holes[:, 1].min() == pytest.approx(-6.0, abs=0.01)
    assert holes[:, 1].max() == pytest.approx(355.6 + 6.0, abs=0.01)


CROSSED = [along((0, 50), (300, 50)), along((0, 20), (300, 20))]
CROSSED += [along((x, 0), (x, 100)) for x in (40, 117, 204, 263)]


def test_no_places_of_two_hoopings_cost_less_where_all_can_be_tried() -> None:
    """Two fields of 170 mm over 300 mm share at least 12 mm: all pairs of whole millimetres."""
    design = stitches_of([Sewn(line) for line in CROSSED])
    bounds = (0.0, 0.0, 300.0, 100.0)
    grade = hiding_grades(design, design.hole_indices)
    profile = hoop(170, 100, turns=False)
    ours = choose_fields(design, grade, bounds, profile, Overlaps(12.0, 12.0)).choice.taken.cost
    cutting = CutTask(design, grade, 0, bounds, 12.0)
    every = []
    for left, right in product(range(-40, 1), range(130, 171)):
        pair = Field(left, 0, left + 170, 100), Field(right, 0, right + 170, 100)
        if covered(pair, bounds, 12.0):
            every.append(cutting.by(pair).cost)
    assert len(every) > 300
    assert ours[:3] <= min(every)[:3]


def test_fields_slide_until_a_cut_hides() -> None:
    """Even fields share 145 to 155 mm, where no line crosses; 204 mm can be reached by sliding."""
    design = stitches_of([Sewn(along((0, 50), (300, 50))), Sewn(along((122, 0), (122, 100)))])
    bounds = (0.0, 0.0, 300.0, 100.0)
    grade = hiding_grades(design, design.hole_indices)
    cutting = CutTask(design, grade, 0, bounds, 4.0)
    even = fewest_fields(bounds, (180, 100), 4.0, False)
    assert cutting.by(even).cost.open_cuts == 1
    best, tried = best_places(cutting, even, 80)
    assert best.cost.open_cuts == 0
    assert tried <= 80


def test_what_is_bare_is_seen() -> None:
    """Two fields of 60 over 100 by 10 share 20: with 20 in common all is covered, with 21 not."""
    pair = Field(0, 0, 60, 10), Field(40, 0, 100, 10)
    bounds = (0.0, 0.0, 100.0, 10.0)
    assert covered(pair, bounds, 9.0)
    assert not covered((pair[0], Field(61, 0, 121, 10)), bounds, 0.0)
    assert overlap_of(pair, bounds, 9.0) == 9.0
    far = (pair[0], Field(53, 0, 113, 10))
    assert overlap_of(far, bounds, 9.0) == pytest.approx(7.0, abs=0.1)


def test_an_overlap_that_sewn_crosses_need_is_kept() -> None:
    """A cross is 6 mm wide and lies whole in both fields."""
    design = stitches_of([Sewn(line) for line in CROSSED])
    profile = hoop(155, 100, turns=False)
    sewn = PartSetting(overlap_mm=12.0, least_overlap_mm=4.0, sew_crosses=True)
    for setting, fields in ((PartSetting(), 2), (sewn, 2)):
        made = plan_parts(design, profile, setting, outline=outline(300, 100))
        assert len(made.parts) == fields
    assert made.choice.taken.way.overlap_mm >= 6.0


@pytest.mark.parametrize(
    ("bounds", "size", "turns", "least"),
    [
        ((0, 0, 100, 50), (120, 60), False, 1),
        ((0, 0, 50, 100), (120, 60), True, 1),
        ((0, 0, 240, 60), (120, 60), False, 2),
        ((0, 0, 241, 60), (120, 60), False, 3),
        ((0, 0, 300, 130), (120, 60), False, 9),
        ((0, 0, 300, 130), (120, 60), True, 6),
    ],
)
def test_the_bound_by_hand(
    bounds: tuple[float, float, float, float], size: tuple[float, float], turns: bool, least: int
) -> None:
    """Without overlap: three rows of three, for 130 mm is more than twice 60; turned, by area
    39000 / 7200, and two lines 130 mm apart that each take three."""
    assert least_fields(bounds, size, 0.0, turns) == least
