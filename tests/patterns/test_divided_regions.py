"""Where a region's equal gaps begin and end: with a line, half a gap or a whole one."""

from __future__ import annotations

import numpy as np
import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st

from quiltpath.errors import InputError
from quiltpath.project import parse
from tests.patterns.runners import FIGURES, drawn, levels, plain, sashed, stations

FIRST = {"line": 0.0, "half": 0.5, "gap": 1.0}
"""Gaps between a region's edge and its first line."""


@pytest.mark.parametrize("edge", FIRST)
@pytest.mark.parametrize("spacing", ["about 60 mm", "60 mm", "about 45 mm"])
def test_blocks_begin_and_end_as_asked_and_all_alike(edge: str, spacing: str) -> None:
    """Blocks of 200 mm hold three gaps of 66.67 or four of 50 mm: by hand."""
    gap = 50.0 if "45" in spacing else 200 / 3
    wanted = np.arange(FIRST[edge], 200 / gap - FIRST[edge] + 1e-9) * gap
    lines = drawn(sashed(), "straight", region="blocks", angle=90, spacing=spacing, edge=edge)
    assert stations(lines) == pytest.approx([*(25 + wanted), *(275 + wanted)])


BY_RULE = ["straight", "grid", *(word for word, kind in FIGURES.items() if kind.in_clear is None)]
"""Those drawn block by block; free curves are drawn once for all blocks that are alike."""


@pytest.mark.parametrize("kind", BY_RULE)
def test_two_blocks_of_one_design_are_quilted_alike_where_nothing_is_asked(kind: str) -> None:
    """A1 and B1 lie 250 mm apart, which is a multiple of no usual spacing."""
    lines = shapely.union_all(drawn(sashed(), kind, region="blocks").geometry)
    first = shapely.intersection(lines, shapely.box(24, 24, 226, 226))
    second = shapely.intersection(lines, shapely.box(274, 24, 476, 226))
    moved = shapely.transform(second, lambda xy: xy - (250, 0))
    assert first.length > 200 and shapely.hausdorff_distance(first, moved) < 0.05


@pytest.mark.parametrize("edge", FIRST)
def test_diagonals_are_counted_from_corner_to_corner(edge: str) -> None:
    """Across its diagonal a block of 200 mm measures 282.84 mm: ten gaps of 28.28 mm. A line on the
    very corner has no length to be sewn, so the next one counts."""
    lines = drawn(sashed(), "straight", region="A1", angle=45, spacing="about 28 mm", edge=edge)
    gap = 200 * np.sqrt(2) / 10
    middles = shapely.get_coordinates(shapely.centroid(lines.geometry))
    from_corner = np.sort((middles - (25, 225)) @ (np.sqrt(0.5), -np.sqrt(0.5)))
    first = FIRST[edge] or 1.0
    assert from_corner == pytest.approx(np.arange(first, 10 - first + 1e-9) * gap)


@pytest.mark.parametrize("edge", FIRST)
def test_crests_of_waves_begin_where_asked(edge: str) -> None:
    """Waves 20 mm high on 220 mm: their middles have 200 mm to be divided by four."""
    lines = drawn(
        plain(600, 220), "waves", spacing="about 50 mm", height=20, wave="about 100 mm", edge=edge
    )
    low = [line.bounds[1] for line in lines.geometry]
    high = [line.bounds[3] for line in lines.geometry]
    assert min(low) == pytest.approx(FIRST[edge] * 50, abs=0.02)
    assert max(high) == pytest.approx(220 - FIRST[edge] * 50, abs=0.02)
    assert np.diff(np.sort(low)) == pytest.approx(50.0, abs=0.02)


@given(
    width=st.floats(40, 600),
    wanted=st.floats(5, 150),
    about=st.booleans(),
    edge=st.sampled_from([None, *FIRST]),
)
def test_no_space_at_the_edge_is_wider_than_a_gap(
    width: float, wanted: float, about: bool, edge: str | None
) -> None:
    """Whatever is asked, and where nothing is: a ruler laid across meets a line in each gap."""
    spacing = f"about {wanted} mm" if about else f"{wanted} mm"
    more = {"edge": edge} if edge else {}
    at = np.array(levels(drawn(plain(300, width), "straight", spacing=spacing, **more)))
    on_both = np.concatenate([[0.0], at, [width]])
    gap = np.diff(at).max() if len(at) > 1 else max(wanted, 1.5 * wanted if about or edge else 0)
    assert np.diff(on_both).max() <= gap * (1 + 1e-9)


@pytest.mark.parametrize(
    ("keys", "what"),
    [
        ('edge = "line"\nanchor = "edge"', "edge and anchor"),
        ('edge = "half"\nspacings = [10, 30]', "spacings"),
        ('edge = "third"', "edge"),
    ],
)
def test_what_contradicts_itself_is_refused_in_one_line(keys: str, what: str) -> None:
    runner = 'units = "mm"\nrunner = { length = 400, width = 200 }\n'
    text = f'{runner}[[quilting]]\nkind = "straight"\n{keys}\n'
    with pytest.raises(InputError, match=what) as error:
        parse(text)
    assert "\n" not in str(error.value)
