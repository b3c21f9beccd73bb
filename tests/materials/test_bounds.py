"""Whatever is asked for, the plan ends soon: with a plan, or with one line that says why not."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely.geometry import Point, Polygon, box

from quiltpath.documents.cutting_report import cutting_report
from quiltpath.errors import InputError
from quiltpath.geometry.runner_shapes import Region, RegionKind, Runner
from quiltpath.materials import plan_findings
from quiltpath.materials.binding_joins import BindingRound, place_joins
from quiltpath.project.materials_sections import (
    BackingSection,
    BindingSection,
    ClothSection,
    TopSection,
)
from quiltpath.project.sewing_sections import WaddingSection
from tests.materials.plans import cloth, plan

lengths = st.one_of(st.floats(1, 60), st.floats(60, 4000), st.floats(4000, 100_000))
outlines = st.one_of(
    st.builds(lambda a, b: box(0, 0, a, b), lengths, lengths),
    st.builds(lambda r, n: Point(r, r).buffer(r, n), lengths, st.sampled_from([1, 3, 40])),
)


@settings(deadline=None, max_examples=60)
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
    at_hand = (
        cloth("backing", "backing", width=backing),
        cloth("wadding", "wadding", width=wadding),
        *(
            cloth(f"cloth {n}", "binding", width=w, length=None if n % 2 else min(5 * w, 100_000))
            for n, w in enumerate(cloths)
        ),
    )
    try:
        found = plan(
            Runner(outline),
            seam_m=30,
            cloth=at_hand,
            backing=BackingSection(extra=100, seam=6, clear=clear),
            wadding=WaddingSection(extra=75, clear=clear),
            binding=BindingSection(cut=grain, seam=seam, clear=clear),
        )
    except InputError as error:
        assert "\n" not in str(error)
        return
    assert cutting_report(found)["binding"]["strips"] >= 1
    assert all(np.isfinite(item.need) for item in found.shopping)
    assert all(finding.message for finding in plan_findings(found))


def test_a_cloth_hardly_wider_than_a_strip_is_passed_over() -> None:
    """A 60 mm ribbon would gain 3 mm a strip: 1000 of them, and joins everywhere."""
    ribbon = cloth("ribbon", "binding", width=60, length=100_000)
    cloths = ribbon, cloth("cotton", "binding", width=1016)
    strips = plan(Runner(box(0, 0, 2200, 320)), cloth=cloths).binding.strips
    assert set(strips.cloths) == {"cotton"}


@pytest.mark.parametrize(
    "small",
    [cloth("ribbon", "binding", width=60), cloth("scrap", "binding", width=1000, length=20)],
)
def test_cloth_that_gives_no_strip_is_a_mistake_in_one_line(small: ClothSection) -> None:
    with pytest.raises(InputError, match="name a larger cloth"):
        plan(Runner(box(0, 0, 2200, 320)), cloth=(small,))


def test_a_backing_cloth_that_is_far_too_narrow_is_a_mistake_in_one_line() -> None:
    with pytest.raises(InputError, match="too narrow"):
        plan(Runner(box(0, 0, 2200, 320)), cloth=(cloth("tape", "backing", width=20),))


def test_a_top_of_very_many_parts_is_counted_and_laid_out_in_strips() -> None:
    squares = tuple(
        Region(f"{n}", RegionKind.BLOCK, box(20 * (n % 30), 20 * (n // 30), 20 * (n % 30) + 20,
               20 * (n // 30) + 20))
        for n in range(600)
    )  # fmt: skip
    runner = Runner(box(0, 0, 600, 400), squares)
    found = plan(runner, top=TopSection(made="pieced"))
    assert [(cut.count, cut.kind) for cut in found.top_cuts] == [(600, RegionKind.BLOCK)]
    laid = {layout.cloth.name: layout for layout in found.layouts}
    assert set(laid) == {"block", "backing", "wadding", "binding"}
    assert laid["block"].piece_count == 600 and len(laid["block"].placed) < 60


def test_eight_strips_of_eight_lengths_are_placed_within_the_bound_on_orders() -> None:
    """8! = 40320 orders are more than are tried; the best of those tried still keeps clear."""
    strips = [900.0 + 20 * n for n in range(8)]
    edge = sum(strips) - 8 * 57 - 300
    found = place_joins(
        strips, BindingRound(edge + 57, edge, 57, (0, 2500, 2900, 5400), (), 50.8, 50.8)
    )
    assert found.keeps_clear(50.8)
