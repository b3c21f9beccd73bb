"""The whole plan for real runners: it hangs together, and it says what it cannot do."""

from __future__ import annotations

import json
import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely.geometry import LineString, Point, Polygon, box

from quiltpath.documents.cutting_report import cutting_report
from quiltpath.geometry.runner_shapes import Region, RegionKind, Runner, Seam
from quiltpath.materials import CuttingPlan, plan_findings
from quiltpath.project.materials_sections import (
    BackingSection,
    BastingSection,
    BindingSection,
    MaterialsSection,
    PanelSection,
    QuiltedSection,
    StockSection,
    TableSection,
    TopSection,
)
from quiltpath.project.runner_sections import GridSection
from quiltpath.project.sewing_sections import ThreadSection
from quiltpath.units import MM_PER_INCH
from tests.materials.plans import cloth, plan

IN = MM_PER_INCH


def long_runner(length: float = 2200, width: float = 320) -> Runner:
    """Two panels joined in the centre."""
    middle = length / 2
    join = Seam("panel join", LineString([(middle, 0), (middle, width)]), True)
    return Runner(box(0, 0, length, width), seams=(join,))


def pointed() -> Runner:
    """Ends that come to a point of 90 degrees."""
    shape = [(0, 150), (150, 0), (1350, 0), (1500, 150), (1350, 300), (150, 300)]
    return Runner(Polygon(shape))


def codes(found: CuttingPlan) -> set[str]:
    return {finding.code for finding in plan_findings(found)}


def test_the_report_has_the_keys_that_other_programs_rely_on() -> None:
    content = cutting_report(plan(long_runner()))
    assert {"backing", "wadding", "binding", "shopping"} <= set(content)
    assert isinstance(content["shopping"], list)
    assert json.loads(json.dumps(content)) == json.loads(json.dumps(content))


def test_every_piece_of_every_layer_is_in_a_layout() -> None:
    found = plan(long_runner())
    laid = [p.piece for layout in found.layouts for p in layout.placed]
    layers = found.layers
    wanted = [*layers.backing.pieces, *layers.wadding.pieces]
    area = sum(p.on_length_mm * p.on_width_mm for p in wanted)
    area += found.binding.setting.width_mm * sum(found.binding.strips.lengths_mm)
    assert sum(p.on_length_mm * p.on_width_mm for p in laid) == pytest.approx(area)


def test_the_shopping_list_buys_what_the_layouts_use() -> None:
    found = plan(long_runner())
    need = {item.name: item.need for item in found.shopping if item.unit == "mm of cloth"}
    laid = {layout.cloth.name: layout.length_mm for layout in found.layouts}
    assert need == {name: pytest.approx(mm + 2 * IN) for name, mm in laid.items()}
    bare = plan(long_runner(), materials=MaterialsSection(allowance=0))
    assert {i.name: i.need for i in bare.shopping if i.unit == "mm of cloth"} == laid


def test_backing_and_binding_of_one_cloth_share_its_layout() -> None:
    blue = cloth("blue cotton", "backing", "binding", width=1070)
    found = plan(long_runner(), backing=BackingSection(extra=100, seam=6.35), cloth=(blue,))
    (shared,) = [layout for layout in found.layouts if layout.cloth.name == "blue cotton"]
    names = {placed.piece.name.split()[0] for placed in shared.placed}
    assert names == {"backing", "binding"}
    assert (
        shared.length_mm
        <= found.layers.backing.cloth_mm + 6 * found.binding.setting.width_mm + 1e-6
    )


def test_quilting_is_allowed_for_in_the_layers_but_not_in_the_binding() -> None:
    """Binding goes round what is quilted; layers go under what is not yet."""
    plain = plan(long_runner(), quilted=QuiltedSection(taken_up=0.0))
    drawn = plan(long_runner(), quilted=QuiltedSection(taken_up=0.02))
    assert round(drawn.top.cut_length_mm) == round(2200 / 0.98)
    assert drawn.layers.backing.size.length_mm > plain.layers.backing.size.length_mm
    assert drawn.binding.needed == plain.binding.needed


