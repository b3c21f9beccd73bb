"""The cutting part of report.json says what was planned, with the figures worked out by hand."""

from __future__ import annotations

import math

import pytest
from shapely.geometry import box

from quiltpath.documents.cutting_report import cutting_report
from quiltpath.geometry.runner_shapes import Runner
from quiltpath.materials import CuttingPlan
from quiltpath.project import parse
from quiltpath.project.materials_sections import (
    BackingSection,
    BastingSection,
    BindingSection,
    ClothSection,
    QuiltedSection,
    SwatchSection,
    TableSection,
)
from quiltpath.project.runner_sections import PrintSection
from quiltpath.project.sewing_sections import WaddingSection
from quiltpath.result.computing import compute
from tests.materials.plans import cloth, plan

PLAIN = '[runner]\nlength = "72 in"\nwidth = "14 in"\n[[quilting]]\nkind = "straight"\n'


def basting(more: str) -> dict[str, object]:
    found = cutting_report(compute(parse(PLAIN + more)).cutting)["basting"]
    assert isinstance(found, dict)
    return found


def test_pins_are_counted_and_no_spray_is_said() -> None:
    """Common practice: no more than a hand's width, 4 in, apart."""
    told = basting("")
    assert told["method"] == "pins"
    assert isinstance(told["pins"], int) and told["pins"] >= 18 * 4
    assert max(told["pins_apart_mm"]) <= 4 * 25.4 + 1e-9  # type: ignore[call-overload]
    assert told["sections_mm"] == []


def test_spray_is_said_in_sections_and_no_pins() -> None:
    """Common practice: half at a time, about 20 in at a go."""
    told = basting('[basting]\nmethod = "spray"\n')
    assert told["method"] == "spray"
    assert told["pins"] is None and told["pins_apart_mm"] is None
    sections = told["sections_mm"]
    assert isinstance(sections, list) and len(sections) % 2 == 0 and len(sections) >= 4


BLUE = cloth("blue", "binding", width=1100)


def cream(width: float) -> tuple[ClothSection, ClothSection]:
    """Backing so wide, and the cloth of the binding."""
    return cloth("cream", "backing", width=width), BLUE


def small_plan(**sections: object) -> CuttingPlan:
    """A top of 1000 by 333 1/3 mm that quilting draws up by a tenth, on a table of 500 by 900."""
    usual: dict[str, object] = {
        "table": TableSection(length=500, width=900, place_mats=200),
        "quilted": QuiltedSection(taken_up=0.1),
        "backing": BackingSection(extra=100, seam=5),
        "cloth": cream(1600),
    }
    return plan(Runner(box(0, 0, 900, 300)), **usual | sections)


def test_the_fit_is_told_from_the_table() -> None:
    """By hand: (900 - 500) / 2; 300 of 900; (900 - 300) / 2 less mats of 200."""
    assert cutting_report(small_plan())["fit"] == {
        "table_mm": [500, 900],
        "drop_mm": 200,
        "width_share": pytest.approx(1 / 3),
        "mat_clearance_mm": 100,
    }
    assert (
        cutting_report(small_plan(table=TableSection(length=500, width=900)))["fit"][
            "mat_clearance_mm"
        ]
        is None
    )
    assert cutting_report(small_plan(table=None))["fit"] is None


def test_the_top_is_told_as_it_is_cut_and_as_it_was_measured() -> None:
    assert cutting_report(small_plan())["top"] == {
        "length_mm": pytest.approx(1000),
        "width_mm": pytest.approx(1000 / 3),
        "quilting_share": 0.1,
        "washing_share": 0.0,
        "by_swatches": None,
        "squared_mm": None,
        "cuts": [],
        "pieced": None,
    }
    measured = QuiltedSection(taken_up=0.1, lengths=(905, 902), widths=(301, 298))
    assert cutting_report(small_plan(quilted=measured))["top"]["squared_mm"] == [902, 298]


def test_what_the_swatches_say_is_told_as_likely_least_and_greatest() -> None:
    """One sample lost 10 percent along and 20 across: 15 is likely; 900 mm are 900 / 0.9, 0.85 and
    0.8 of what is cut."""
    swatch = SwatchSection(density=30, before=(300, 300), quilted=(270, 240))
    found = plan(Runner(box(0, 0, 900, 300)), swatch=(swatch,), seam_m=30 * 0.27)
    assert cutting_report(found)["top"]["by_swatches"] == {
        "length_mm": pytest.approx([900 / 0.85, 1000, 1125]),
        "width_mm": pytest.approx([300 / 0.85, 300 / 0.9, 375]),
    }


