"""Several of one kind, and what is bought over the need."""

from __future__ import annotations

import pytest
from shapely.geometry import box

from quiltpath.documents.instructions.gather_step import shopping_line
from quiltpath.geometry.runner_shapes import Runner
from quiltpath.materials import CuttingPlan, plan_findings
from quiltpath.materials.cloth_layouts import cloth_items
from quiltpath.materials.shopping import Cloth
from quiltpath.materials.strip_packing import ClothLayout
from quiltpath.project.materials_sections import MaterialsSection, PanelSection
from quiltpath.runner.panels import Join
from quiltpath.units import MM_PER_INCH as IN
from quiltpath.units import Measures
from tests.materials.plans import plan


def mats(copies: int, **sections: object) -> CuttingPlan:
    """Place mats of 18 by 13 in."""
    return plan(
        Runner(box(0, 0, 18 * IN, 13 * IN)),
        materials=MaterialsSection(copies=copies),
        thread_m=(20, 20),
        bobbins=1,
        **sections,
    )


def test_four_mats_are_cut_from_four_times_the_pieces() -> None:
    one, four = mats(1), mats(4)
    for single, all_of_them in zip(one.layouts, four.layouts, strict=True):
        assert all_of_them.cloth == single.cloth
        assert all_of_them.piece_count == 4 * single.piece_count
    assert four.binding.strips == one.binding.strips  # each mat is bound by itself


def test_four_mats_share_the_width_of_the_cloth() -> None:
    """Backing of 26 by 21 in, 4 in more all round: one is as much as 40 in hold beside another, so
    four take 4 x 21 in lying across or less; wadding of 24 by 19 in lies three across 90 in."""
    four = {layout.cloth.name: layout for layout in mats(4).layouts}
    one = {layout.cloth.name: layout for layout in mats(1).layouts}
    assert four["backing"].length_mm <= 4 * one["backing"].length_mm
    assert four["wadding"].length_mm < 4 * one["wadding"].length_mm


def test_what_one_would_join_two_cut_side_by_side() -> None:
    """Wadding of 42 by 20 in on 90 in of width: one by itself is joined from two halves of 10 in
    side by side, 10 in shorter; two lie beside each other whole on the same 20 in."""
    top = Runner(box(0, 0, 36 * IN, 14 * IN))
    one = plan(top, materials=MaterialsSection(copies=1))
    two = plan(top, materials=MaterialsSection(copies=2))
    lengths = []
    for found in (one, two):
        (laid,) = [x for x in found.layouts if x.cloth.name == "wadding"]
        lengths.append(laid.length_mm)
    assert [len(found.layers.wadding.pieces) for found in (one, two)] == [2, 1]
    assert lengths == pytest.approx([10 * IN, 20 * IN])


def test_thread_is_bought_for_all_and_needles_pins_and_foot_once() -> None:
    """40 m to a mat are 160 m, one spool of 200; a bobbin to each."""
    need = {item.name: item.need for item in mats(4).shopping}
    once = {item.name: item.need for item in mats(1).shopping}
    assert need["quilting thread"] == 160 == 4 * once["quilting thread"]
    assert need["bobbins"] == 4
    assert (need["basting pins"], need["needles"], need["foot"]) == (once["basting pins"], 1, 1)


def test_two_short_runners_come_from_two_panels_one_each() -> None:
    """Two panels of 50 mm end strips and a sashing would be joined for one runner; for two copies
    each is made of one."""
    panel = PanelSection(size=(700, 400), printed=(650, 360), end_strip=50, seam=6, count=2)
    found = mats(2, panel=(panel,))
    assert found.panel_choices[0].join is Join.NONE
    assert all(choice.panels_used == 1 for choice in found.panel_choices)
    assert "panels-too-few" not in {finding.code for finding in plan_findings(found)}
    (missing,) = [f for f in plan_findings(mats(3, panel=(panel,))) if f.code == "panels-too-few"]
    assert missing.message == "3 are to be made, of a panel each at least: 1 panel short"


@pytest.mark.parametrize("allowance", [0.0, 2 * IN, 100.0])
def test_cloth_is_bought_with_its_allowance_and_the_list_says_so(allowance: float) -> None:
    (line,) = cloth_items([ClothLayout(Cloth("cream"), (), 1000.0)], allowance)
    assert (line.need, line.short) == (1000 + allowance, 1000 + allowance)
    told = shopping_line(line, Measures("metric"))
    assert ("for crooked cuts and the first wash" in told) is (allowance > 0)


def test_cloth_at_hand_that_holds_all_needs_nothing_more() -> None:
    (line,) = cloth_items([ClothLayout(Cloth("cream", length_mm=1100.0), (), 1080.0)], 2 * IN)
    assert line.short == 0 and line.need == 1080 and line.allowance_mm == 0


def test_the_rest_is_bought_as_a_length_of_its_own() -> None:
    """1000 mm of the 1500 at hand are used; 1000 mm and 2 in are bought."""
    held = ClothLayout(Cloth("cream", length_mm=1500.0), (), 1000.0, "at hand")
    new = ClothLayout(Cloth("cream"), (), 1000.0, "to buy")
    (line,) = cloth_items([held, new], 2 * IN)
    assert line.short == pytest.approx(1000 + 2 * IN) and line.have == 1500