def test_what_washing_will_take_is_bound_with_the_rest() -> None:
    """2363 mm cut, 2200 / 0.95 = 2316 mm when it is squared up and bound, 2200 mm once washed;
    round it is 5040 / 0.95 = 5305 mm (arithmetic)."""
    drawn = plan(long_runner(), quilted=QuiltedSection(taken_up=0.02, wash=0.05))
    assert round(drawn.top.cut_length_mm) == 2363
    assert drawn.edge.ring.max(axis=0) == pytest.approx([2200 / 0.95, 320 / 0.95])
    assert drawn.binding.edge.length_mm == pytest.approx(5040 / 0.95)


def test_binding_is_cut_for_what_was_measured_after_quilting() -> None:
    """2186 x 316 mm measured: perimeter 5004 mm (arithmetic), not the 5040 planned."""
    measured = QuiltedSection(lengths=(2190, 2186), widths=(316, 318))
    found = plan(long_runner(), quilted=measured)
    assert found.binding.edge.length_mm == pytest.approx(2 * (2186 + 316))
    places = [found.binding.edge.point_at(at) for at in found.binding.panel_joins_mm]
    assert [x for x, _ in places] == pytest.approx([1093, 1093])


def test_joins_keep_clear_of_the_panel_join_on_both_sides() -> None:
    binding = plan(long_runner()).binding
    for at in (*binding.joins.joins_mm, binding.joins.start_mm):
        x, y = binding.edge.point_at(at)
        on_long_side = y in (0.0, 320.0)
        assert not on_long_side or abs(x - 1100) >= 2 * IN


def test_a_pointed_runner_is_mitred_at_its_own_angles() -> None:
    """Two points of 90 and four shoulders of 135 degrees; 1/4 in seam stops 6.35 tan(22.5)."""
    rows = plan(pointed()).binding.mitres
    assert [(row.angle_deg, row.corners) for row in rows] == [(90, 2), (135, 4)]
    assert rows[1].stop_mm == pytest.approx(6.35 * math.tan(math.radians(22.5)))


def test_a_curved_edge_asks_for_bias_and_bias_answers_it() -> None:
    oval = Runner(Point(0, 0).buffer(300, 64))
    assert "binding-needs-bias" in codes(plan(oval))
    found = plan(oval, binding=BindingSection(cut="bias"))
    assert "binding-needs-bias" not in codes(found)
    assert found.binding.bias_mm is not None
    along, across = found.binding.bias_mm
    assert along * across / found.binding.setting.width_mm >= found.binding.needed.total_mm


def test_bias_longer_than_the_cloth_is_wide_comes_from_a_rectangle() -> None:
    binding = plan(
        long_runner(),
        binding=BindingSection(cut="bias"),
        cloth=(cloth("narrow", "binding", width=450),),
    ).binding
    along, across = binding.bias_mm or (0, 0)
    assert across == 450
    assert along * across >= binding.needed.total_mm * binding.setting.width_mm - 1e-6


@pytest.mark.parametrize(
    ("sections", "code"),
    [
        ({"table": TableSection(length=2150, width=900)}, "drop-unusual"),
        ({"table": TableSection(length=1800, width=500)}, "width-unusual"),
        ({"table": TableSection(length=1800, width=900, place_mats=320)}, "place-mats-overlap"),
        ({"cloth": (cloth("scrap", "binding", width=900, length=100),)}, "binding-too-short"),
        ({"binding": BindingSection(allowance=10)}, "binding-allowance-short"),
        ({"binding": BindingSection(clear=400)}, "binding-join-near"),
        ({"cloth": (cloth("cream", "backing", width=1020, length=500),)}, "cloth-too-short"),
    ],
)
def test_what_a_person_should_know_is_said(sections: dict[str, object], code: str) -> None:
    assert code in codes(plan(long_runner(), **sections))


def test_an_everyday_runner_has_nothing_to_complain_of() -> None:
    assert codes(plan(long_runner(), table=TableSection(length=1800, width=900))) == set()