def test_a_layer_is_told_with_its_cloth_its_pieces_and_its_seams() -> None:
    """Backing in one piece lies across 1600 mm of cloth: 533 mm of it. From 420 mm there are three
    widths across the length, 1200 mm and four allowances of 5 mm in three; from 300 mm two along
    it."""
    whole = cutting_report(small_plan())["backing"]
    width = pytest.approx(200 + 1000 / 3)
    assert whole == {
        "length_mm": pytest.approx(1200),
        "width_mm": width,
        "cloth": "cream",
        "cloth_width_mm": 1600,
        "cloth_mm": width,
        "widths": 1,
        "grain_along_runner": False,
        "seams_across": "length",
        "seams_mm": [],
        "join_mm": 0,
        "pieces": [
            {"name": "whole", "on_length_mm": width, "on_width_mm": pytest.approx(1200)},
        ],
        "near": [],
    }
    joined = cutting_report(small_plan(cloth=cream(420), table=None))["backing"]
    assert (joined["seams_across"], joined["widths"]) == ("length", 3)
    assert joined["seams_mm"] == pytest.approx([-100 + 1220 / 3 - 5, 1100 - 1220 / 3 + 5], abs=1e-3)
    assert joined["join_mm"] == pytest.approx(2 * (200 + 1000 / 3))
    assert not joined["grain_along_runner"]
    along = cutting_report(small_plan(cloth=cream(300), table=None))["backing"]
    assert (along["seams_across"], along["widths"], along["join_mm"]) == ("width", 2, 1200)
    assert along["grain_along_runner"]


def test_pieces_in_a_layout_bear_the_name_of_their_layer() -> None:
    """One piece by its layer's name alone, of several each with its number."""
    for width, names in ((1600, ["backing"]), (420, ["backing 1", "backing 2", "backing 3"])):
        layouts = cutting_report(small_plan(cloth=cream(width), table=None))["layouts"]
        (backing,) = [layout for layout in layouts if layout["cloth"] == "cream"]
        assert sorted(piece["name"] for piece in backing["pieces"]) == names
    (piece,) = cutting_report(small_plan())["layouts"][0]["pieces"]
    assert (piece["across_mm"], piece["along_mm"]) == (0, 0)
    assert cutting_report(small_plan())["layouts"][0]["waste_share"] == pytest.approx(0.25)


def test_the_binding_is_told_by_its_strips_or_by_its_bias() -> None:
    """2400 mm, 57.15 mm overlap, 12.7 mm of mitres, 203.2 mm to handle: three strips of 1100 mm.
    For bias the root of 2673 x 57.15 is 391 mm: 16 in."""
    straight = cutting_report(small_plan())["binding"]
    assert straight["total_mm"] == pytest.approx(2673.05)
    assert (straight["strips"], straight["strips_mm"]) == (3, [1100] * 3)
    assert straight["bias_mm"] is None and straight["keeps_clear"]
    assert straight["mitres"] == [
        {"angle_deg": 90, "corners": 4, "stop_mm": pytest.approx(6.35)},
    ]
    x, y = straight["start_at_mm"]
    assert y in (0, pytest.approx(300)) and 0 < x < 900
    bias = cutting_report(small_plan(binding=BindingSection(cut="bias")))["binding"]
    assert bias["bias_mm"] == pytest.approx([16 * 25.4] * 2)


def test_stitches_over_a_wadding_join_are_counted_and_tape_is_not() -> None:
    """Wadding of 1152.4 by 485.7 mm from 600 mm in two widths: the join is as long as it is wide,
    and 40 stitches hold it: one at its start and one for each half inch that is begun."""
    narrow = {
        "wadding": WaddingSection(extra=76.2, seam_worth=0),
        "cloth": (*cream(1600), cloth("wadding", "wadding", width=600)),
        "table": None,
    }
    sewn = BastingSection(wadding_join="herringbone")
    told = cutting_report(small_plan(basting=sewn, **narrow))["basting"]
    assert (told["tape_mm"], told["herringbone_stitches"]) == (0, 40)
    taped = cutting_report(small_plan(**narrow))["basting"]
    assert taped["tape_mm"] == pytest.approx(152.4 + 1000 / 3)
    assert taped["herringbone_stitches"] is None


def test_the_list_says_yards_and_metres_of_cloth_and_numbers_of_the_rest() -> None:
    """533 mm of backing and 2 in over are 584 mm: 3/4 yd or 0.6 m. Wadding in one piece
    wants no tape."""
    lines = {line["name"]: line for line in cutting_report(small_plan())["shopping"]}
    assert "fusible tape" not in lines
    backing = lines["cream"]
    assert (backing["buy_yd"], backing["buy_m"], backing["width_mm"]) == (0.75, 0.6, 1600)
    assert "buy" not in backing
    pins = lines["basting pins"]
    assert pins["buy"] == pins["need"] == 10 * 4 and "buy_m" not in pins


def test_a_print_out_of_square_is_told_in_degrees_and_as_its_rectangle() -> None:
    """A print of 2200 by 320 mm that leans half a degree: 320 sin(0.5) = 2.8 mm to the right, so
    that the rectangle is that much shorter."""
    shift, high = 320 * math.sin(math.radians(0.5)), 320 * math.cos(math.radians(0.5))
    diagonals = math.hypot(2200 + shift, high), math.hypot(2200 - shift, high)
    sheet = PrintSection(lengths=(2200,) * 3, widths=(320,) * 3, diagonals=diagonals)
    leaning = small_plan(print=sheet)
    told = cutting_report(leaning)["off_square"]
    assert (told["lean_deg"], told["out_of_square_deg"]) == pytest.approx((0.5, 0.5), abs=1e-6)
    assert told["end_shift_mm"] == pytest.approx(shift, abs=1e-6)
    assert (told["length_taper_mm"], told["width_taper_mm"]) == pytest.approx((0, 0), abs=1e-6)
    assert told["rectangle_mm"] == pytest.approx([2200 - shift, high], abs=0.01)
    assert cutting_report(small_plan())["off_square"] is None
