"""The cutting part of report.json says what was planned: pins or spray, tape or stitches."""

from __future__ import annotations

from quiltpath.make import compute
from quiltpath.materials.plan_report import as_report
from quiltpath.project import parse

PLAIN = '[runner]\nlength = "72 in"\nwidth = "14 in"\n[[quilting]]\nkind = "straight"\n'


def basting(more: str) -> dict[str, object]:
    found = as_report(compute(parse(PLAIN + more)).cutting)["basting"]
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


def test_the_stretch_left_open_for_the_closing_join_is_half_on_either_side() -> None:
    """8 in open, joins 2 in clear of the closing one: 4 in less 2 in on either side."""
    from shapely.geometry import box

    from quiltpath.materials.binding import BindingSetting
    from quiltpath.materials.binding_plan import plan_binding
    from quiltpath.materials.cloth import Cloth
    from quiltpath.materials.corners import edge_of

    plan = plan_binding(edge_of(box(0, 0, 1830, 360)), [], BindingSetting(), [Cloth("binding")])
    total = sum(plan.strips.lengths_mm) - plan.setting.join_mm * (len(plan.strips.lengths_mm) - 1)
    assert total >= 2 * (1830 + 360) + plan.setting.width_mm - 1e-6