def test_panels_that_do_not_reach_say_which_drop_results() -> None:
    short = PanelSection(size=(1100, 400), printed=(1050, 360), end_strip=50, seam=6, count=2)
    found = plan(
        long_runner(),
        table=TableSection(length=1800, width=900),
        panel=(short,),
        grid=GridSection(sashing=50),
        quilted=QuiltedSection(taken_up=0.0),
        panel_join="centre",
    )
    (finding,) = [f for f in plan_findings(found) if f.code == "panels-too-short"]
    assert "125 mm" in finding.message  # 2 x (1050 - 50 + 25) = 2050; (2050 - 1800) / 2


def test_a_pieced_top_is_cut_from_its_cloths() -> None:
    regions = (
        Region("A1", RegionKind.BLOCK, box(0, 0, 200, 200)),
        Region("sashing 1", RegionKind.SASHING, box(200, 0, 250, 200)),
        Region("B1", RegionKind.BLOCK, box(250, 0, 450, 200)),
    )
    top, cloths = (
        TopSection(made="pieced", seam=6),
        (cloth("cream", "block"), cloth("blue", "sashing")),
    )
    found = plan(Runner(box(0, 0, 450, 200), regions), top=top, cloth=cloths)
    cuts = {(c.kind.value, c.count, c.along_mm, c.across_mm) for c in found.top_cuts}
    assert cuts == {("block", 2, 212.0, 212.0), ("sashing", 1, 62.0, 212.0)}
    assert {"cream", "blue"} <= {layout.cloth.name for layout in found.layouts}


def test_thread_is_bought_by_the_spool_and_stock_is_taken_off() -> None:
    found = plan(
        long_runner(),
        cloth=(cloth("cream", "backing", length=1000),),
        stock=StockSection(pins=50),
        thread=ThreadSection(spool=100),
        thread_m=(66, 66),
    )
    lines = {item.name: item for item in found.shopping}
    assert lines["quilting thread"].buy_packs == 2
    assert lines["cream"].short == pytest.approx(lines["cream"].need - lines["cream"].have)
    assert lines["basting pins"].buy_packs == found.basting.pins.count - 50


def test_spray_takes_the_place_of_pins() -> None:
    names = {i.name for i in plan(long_runner(), basting=BastingSection(method="spray")).shopping}
    assert "basting spray" in names and "basting pins" not in names


def test_the_denser_the_quilting_the_larger_the_top_is_cut() -> None:
    loose, dense = plan(long_runner(), seam_m=10), plan(long_runner(), seam_m=70)
    assert dense.top.cut_length_mm > loose.top.cut_length_mm > 2200


@settings(deadline=None, max_examples=40)
@given(st.floats(700, 2400), st.floats(200, 500))
def test_doubling_the_runner_never_needs_less_cloth(length: float, width: float) -> None:
    once, twice = plan(long_runner(length, width)), plan(long_runner(2 * length, 2 * width))
    for small, large in zip(once.shopping, twice.shopping, strict=False):
        if small.name == large.name and small.unit == "mm of cloth":
            assert large.need >= small.need - 1e-6
    assert twice.binding.needed.total_mm > once.binding.needed.total_mm


def test_same_runner_same_plan() -> None:
    assert cutting_report(plan(long_runner())) == cutting_report(plan(long_runner()))


def test_panels_are_trimmed_to_what_is_needed_before_quilting() -> None:
    """2200 mm and 2 percent: 2200 / 0.98 = 2245 mm of top; the drop is that of the finished one."""
    found = plan(
        long_runner(),
        table=TableSection(length=1800, width=900),
        panel=(PanelSection(size=(2400, 400), printed=(2350, 360)),),
        quilted=QuiltedSection(taken_up=0.02),
    )
    best = found.panel_choices[0]
    assert 2200 / 0.98 <= best.length_mm <= 2200 / 0.98 + 2
    assert best.drop_mm == pytest.approx(200, abs=1)


