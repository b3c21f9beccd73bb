"""Whatever is asked for, the plan ends soon: with a plan, or with one line that says why not."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely.geometry import Point, Polygon, box

from quiltpath.documents.report import as_report
from quiltpath.errors import InputError
from quiltpath.geometry.runner_shapes import Region, RegionKind, Runner
from quiltpath.materials import (
    Cloth,
    LayerSetting,
    MaterialsSetting,
    TopSetting,
    cutting_plan,
    plan_findings,
)
from quiltpath.materials.binding_joins import Laying, place_joins
from quiltpath.project.materials_sections import BindingSetting

lengths = st.one_of(st.floats(1, 60), st.floats(60, 4000), st.floats(4000, 100_000))
outlines = st.one_of(
    st.builds(lambda a, b: box(0, 0, a, b), lengths, lengths),
    st.builds(lambda r, n: Point(r, r).buffer(r, n), lengths, st.sampled_from([1, 3, 40])),
)


@settings(deadline=None, max_examples=150)
@given(
    outlines, lengths, lengths, st.lists(lengths, min_size=1, max_size=7),
    st.sampled_from(["straight", "bias"]), st.floats(1, 80), st.floats(0, 400),
)  # fmt: skip
def test_any_sizes_give_a_plan_or_one_line(
    outline: Polygon,
    backing: float,
    wadding: float,
    cloths: list[float],
    grain: str,
    seam: float,
    clear: float,
) -> None:
    setting = MaterialsSetting(
        backing=LayerSetting(100, 100, Cloth("backing", backing), 6.0, clear),
        wadding=LayerSetting(75, 75, Cloth("wadding", wadding, grain=False), 0.0, clear),
        binding=BindingSetting(grain=grain, seam_mm=seam, clear_mm=clear),
        binding_cloths=tuple(
            Cloth(f"cloth {n}", width, None if n % 2 else 5 * width)
            for n, width in enumerate(cloths)
        ),
    )
    try:
        plan = cutting_plan(Runner(outline), setting, stitched_m=30)
    except InputError as told:
        assert "\n" not in str(told)
        return
    assert as_report(plan)["binding"]["strips"] >= 1
    assert all(np.isfinite(item.need) for item in plan.shopping)
    assert all(finding.message for finding in plan_findings(plan))


def test_a_cloth_hardly_wider_than_a_strip_is_passed_over() -> None:
    """A 60 mm ribbon would gain 3 mm a strip: 1000 of them, and joins everywhere."""
    setting = MaterialsSetting(
        binding_cloths=(Cloth("ribbon", 60, 100_000), Cloth("cotton", 1016)),
    )
    strips = cutting_plan(Runner(box(0, 0, 2200, 320)), setting).binding.strips
    assert set(strips.cloths) == {"cotton"}


@pytest.mark.parametrize("cloth", [Cloth("ribbon", 60), Cloth("scrap", 1000, 20)])
def test_cloth_that_gives_no_strip_is_a_mistake_in_one_line(cloth: Cloth) -> None:
    with pytest.raises(InputError, match="name a larger cloth"):
        cutting_plan(Runner(box(0, 0, 2200, 320)), MaterialsSetting(binding_cloths=(cloth,)))


def test_a_backing_cloth_that_is_far_too_narrow_is_a_mistake_in_one_line() -> None:
    setting = MaterialsSetting(backing=LayerSetting(100, 100, Cloth("tape", 20), 6.0))
    with pytest.raises(InputError, match="too narrow"):
        cutting_plan(Runner(box(0, 0, 2200, 320)), setting)


def test_a_top_of_very_many_parts_is_counted_but_not_laid_out() -> None:
    squares = tuple(
        Region(f"{n}", RegionKind.BLOCK, box(20 * (n % 30), 20 * (n // 30), 20 * (n % 30) + 20,
               20 * (n // 30) + 20))
        for n in range(600)
    )  # fmt: skip
    runner = Runner(box(0, 0, 600, 400), squares)
    plan = cutting_plan(runner, MaterialsSetting(top=TopSetting("pieced")))
    assert [(cut.count, cut.kind) for cut in plan.top_cuts] == [(600, RegionKind.BLOCK)]
    assert {layout.cloth.name for layout in plan.layouts} == {"backing", "wadding", "binding"}
    assert "top-not-laid-out" in {finding.code for finding in plan_findings(plan)}


def test_eight_strips_of_eight_lengths_are_placed_within_the_bound_on_orders() -> None:
    """8! = 40320 orders are more than are tried; the best of those tried still keeps clear."""
    strips = [900.0 + 20 * n for n in range(8)]
    edge = sum(strips) - 8 * 57 - 300
    found = place_joins(strips, Laying(edge + 57, edge, 57, (0, 2500, 2900, 5400), (), 50.8, 50.8))
    assert found.keeps_clear(50.8)