def test_sewn_to_the_back_first_the_edge_is_seen_from_the_back() -> None:
    """Left and right change places; lengths and angles do not."""
    shape = Polygon([(0, 0), (1500, 0), (1500, 300), (200, 300)])
    back = plan(Runner(shape), binding=BindingSection(first_to="back")).binding
    assert back.edge.length_mm == pytest.approx(shape.length)
    corners = {tuple(round(v) for v in corner.at_mm) for corner in back.edge.corners}
    assert corners == {(1500, 0), (0, 0), (0, 300), (1300, 300)}


def test_one_can_one_packet_and_one_foot_are_bought_where_none_is_in_the_drawer() -> None:
    found = {
        i.name: i for i in plan(long_runner(), basting=BastingSection(method="spray")).shopping
    }
    assert found["basting spray"].need == found["basting spray"].short == 1
    assert found["needles"].need == found["foot"].need == 1
    had = plan(
        long_runner(), basting=BastingSection(method="spray"), stock=StockSection(spray=1, foot=1)
    )
    short = {item.name: item.short for item in had.shopping}
    assert (short["basting spray"], short["foot"], short["needles"]) == (0, 0, 1)


def test_a_project_that_says_nothing_has_nothing_in_the_drawer_and_cloths_by_their_use() -> None:
    found = plan(long_runner())
    assert not any(item.have for item in found.shopping)
    assert {layout.cloth.name for layout in found.layouts} == {"backing", "wadding", "binding"}


def test_the_density_of_the_quilting_is_reckoned_over_the_runner_s_own_area() -> None:
    """2200 by 320 mm are 0.704 square metres; 35.2 m on them are 50 m to the metre, 2 percent."""
    found = plan(long_runner(), seam_m=35.2)
    assert found.quilting_share == pytest.approx(0.02)
    assert found.states.by == "usual curve"
    said = plan(long_runner(), quilted=QuiltedSection(taken_up=0.0), seam_m=35.2)
    assert said.quilting_share == 0 and said.top.cut_length_mm == 2200


def test_places_on_the_top_grow_with_it() -> None:
    """Cut at 2200 / 0.8 = 2750 mm the join comes at 1375 mm, a fold of 200 mm at 250."""
    found = plan(
        long_runner(),
        table=TableSection(length=1800, width=900),
        quilted=QuiltedSection(taken_up=0.2),
    )
    assert (found.top.cut_length_mm, found.top.cut_width_mm) == pytest.approx((2750, 400))
    assert found.top.panel_joins_mm == pytest.approx((1375,))
    assert found.top.fold_lines_mm == pytest.approx((250, 2500))
    assert plan(long_runner()).top.fold_lines_mm == ()


def test_a_sewn_sashing_seam_is_no_panel_join() -> None:
    seam = Seam("sashing", LineString([(700, 0), (700, 320)]))
    found = plan(Runner(box(0, 0, 2200, 320), seams=(seam,)))
    assert found.top.panel_joins_mm == () and found.binding.panel_joins_mm == ()


@pytest.mark.parametrize(("own", "have"), [(1000, 1000), (None, 0)])
def test_cloth_at_hand_is_what_its_own_table_says(own: float | None, have: float) -> None:
    found = plan(long_runner(), cloth=(cloth("cream", "backing", width=1020, length=own),))
    (line,) = [line for line in found.shopping if line.name == "cream"]
    assert line.have == have and line.width_mm == 1020


def test_a_binding_cloth_named_twice_is_laid_out_as_the_first_of_them() -> None:
    cloths = (cloth("blue", "binding", width=1100), cloth("blue", "binding", width=900))
    found = plan(long_runner(), cloth=cloths)
    (blue,) = [layout.cloth for layout in found.layouts if layout.cloth.name == "blue"]
    assert blue.usable_mm == 1100


def test_a_part_without_a_cloth_of_its_own_is_cut_from_one_of_its_kind() -> None:
    regions = (Region("A1", RegionKind.BORDER, box(0, 0, 450, 200)),)
    found = plan(Runner(box(0, 0, 450, 200), regions), top=TopSection(made="pieced", seam=6))
    assert "border" in {layout.cloth.name for layout in found.layouts}
    ready = plan(Runner(box(0, 0, 450, 200), regions))
    assert ready.top_cuts == ()
